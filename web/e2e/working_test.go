package e2e

import (
	"fmt"
	"strings"
	"testing"
)

// The limit of lidocaine is the one the unit has set, filled in and named in
// the result, with the labels that disagree beside it. 50 kg at 3 mg per kg is 150 mg.
func TestTheAnaestheticLimitIsTheUnits(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.open("/reckon")
	b.tap("Lidocaine in total")
	eventually(t, "the unit's limit is filled in", func() error {
		value, err := eval[string](b, `[...document.querySelectorAll("input")].map(i => i.value).join("|")`)
		if err == nil && !strings.Contains("|"+value+"|", "|3|") {
			err = fmt.Errorf("the fields hold %q", value)
		}
		return err
	})
	b.tap("Add a row")
	b.write("What", "Block")
	b.write("Strength", "2 %")
	b.write("Volume", "3")
	b.write("Body weight", "50")
	b.sees("This is held against the unit's own limit: 3 mg per kg.")
	b.sees("150 mg")
	b.sees("at most 200 mg, here 200 mg")
}

// An edit whose whole content became a question changed no value, and its history says what it left open.
func TestHistorySaysWhatWasLeftOpen(t *testing.T) {
	s := startServer(t)
	card := s.document("card", chopCard).Body
	for n, words := range []string{"One says this", "Another says that"} {
		s.change(n+1, card, func(c map[string]any) { element(c, "items", "lid-speculum")["note"] = words })
	}
	b := newTablet(t, s, upright)
	b.open("/cards/" + chopCard + "/history")
	b.sees("One says this")
	b.sees("Two values, not resolved: Item Lid speculum")
	text, err := b.text()
	if err != nil || strings.Contains(text, "No change in words") {
		t.Errorf("the history says that nothing changed (%v): %.1500s", err, text)
	}
}
