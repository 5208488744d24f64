package e2e

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
)

// A tablet never reaches the server again. What waited on it is saved as a
// file, taken in on another one, and on the server once, under the name of who
// made it; also when the file is taken twice and the first tablet does come back.
func TestWaitingFile(t *testing.T) {
	s := startServer(t)
	lost, other := newTablet(t, s, upright), newTablet(t, s, desk)
	lost.becomes(chopSurgeon)
	other.becomes(flipSurgeon)
	for _, b := range []*tablet{lost, other} {
		b.installed()
	}
	before := s.document("card", chopCard)
	s.kill()
	lost.changeLimit(chopCard, "chop", "390")
	lost.changeLimit(chopCard, "segment-removal", "350")
	lost.open("/waiting")
	file := lost.savedFile()
	lost.shut()

	other.open("/waiting")
	other.takesIn(file)
	other.sees("2 edits taken in")
	other.sees("Chop vacuum 400 → 390 mmHg")
	other.sees("Kofi Brambledene: Softer today")
	other.takesIn(file)
	other.sees("Nothing changed")
	other.open("/cards/" + chopCard + "/limits")
	other.sees("390 mmHg")

	s.start()
	other.open("/waiting")
	other.sees("Nothing is waiting")
	want := []string{"Chop vacuum 400 → 390 mmHg", "Segment removal vacuum 380 → 350 mmHg"}
	s.holds(t, before, want)
	other.takesIn(file)
	other.sees("Nothing changed")
	other.sees("Nothing is waiting")

	lost.launch()
	lost.open("/waiting")
	lost.sees("Nothing is waiting")
	s.holds(t, before, want)
}

// A wrong file changes nothing, and the screen says what is wrong with it.
func TestWrongWaitingFile(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.open("/waiting")
	edit := `{"id":"11111111111111111111111111111111","kind":"card","doc":"x","parent":-1,"author":"a","device":"11111111111111111111111111111111","made":"2027-03-31T07:42:00Z","reason":"","body":{}}`
	for _, c := range []struct{ file, says string }{
		{"# A card\n", "this is not a file of waiting edits"},
		{`{"epoch":"` + s.epoch() + `","edits":[` + edit + `]}`, "edit 1 of the file has no right “parent”"},
		{`{"epoch":"another","edits":[` + strings.Replace(edit, "-1", "1", 1) + `]}`, "another state of the server"},
	} {
		b.takesIn(c.file)
		b.sees(c.says)
		b.sees("Nothing is waiting")
	}
}

// savedFile presses the button and returns what would be in the file.
func (b *tablet) savedFile() string {
	b.t.Helper()
	if _, err := eval[bool](b, `(() => { window.saved = ""; const real = URL.createObjectURL;
		URL.createObjectURL = blob => { blob.text().then(text => { window.saved = text; }); return real(blob); }; return true; })()`); err != nil {
		b.t.Fatal(err)
	}
	b.tap("Save what is waiting as a file")
	var file string
	eventually(b.t, "the file is made", func() error {
		var err error
		if file, err = eval[string](b, "window.saved"); err == nil && file == "" {
			err = errors.New("not yet")
		}
		return err
	})
	if !json.Valid([]byte(file)) {
		b.t.Fatalf("the file is no JSON: %.200s", file)
	}
	return file
}

// takesIn chooses a file for the screen, as the system's file dialog would.
func (b *tablet) takesIn(content string) {
	b.t.Helper()
	script := fmt.Sprintf(`(() => { const input = document.querySelector("input[type=file]"); if (!input) return false;
		const files = new DataTransfer(); files.items.add(new File([%s], "sideport-waiting.json", {type: "application/json"}));
		input.files = files.files; input.dispatchEvent(new Event("change", {bubbles: true})); return true; })()`, quoted(content))
	eventually(b.t, "a file can be chosen on "+b.where(), func() error {
		found, err := eval[bool](b, script)
		if err == nil && !found {
			err = errors.New("there is no field for a file")
		}
		return err
	})
}

// holds checks that a document holds exactly these changes since it was read, in this order.
func (s *server) holds(t *testing.T, before document, want []string) {
	t.Helper()
	got := changesSince(s.document(before.Kind, before.ID), before.Rev)
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("%s %s has %q since revision %d, want %q", before.Kind, before.ID, got, before.Rev, want)
	}
}
