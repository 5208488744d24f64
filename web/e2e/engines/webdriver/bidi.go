package webdriver

import (
	"encoding/base64"
	"errors"
	"fmt"
	"time"
)

// bidi is a browser that speaks the protocol itself, without a driver, over one connection.
type bidi struct {
	*wire
	window string // the context that everything happens in
}

// Connect takes control of a browser that listens at the address, and of the window it opened with.
func Connect(address string, limit time.Duration) (Session, error) {
	w, err := dial(address+"/session", limit)
	if err != nil {
		return nil, fmt.Errorf("connect to the browser: %w", err)
	}
	s := &bidi{wire: w}
	if err := s.begins(limit); err != nil {
		w.hangUp()
		return nil, fmt.Errorf("take control of the browser: %w", err)
	}
	return s, nil
}

func (s *bidi) begins(limit time.Duration) error {
	if err := s.call(limit, "session.new", map[string]any{"capabilities": map[string]any{}}, nil); err != nil {
		return err
	}
	var tree struct{ Contexts []struct{ Context string } }
	if err := s.call(limit, "browsingContext.getTree", map[string]any{"maxDepth": 0}, &tree); err != nil {
		return err
	}
	if len(tree.Contexts) == 0 {
		return errors.New("it has no window")
	}
	s.window = tree.Contexts[0].Context
	return nil
}

func (s *bidi) Close() error {
	defer s.hangUp()
	return s.call(10*time.Second, "browser.close", map[string]any{}, nil)
}

func (s *bidi) Go(limit time.Duration, url string) error {
	return s.here(limit, "browsingContext.navigate", map[string]any{"url": url, "wait": "complete"}, nil)
}

func (s *bidi) Resize(limit time.Duration, width, height int) error {
	return s.here(limit, "browsingContext.setViewport", map[string]any{"viewport": map[string]any{"width": width, "height": height}}, nil)
}

func (s *bidi) Eval(limit time.Duration, expression string, into any) error {
	var answer struct {
		Type             string
		Result           struct{ Value string }
		ExceptionDetails struct{ Text string }
	}
	ask := map[string]any{"expression": settled(expression), "target": map[string]any{"context": s.window}, "awaitPromise": true}
	if err := s.call(limit, "script.evaluate", ask, &answer); err != nil {
		return err
	}
	if answer.Type != "success" {
		return fmt.Errorf("the script cannot be read: %s", answer.ExceptionDetails.Text)
	}
	return unpack(answer.Result.Value, into)
}

func (s *bidi) Press(limit time.Duration, x, y float64) error {
	return s.here(limit, "input.performActions", map[string]any{"actions": []any{press(x, y)}}, nil)
}

func (s *bidi) Type(limit time.Duration, text string) error {
	var strokes []any
	for _, key := range text {
		strokes = append(strokes, map[string]any{"type": "keyDown", "value": string(key)}, map[string]any{"type": "keyUp", "value": string(key)})
	}
	hand := map[string]any{"type": "key", "id": "hand", "actions": strokes}
	return s.here(limit, "input.performActions", map[string]any{"actions": []any{hand}}, nil)
}

func (s *bidi) Afresh(limit time.Duration) error {
	var opened struct{ Context string }
	if err := s.call(limit, "browsingContext.create", map[string]any{"type": "window"}, &opened); err != nil {
		return err
	}
	if err := s.here(limit, "browsingContext.close", map[string]any{}, nil); err != nil {
		return err
	}
	s.window = opened.Context
	return nil
}

func (s *bidi) Picture(limit time.Duration) ([]byte, error) {
	var picture struct{ Data string }
	if err := s.here(limit, "browsingContext.captureScreenshot", map[string]any{}, &picture); err != nil {
		return nil, err
	}
	return base64.StdEncoding.DecodeString(picture.Data)
}

func (s *bidi) Print(limit time.Duration, width, height, margin float64) ([]byte, error) {
	var paper struct{ Data string }
	if err := s.here(limit, "browsingContext.print", printed(width, height, margin), &paper); err != nil {
		return nil, err
	}
	return base64.StdEncoding.DecodeString(paper.Data)
}

// here sends a command that is about the window.
func (s *bidi) here(limit time.Duration, method string, params map[string]any, into any) error {
	params["context"] = s.window
	return s.call(limit, method, params, into)
}
