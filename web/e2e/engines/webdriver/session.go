// Package webdriver speaks the two W3C protocols that browsers are driven by,
// as much of them as the journeys need: WebDriver
// (https://www.w3.org/TR/webdriver2/), which a driver beside the browser
// speaks, and WebDriver BiDi (https://www.w3.org/TR/webdriver-bidi/), which
// Firefox speaks itself.
package webdriver

import (
	"encoding/json"
	"fmt"
	"math"
	"time"
)

// Session is one browser under control. Each call takes no longer than its limit.
type Session interface {
	// Close ends the browser.
	Close() error
	// Go opens an address.
	Go(limit time.Duration, url string) error
	// Resize makes the page so wide and high, and returns when it is.
	Resize(limit time.Duration, width, height int) error
	// Eval gives the value of an expression of the page, or of the promise it is.
	Eval(limit time.Duration, expression string, into any) error
	// Press presses and lets go at a point of the page.
	Press(limit time.Duration, x, y float64) error
	// Type types into whatever has the focus.
	Type(limit time.Duration, text string) error
	// Afresh closes the window and opens another in its place: the page, its scripts and all they had not stored are gone.
	Afresh(limit time.Duration) error
	// Picture is the page as it looks, as a PNG.
	Picture(limit time.Duration) ([]byte, error)
	// Print is the page on paper so large, in centimetres, with a margin all around, as a PDF. Nothing is shrunk to fit.
	Print(limit time.Duration, width, height, margin float64) ([]byte, error)
}

// protocolError is an error as both protocols say it: W3C WebDriver, "Errors"; W3C WebDriver BiDi, "Errors".
type protocolError struct {
	Code    string `json:"error"`
	Message string `json:"message"`
}

func (e protocolError) Error() string { return e.Code + ": " + e.Message }

// settled is the script of a promise that never fails: its text says what the expression gave, or what went wrong.
func settled(expression string) string {
	return fmt.Sprintf(`(async () => (%s))().then(v => JSON.stringify({value: v === undefined ? null : v}), e => JSON.stringify({failed: String(e)}))`, expression)
}

// unpack reads what a settled expression gave.
func unpack(text string, into any) error {
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

// press is a press at a point of the page, which both protocols write in the same way: W3C WebDriver, "Actions".
func press(x, y float64) map[string]any {
	return map[string]any{"type": "pointer", "id": "finger", "parameters": map[string]any{"pointerType": "mouse"}, "actions": []any{
		map[string]any{"type": "pointerMove", "duration": 0, "origin": "viewport", "x": int(math.Round(x)), "y": int(math.Round(y))},
		map[string]any{"type": "pointerDown", "button": 0},
		map[string]any{"type": "pointerUp", "button": 0},
	}}
}

// printed is what both protocols ask of a page on paper: W3C WebDriver, "Print Page"; W3C WebDriver BiDi, "browsingContext.print".
func printed(width, height, margin float64) map[string]any {
	return map[string]any{"shrinkToFit": false, "page": map[string]float64{"width": width, "height": height},
		"margin": map[string]float64{"top": margin, "bottom": margin, "left": margin, "right": margin}}
}
