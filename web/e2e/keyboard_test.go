package e2e

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"
)

// A pause can be read with a keyboard or a clicker alone: space answers, the
// stored value then asks to be compared, and S says that it is the same.
func TestPauseByKeyboard(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	b.open("/sheet/" + id + "/aloud")
	b.tapIn("main", "Sign in")
	b.tap("Start")
	b.sees("Line 1 of")
	b.pressUntil(" ", "Stored")
	b.pressUntil("s", "Line 2 of")
}

// pressUntil presses the key until the words appear (a line takes no answer faster than anybody can read it).
func (b *tablet) pressUntil(key, appear string) {
	b.t.Helper()
	eventually(b.t, fmt.Sprintf("%q appears after the key %q", appear, key), func() error {
		if text, err := b.text(); err != nil || strings.Contains(text, appear) {
			return err
		}
		b.press(key)
		time.Sleep(300 * time.Millisecond)
		return errors.New("not yet")
	})
}
