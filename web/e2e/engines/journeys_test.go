package engines

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"sideport/web/e2e/harness"
)

const (
	chopCard    = "brambledene-horizontal-chop"
	chopTitle   = "Horizontal chop, everyday"
	chopSurgeon = "Kofi Brambledene"
)

// The main job with no server: a case is set up, its limits read, a pause read
// aloud, a drill opened and a limit changed; after the program was closed and
// opened again all of it is there, and reaches the server exactly once.
func TestTheatreOffline(t *testing.T) {
	everyEngine(t, func(t *testing.T, e engine) {
		s := startServer(t)
		b := newTablet(t, s, e)
		b.becomes(chopSurgeon)
		b.open("/")
		b.sees("Demonstration: invented unit")
		b.installed()
		before := s.document("card", chopCard)

		s.kill()
		b.reopen()
		b.open("/cards/" + chopCard)
		b.sees(chopTitle)
		b.sees("no network")
		id := b.setsUp()
		b.reads()
		b.opensDrill(id)
		b.changes("390")
		b.sees("1 edit waiting")

		b.reopen()
		b.open("/sheet/" + id + "/setup")
		b.sees("1 of ")
		b.open("/waiting")
		b.sees("Chop vacuum 400 → 390 mmHg")
		s.start()
		b.tap("Send now")
		b.sees("Nothing is waiting")

		after := s.document("card", chopCard)
		if after.Rev != before.Rev+1 || len(after.History) != len(before.History)+1 {
			t.Fatalf("revision %d became %d with %d new entries; want exactly one", before.Rev, after.Rev, len(after.History)-len(before.History))
		}
		if last := after.History[len(after.History)-1]; !slices.Equal(last.Changes, []string{"Chop vacuum 400 → 390 mmHg"}) {
			t.Errorf("the newest entry of the history is %+v", last)
		}
		if c := s.document("case", id); c.Rev != 1 {
			t.Errorf("the case is at revision %d, want 1", c.Rev)
		}
	})
}

// setsUp puts a new case on the list, makes its sheet and ticks one thing; it returns the case's id.
func (b *tablet) setsUp() string {
	b.t.Helper()
	b.open("/case/new")
	b.tap("right eye")
	b.tap(chopSurgeon)
	b.tap(chopTitle)
	b.tap("Make the sheet")
	b.sees("0 of ")
	b.sees("Right eye")
	b.tapIn("main", "Lid speculum")
	b.sees("1 of ")
	b.screenshot("setup")
	path := strings.Split(b.where(), "/")
	if len(path) < 4 || path[1] != "sheet" {
		b.t.Fatalf("after making the sheet the tablet shows %q", path)
	}
	return path[2]
}

// reads looks at the first two phases and answers the first line of a pause, which alone brings the next.
func (b *tablet) reads() {
	b.t.Helper()
	b.tap("Limits")
	b.sees("confirm on the machine")
	b.tap("Next")
	b.sees("400 mmHg")
	b.screenshot("limits")
	b.tap("Read aloud")
	b.tapIn("main", "Sign in")
	b.tap("Start")
	b.sees("Line 1 of")
	b.tapUntil("Answered", "Stored")
	b.screenshot("aloud")
	b.tapUntil("Same", "Line 2 of")
}

// opensDrill goes from the pause to a drill in two taps.
func (b *tablet) opensDrill(id string) {
	b.t.Helper()
	b.tap("If…")
	b.tap("Posterior capsule torn")
	b.sees("Say")
	b.screenshot("drill")
	if at := b.where(); at != "/sheet/"+id+"/if/posterior-capsule-torn" {
		b.t.Errorf("the drill is at %s", at)
	}
}

// changes changes one limit of the card and keeps it.
func (b *tablet) changes(vacuum string) {
	b.t.Helper()
	b.open("/cards/" + chopCard + "/edit?part=limits&phase=chop")
	b.write("Vacuum", vacuum)
	b.tap("Look and keep")
	b.sees(" → " + vacuum + " mmHg")
	b.write("Reason, in one line", "Softer today")
	b.tap("Keep")
	b.sees("Kept on this device.")
}

// Two people change one limit differently, one of them with no network: both
// values are shown on both tablets until somebody decides.
func TestTwoValues(t *testing.T) {
	everyEngine(t, func(t *testing.T, e engine) {
		s := startServer(t)
		theatre, office := newTablet(t, s, e), newTablet(t, s, e)
		for _, b := range []*tablet{theatre, office} {
			b.becomes(chopSurgeon)
			b.installed()
		}
		s.kill()
		theatre.changes("390")
		theatre.away()
		s.start()
		office.changes("380")
		s.has("380")

		theatre.back()
		for _, b := range []*tablet{theatre, office} {
			b.open("/cards/" + chopCard)
			b.sees("Two values, not resolved")
			b.sees("380 mmHg")
			b.sees("390 mmHg")
		}
		if got := s.chopVacuum(); got != "380" {
			t.Errorf("before the decision the card holds %s mmHg, want the 380 that came first", got)
		}
		office.decides("390")
		s.has("390")
		theatre.open("/cards/" + chopCard)
		theatre.seesNot("not resolved")
	})
}

// away closes the page and leaves it closed; back opens the program again.
func (b *tablet) away() {
	b.t.Helper()
	if b.e.keeps {
		b.shut()
	} else {
		b.reopen()
	}
}

func (b *tablet) back() {
	b.t.Helper()
	if b.e.keeps {
		b.launch()
	}
	b.open("/cards/" + chopCard)
}

// decides takes the side that says the vacuum.
func (b *tablet) decides(vacuum string) {
	b.t.Helper()
	spot := fmt.Sprintf(`(() => { const side = [...document.querySelectorAll("li, section, div")]
		.filter(e => e.innerText.replace(/\s+/g, " ").includes(%s) && [...e.querySelectorAll("button")].filter(x => x.innerText.includes("This one holds")).length === 1)
		.sort((x, y) => x.innerText.length - y.innerText.length)[0];
		if (!side) return false; side.querySelector("button").setAttribute("aria-label", "decide for " + %s); return true; })()`, harness.Quoted(vacuum+" mmHg"), harness.Quoted(vacuum))
	harness.Eventually(b.t, "the side can be taken", func() error {
		found, err := eval[bool](b, spot)
		if err == nil && !found {
			err = fmt.Errorf("no side with %s mmHg", vacuum)
		}
		return err
	})
	b.tap("decide for " + vacuum)
	b.sees("Decided")
}

// A new version of the program is offered, taken when somebody says so, and has
// what the version before it kept.
func TestNewVersion(t *testing.T) {
	everyEngine(t, func(t *testing.T, e engine) {
		s := startServer(t)
		b := newTablet(t, s, e)
		b.becomes(chopSurgeon)
		b.installed()
		s.kill()
		b.changes("390")
		s.updates()
		b.reopen()
		b.open("/")
		b.sees("A new version is ready.")
		b.tap("Take it now")
		harness.Eventually(t, "the page is of the next version", func() error {
			build, err := eval[string](b, `document.querySelector("meta[name=build]").content`)
			if err == nil && build != harness.NextBuild {
				err = fmt.Errorf("it is of %s", build)
			}
			return err
		})
		s.has("390")
		b.open("/waiting")
		b.sees("Nothing is waiting")
	})
}
