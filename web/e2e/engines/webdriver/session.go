// Package webdriver speaks the W3C WebDriver protocol (https://www.w3.org/TR/webdriver2/),
// as much of it as the journeys need: the one protocol that every engine's driver speaks.
package webdriver

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"time"
)

// Session is one browser under a driver's control.
type Session struct{ base string }

// protocolError is an error of the protocol: W3C WebDriver, section 6.6, "Errors".
type protocolError struct {
	Error   string `json:"error"`
	Message string `json:"message"`
}

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

// Open starts a browser with the capabilities; scripts may take as long as the limit.
func Open(driver string, capabilities map[string]any, limit time.Duration) (*Session, error) {
	var opened struct{ SessionID string }
	ask := map[string]any{"capabilities": map[string]any{"alwaysMatch": capabilities}}
	if err := call(limit, http.MethodPost, driver+"/session", ask, &opened); err != nil {
		return nil, fmt.Errorf("start the browser: %w", err)
	}
	s := &Session{base: driver + "/session/" + opened.SessionID}
	millis := limit.Milliseconds()
	return s, s.post(limit, "/timeouts", map[string]any{"script": millis, "pageLoad": millis}, nil)
}

// Close ends the browser.
func (s *Session) Close() error {
	return call(10*time.Second, http.MethodDelete, s.base, nil, nil)
}

// Go opens an address.
func (s *Session) Go(limit time.Duration, url string) error {
	return s.post(limit, "/url", map[string]any{"url": url}, nil)
}

// Resize makes the window so large that the page has the width and height, as far as the screen allows.
func (s *Session) Resize(limit time.Duration, width, height int) error {
	if err := s.post(limit, "/window/rect", map[string]any{"x": 0, "y": 0, "width": width, "height": height}, nil); err != nil {
		return err
	}
	var inside [2]int
	if err := s.Eval(limit, "[innerWidth, innerHeight]", &inside); err != nil {
		return err
	}
	return s.post(limit, "/window/rect", map[string]any{"width": 2*width - inside[0], "height": 2*height - inside[1]}, nil)
}

// Eval gives the value of an expression of the page, or of the promise it is.
func (s *Session) Eval(limit time.Duration, expression string, into any) error {
	const settle = `const done = arguments[arguments.length - 1];
		(async () => (%s))().then(v => done(JSON.stringify({value: v === undefined ? null : v})), e => done(JSON.stringify({failed: String(e)})));`
	var text string
	if err := s.post(limit, "/execute/async", map[string]any{"script": fmt.Sprintf(settle, expression), "args": []any{}}, &text); err != nil {
		return err
	}
	var answer struct {
		Value  json.RawMessage
		Failed string
	}
	if err := json.Unmarshal([]byte(text), &answer); err != nil {
		return err
	}
	if answer.Failed != "" {
		return fmt.Errorf("the script failed: %s", answer.Failed)
	}
	return json.Unmarshal(answer.Value, into)
}

// Press presses and lets go at a point of the page.
func (s *Session) Press(limit time.Duration, x, y float64) error {
	finger := map[string]any{"type": "pointer", "id": "finger", "parameters": map[string]any{"pointerType": "mouse"}, "actions": []any{
		map[string]any{"type": "pointerMove", "duration": 0, "origin": "viewport", "x": int(math.Round(x)), "y": int(math.Round(y))},
		map[string]any{"type": "pointerDown", "button": 0},
		map[string]any{"type": "pointerUp", "button": 0},
	}}
	return s.post(limit, "/actions", map[string]any{"actions": []any{finger}}, nil)
}

// element is how the protocol names an element: W3C WebDriver, section 11, "web element identifier".
const element = "element-6066-11e4-a52e-4f735466cecf"

// Type types into whatever has the focus.
func (s *Session) Type(limit time.Duration, text string) error {
	var focused map[string]string
	if err := call(limit, http.MethodGet, s.base+"/element/active", nil, &focused); err != nil {
		return err
	}
	return s.post(limit, "/element/"+focused[element]+"/value", map[string]any{"text": text}, nil)
}

// Afresh closes the window and opens another in its place: the page, its scripts and all they had not stored are gone.
func (s *Session) Afresh(limit time.Duration) error {
	var window struct{ Handle string }
	if err := s.post(limit, "/window/new", map[string]any{"type": "window"}, &window); err != nil {
		return err
	}
	if err := call(limit, http.MethodDelete, s.base+"/window", nil, nil); err != nil {
		return err
	}
	return s.post(limit, "/window", map[string]any{"handle": window.Handle}, nil)
}

// Picture is the page as it looks, as a PNG.
func (s *Session) Picture(limit time.Duration) ([]byte, error) {
	var text string
	if err := call(limit, http.MethodGet, s.base+"/screenshot", nil, &text); err != nil {
		return nil, err
	}
	return base64.StdEncoding.DecodeString(text)
}

func (s *Session) post(limit time.Duration, path string, body, into any) error {
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
		return fmt.Errorf("%s: %s", wrong.Error, wrong.Message)
	}
	if into == nil {
		return nil
	}
	return json.Unmarshal(answer.Value, into)
}
