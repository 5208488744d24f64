package e2e

import (
	"errors"
	"fmt"
	"testing"
)

// screens are the screens of the app and words that show each is drawn. CASE stands for a case with a sheet in use.
var screens = []struct{ name, path, words string }{
	{"today", "/", "No sheet yet"},
	{"cards", "/cards", "Find a card"},
	{"card", "/cards/" + chopCard, chopTitle},
	{"history", "/cards/" + chopCard + "/history", "Revision 1"},
	{"edit", "/cards/" + chopCard + "/edit?part=limits&phase=chop", "Vacuum"},
	{"newcard", "/cards/new", "Title"},
	{"case", "/case/CASE", "Which eye"},
	{"setup", "/sheet/CASE/setup", "Special for this case"},
	{"limits", "/sheet/CASE/limits", "confirm on the machine"},
	{"aloud", "/sheet/CASE/aloud", "Sign in"},
	{"if", "/sheet/CASE/if", "Posterior capsule torn"},
	{"drill", "/sheet/CASE/if/posterior-capsule-torn", "Circulating nurse"},
	{"waiting", "/waiting", "Nothing is waiting"},
	{"person", "/person", chopSurgeon},
	{"about", "/about", "What it is for"},
}

// Every screen, in both looks and at every size, shows its words, fits the
// width, and makes neither the page nor its content policy complain. With
// SIDEPORT_PICTURES it leaves a picture of each.
func TestScreens(t *testing.T) {
	for _, size := range []size{phone, upright, desk, {360, 640}} {
		t.Run(fmt.Sprintf("%dx%d", size.width, size.height), func(t *testing.T) {
			s := startServer(t)
			b := newTablet(t, s, size)
			b.becomes(chopSurgeon)
			id := b.firstSheet()
			for _, look := range []string{"dim", "bright"} {
				for _, screen := range screens {
					b.open(replaceCase(screen.path, id))
					b.sees(screen.words)
					b.wear(look)
					b.fits(screen.name)
					b.settle()
					b.screenshot(screen.name + "-" + look)
				}
			}
		})
	}
}

// firstSheet makes the sheet of a case of the demonstration that has something special and returns the case's id.
func (b *tablet) firstSheet() string {
	b.t.Helper()
	b.open("/")
	b.sees("No sheet yet")
	id, err := eval[string](b, `[...document.querySelectorAll("a[href^='/sheet/']")].map(a => a.getAttribute("href").split("/")[2])[2]`)
	if err != nil {
		b.t.Fatalf("find the third case: %v", err)
	}
	b.open("/sheet/" + id + "/setup")
	b.tapUntil("Make the sheet", "0 of ")
	return id
}

func replaceCase(path, id string) string {
	const mark = "CASE"
	for i := 0; i+len(mark) <= len(path); i++ {
		if path[i:i+len(mark)] == mark {
			return path[:i] + id + path[i+len(mark):]
		}
	}
	return path
}

// wear changes to the look by its own button where needed.
func (b *tablet) wear(look string) {
	b.t.Helper()
	button := map[string]string{"dim": "Dim look", "bright": "Bright look"}[look]
	offered, err := eval[bool](b, fmt.Sprintf(`[...document.querySelectorAll("button")].some(e => e.getAttribute("aria-label") === %s || e.innerText === %s)`, quoted(button), quoted(button)))
	if err != nil {
		b.t.Fatal(err)
	}
	if offered {
		b.tap(button)
	}
}

// fits holds that nothing has to be scrolled sideways.
func (b *tablet) fits(name string) {
	b.t.Helper()
	wide, err := eval[int64](b, `document.documentElement.scrollWidth`)
	if err == nil && wide > b.size.width {
		err = errors.New("it is wider than the screen")
	}
	if err != nil {
		b.t.Errorf("%s: %v (%d of %d)", name, err, wide, b.size.width)
	}
}
