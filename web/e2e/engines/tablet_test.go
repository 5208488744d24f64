package engines

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sideport/web/e2e/engines/webdriver"
	"sideport/web/e2e/harness"
)

// A tablet held upright.
const width, height = 820, 1180

// oneTry bounds one attempt at something, so that one that hangs is made again.
const oneTry = 10 * time.Second

// tablet is one browser in somebody's hands.
type tablet struct {
	t       *testing.T
	s       *server
	e       engine
	opens   func() webdriver.Session
	session webdriver.Session
}

func newTablet(t *testing.T, s *server, e engine) *tablet {
	t.Helper()
	b := &tablet{t: t, s: s, e: e, opens: e.ready(t, t.TempDir())}
	t.Cleanup(b.shut) // before the driver ends
	b.launch()
	b.enrols()
	return b
}

// enrols lets the tablet in as somebody's own.
func (b *tablet) enrols() {
	b.t.Helper()
	b.open("/licences.txt") // a page that leaves the storage alone
	status, err := eval[int](b, harness.EnrolScript(harness.DemoCode(b.t, b.s.url(""), "personal")))
	if err != nil || status != 200 {
		b.t.Fatalf("the tablet was not let in: %d, %v", status, err)
	}
}

func (b *tablet) launch() {
	b.t.Helper()
	b.session = b.opens()
	b.sized()
}

func (b *tablet) sized() {
	b.t.Helper()
	if err := b.session.Resize(harness.Patience, width, height); err != nil {
		b.t.Fatalf("make the window as large as a tablet: %v", err)
	}
}

func (b *tablet) shut() {
	if b.session != nil {
		b.session.Close()
		b.session = nil
	}
}

// reopen closes the program as a person would, and opens it again, cold.
func (b *tablet) reopen() {
	b.t.Helper()
	if b.e.keeps {
		b.shut()
		b.launch()
		return
	}
	if err := b.session.Afresh(harness.Patience); err != nil {
		b.t.Fatalf("close the window and open another: %v", err)
	}
	b.sized()
}

// open goes to a path of the app. With the server gone it works from what the tablet has stored.
func (b *tablet) open(path string) {
	b.t.Helper()
	if err := b.session.Go(harness.Patience, b.s.url(path)); err != nil {
		b.t.Fatalf("open %s: %v", path, err)
	}
}

func eval[T any](b *tablet, script string) (T, error) {
	var v T
	err := b.session.Eval(oneTry, script, &v)
	return v, err
}

func (b *tablet) text() (string, error) { return eval[string](b, harness.Text) }

func (b *tablet) where() string {
	at, err := eval[string](b, "location.pathname")
	if err != nil {
		return "a page that does not answer"
	}
	return at
}

// sees waits until the words stand on the screen.
func (b *tablet) sees(words string) {
	b.t.Helper()
	harness.Eventually(b.t, fmt.Sprintf("%q stands on %s", words, b.where()), func() error {
		text, err := b.text()
		if err == nil && !strings.Contains(text, words) {
			err = fmt.Errorf("the screen says: %.1500s", text)
		}
		return err
	})
}

// seesNot waits until the words are gone from the screen.
func (b *tablet) seesNot(words string) {
	b.t.Helper()
	harness.Eventually(b.t, fmt.Sprintf("%q is gone from %s", words, b.where()), func() error {
		text, err := b.text()
		if err == nil && strings.Contains(text, words) {
			err = fmt.Errorf("the screen says: %.1500s", text)
		}
		return err
	})
}

// tap presses what carries the words, with a real press at its middle.
func (b *tablet) tap(words string) {
	b.t.Helper()
	b.tapIn("document", words)
}

// tapIn presses what carries the words inside the element a selector names.
func (b *tablet) tapIn(selector, words string) {
	b.t.Helper()
	harness.Eventually(b.t, fmt.Sprintf("%q can be tapped on %s", words, b.where()), func() error { return b.tryTap(selector, words) })
}

func (b *tablet) tryTap(selector, words string) error {
	text, err := b.text()
	if err != nil {
		return err
	}
	spot, err := eval[*harness.Spot](b, harness.FindSpot(selector, words))
	if err != nil {
		return err
	}
	if err := spot.Wrong(text); err != nil {
		return err
	}
	if err := b.session.Press(oneTry, spot.X, spot.Y); err != nil {
		// The press may have arrived although nobody said so: then it counts, and is not made twice.
		if hit, lost := eval[*bool](b, harness.HasLanded); lost == nil && hit != nil && *hit {
			return nil
		}
		return err
	}
	hit, err := eval[*bool](b, harness.HasLanded)
	return harness.Landed(hit, err)
}

// tapUntil presses until the words appear: a line read aloud takes no answer faster than anybody can read it.
func (b *tablet) tapUntil(words, appear string) {
	b.t.Helper()
	harness.Eventually(b.t, fmt.Sprintf("%q appears after pressing %q", appear, words), func() error {
		if text, err := b.text(); err != nil || strings.Contains(text, appear) {
			return err
		}
		if err := b.tryTap("document", words); err != nil {
			return err
		}
		time.Sleep(300 * time.Millisecond)
		return errNotYet
	})
}

// write replaces the content of the field with the label.
func (b *tablet) write(label, text string) {
	b.t.Helper()
	harness.Eventually(b.t, fmt.Sprintf("the field %q is there on %s", label, b.where()), func() error {
		wrong, err := eval[string](b, harness.FocusField(label))
		if err == nil && wrong != "" {
			err = errors.New(wrong)
		}
		return err
	})
	if err := b.session.Type(oneTry, text); err != nil {
		b.t.Fatalf("type into %s: %v", label, err)
	}
}

// installed waits until everything needed offline is on the tablet.
func (b *tablet) installed() {
	b.t.Helper()
	harness.Eventually(b.t, "the app is installed for offline use", func() error {
		whole, err := eval[bool](b, harness.Installed)
		if err == nil && !whole {
			err = errors.New("no active worker, or no core in its store")
		}
		return err
	})
}

// becomes is how every journey gets its person. A press that reached the name and chose nobody is noted, and made again
// on the page opened afresh.
func (b *tablet) becomes(person string) {
	b.t.Helper()
	within := func(words string) bool {
		for end := time.Now().Add(oneTry); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
			if text, err := b.text(); err == nil && strings.Contains(text, words) {
				return true
			}
		}
		return false
	}
	harness.Eventually(b.t, person+" is signed in", func() error { // WebKit has been seen to leave a page white until it was opened again
		b.open("/person")
		if !within("Who is editing?") {
			b.t.Logf("%s: the page stays white: once more", b.e.name)
			return errNotYet
		}
		if text, err := b.text(); err == nil && strings.Contains(text, "Editing as "+person) {
			return nil
		}
		b.tap(person)
		b.write("PIN of "+person, b.s.process.PIN(b.t, person))
		if !within("Editing as " + person) {
			return errNotYet
		}
		return nil
	})
}

// screenshot keeps a picture when SIDEPORT_PICTURES names a folder.
func (b *tablet) screenshot(name string) {
	b.t.Helper()
	dir := os.Getenv("SIDEPORT_PICTURES")
	if dir == "" {
		return
	}
	picture, err := b.session.Picture(harness.Patience)
	if err != nil {
		b.t.Fatalf("take the picture %s: %v", name, err)
	}
	if err := os.WriteFile(filepath.Join(dir, b.e.name+"-"+name+".png"), picture, 0o644); err != nil {
		b.t.Fatal(err)
	}
}
