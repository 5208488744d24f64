package webdriver

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"
)

// classic is a browser under a driver's control: one HTTP request for each command.
type classic struct{ base string }

// Ready says whether a driver at the address takes a session.
func Ready(driver string) error {
	var status struct{ Ready bool }
	if err := call(2*time.Second, http.MethodGet, driver+"/status", nil, &status); err != nil {
		return err
	}
	if !status.Ready {
		return errors.New("the driver is not ready")
	}
	return nil
}

// Open has a driver start a browser with the capabilities; scripts may take as long as the limit.
func Open(driver string, capabilities map[string]any, limit time.Duration) (Session, error) {
	var opened struct{ SessionID string }
	ask := map[string]any{"capabilities": map[string]any{"alwaysMatch": capabilities}}
	if err := call(limit, http.MethodPost, driver+"/session", ask, &opened); err != nil {
		return nil, fmt.Errorf("start the browser: %w", err)
	}
	s := &classic{base: driver + "/session/" + opened.SessionID}
	millis := limit.Milliseconds()
	return s, s.post(limit, "/timeouts", map[string]any{"script": millis, "pageLoad": millis}, nil)
}

func (s *classic) Close() error {
	return call(10*time.Second, http.MethodDelete, s.base, nil, nil)
}

func (s *classic) Go(limit time.Duration, url string) error {
	return s.post(limit, "/url", map[string]any{"url": url}, nil)
}

// A window's frame takes at most so much in each direction. A busy browser tells its page late; a page that seems to lack
// more, or to be larger than its window, still says the size of the window before.
const frame = 200

// Resize makes the window as much larger as its frame takes, and returns when the page has the size. A window that was not
// there yet, or had no frame yet, is measured again.
func (s *classic) Resize(limit time.Duration, width, height int) error {
	for end := time.Now().Add(limit); ; {
		err := s.resize(min(limit, 5*time.Second), width, height)
		if err == nil || time.Now().After(end) {
			return err
		}
		time.Sleep(50 * time.Millisecond)
	}
}

func (s *classic) resize(limit time.Duration, width, height int) error {
	inside, err := s.sized(limit, [2]int{width, height}, func(inside [2]int) bool {
		return width-frame <= inside[0] && inside[0] <= width && height-frame <= inside[1] && inside[1] <= height
	})
	if err != nil {
		return err
	}
	_, err = s.sized(limit, [2]int{2*width - inside[0], 2*height - inside[1]}, func(inside [2]int) bool {
		return inside == [2]int{width, height}
	})
	return err
}

// sized makes the window so large and waits until its page's size is right; it gives that size.
func (s *classic) sized(limit time.Duration, window [2]int, right func(inside [2]int) bool) (inside [2]int, err error) {
	ask := map[string]any{"x": 0, "y": 0, "width": window[0], "height": window[1]}
	if err := s.post(limit, "/window/rect", ask, nil); err != nil {
		return inside, err
	}
	for end := time.Now().Add(limit); ; time.Sleep(50 * time.Millisecond) {
		if err := s.Eval(limit, "[innerWidth, innerHeight]", &inside); err != nil || right(inside) {
			return inside, err
		}
		if time.Now().After(end) {
			return inside, fmt.Errorf("the window was made %d × %d and its page is %d × %d", window[0], window[1], inside[0], inside[1])
		}
	}
}

func (s *classic) Eval(limit time.Duration, expression string, into any) error {
	script := "const done = arguments[arguments.length - 1]; " + settled(expression) + ".then(done)"
	var text string
	if err := s.post(limit, "/execute/async", map[string]any{"script": script, "args": []any{}}, &text); err != nil {
		return err
	}
	return unpack(text, into)
}

func (s *classic) Press(limit time.Duration, x, y float64) error {
	return s.post(limit, "/actions", map[string]any{"actions": []any{press(x, y)}}, nil)
}

// element is how the protocol names an element: W3C WebDriver, "web element identifier".
const element = "element-6066-11e4-a52e-4f735466cecf"

func (s *classic) Type(limit time.Duration, text string) error {
	var focused map[string]string
	if err := call(limit, http.MethodGet, s.base+"/element/active", nil, &focused); err != nil {
		return err
	}
	return s.post(limit, "/element/"+focused[element]+"/value", map[string]any{"text": text}, nil)
}

func (s *classic) Afresh(limit time.Duration) error {
	var window struct{ Handle string }
	if err := s.post(limit, "/window/new", map[string]any{"type": "window"}, &window); err != nil {
		return err
	}
	if err := call(limit, http.MethodDelete, s.base+"/window", nil, nil); err != nil {
		return err
	}
	return s.post(limit, "/window", map[string]any{"handle": window.Handle}, nil)
}

func (s *classic) Picture(limit time.Duration) ([]byte, error) {
	var text string
	if err := call(limit, http.MethodGet, s.base+"/screenshot", nil, &text); err != nil {
		return nil, err
	}
	return base64.StdEncoding.DecodeString(text)
}

func (s *classic) Print(limit time.Duration, width, height, margin float64) ([]byte, error) {
	var text string
	if err := s.post(limit, "/print", printed(width, height, margin), &text); err != nil {
		return nil, err
	}
	return base64.StdEncoding.DecodeString(text)
}

func (s *classic) post(limit time.Duration, path string, body, into any) error {
	return call(limit, http.MethodPost, s.base+path, body, into)
}

// call sends one command and reads the value of the answer.
func call(limit time.Duration, method, url string, body, into any) error {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	var sent io.Reader
	if method == http.MethodPost {
		b, err := json.Marshal(body)
		if err != nil {
			return err
		}
		sent = bytes.NewReader(b)
	}
	req, err := http.NewRequestWithContext(ctx, method, url, sent)
	if err != nil {
		return err
	}
	req.Header.Set("Content-Type", "application/json; charset=utf-8")
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	var answer struct{ Value json.RawMessage }
	if err := json.NewDecoder(resp.Body).Decode(&answer); err != nil {
		return fmt.Errorf("the driver's answer (%s): %w", resp.Status, err)
	}
	if resp.StatusCode != http.StatusOK {
		var wrong protocolError
		if err := json.Unmarshal(answer.Value, &wrong); err != nil {
			return fmt.Errorf("the driver answered %s", resp.Status)
		}
		return wrong
	}
	if into == nil {
		return nil
	}
	return json.Unmarshal(answer.Value, into)
}
