package engines

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"sideport/web/e2e/harness"
)

const (
	chopCard    = "brambledene-horizontal-chop"
	chopTitle   = "Horizontal chop, everyday"
	chopSurgeon = "Kofi Brambledene"
)

// The main job with no server: a case is set up, its limits read, three pauses
// read aloud, a drill opened in the middle of one, the papers printed and a
// limit changed; after the program was closed and opened again all of it is
// there, and reaches the server exactly once.
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
		b.looksAtLimits()
		b.beginsSignIn()
		b.opensDrill(id)
		b.readsAloud(id, "sign in", "Go on at line 2", "Line 2 of")
		b.readsAloud(id, "time out", "Start", "Line 1 of")
		b.readsAloud(id, "lens check", "Start", "Line 1 of")
		b.prints("/sheet/"+id+"/paper", "Starting limits")
		b.prints("/sheet/"+id+"/paper?part=pauses", "Lens check")
		b.prints("/cards/"+chopCard+"/paper", chopTitle)
		b.changes("390")

		b.reopen()
		b.open("/sheet/" + id + "/setup")
		b.sees("1 of ")
		b.open("/sheet/" + id + "/aloud")
		harness.Eventually(t, "the pauses that were read are complete", func() error {
			rows, err := eval[string](b, `[...document.querySelectorAll("a.pause-row")].filter(a => /complete/.test(a.innerText)).map(a => new URL(a.href).searchParams.get("pause")).join(", ")`)
			if err == nil && rows != "sign in, time out, lens check" {
				err = fmt.Errorf("complete are: %s", rows)
			}
			return err
		})
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
		if got := s.pauses(id); !slices.Equal(got, []string{"lens check done", "sign in done", "time out done"}) {
			t.Errorf("of the pauses the server has %q", got)
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

// looksAtLimits looks at the first two phases.
func (b *tablet) looksAtLimits() {
	b.t.Helper()
	b.tap("Limits")
	b.sees("confirm on the machine")
	b.tap("Next")
	b.sees("400 mmHg")
	b.screenshot("limits")
}

// beginsSignIn answers the first line of a pause, which alone brings the next.
func (b *tablet) beginsSignIn() {
	b.t.Helper()
	b.tap("Read aloud")
	b.tapIn("main", "Sign in")
	b.tap("Start")
	b.sees("Line 1 of")
	b.tapUntil("Answered", "Stored")
	b.screenshot("aloud")
	b.tapUntil("Same", "Line 2 of")
}

// readsAloud presses what leads to a line of a pause, then answers every line that is left with what is offered for it, until
// the record is kept.
func (b *tablet) readsAloud(id, pause, press, line string) {
	b.t.Helper()
	b.open("/sheet/" + id + "/aloud?pause=" + strings.ReplaceAll(pause, " ", "%20"))
	b.tapUntil(press, line)
	harness.Eventually(b.t, pause+" comes to its end", func() error {
		for range 40 { // presses; a pause has at most 14 lines
			text, err := b.text()
			press := "Answered"
			switch {
			case err != nil:
				return err
			case strings.Contains(text, "The record of this pause is kept on this device."):
				return nil
			case strings.Contains(text, "Is it the same as what was just said?"):
				press = "Same"
			}
			if err := b.tryTap("document", press); err != nil {
				return err
			}
			time.Sleep(300 * time.Millisecond) // a line takes no answer faster than anybody can read it
		}
		return errNotYet
	})
}

// prints has a paper laid out and holds that no page is larger than the A4 sheet it is meant for, and that as many sheets
// come out of the printer, of an engine whose driver prints.
func (b *tablet) prints(path, words string) {
	b.t.Helper()
	b.open(path)
	b.sees("page 1 of ")
	b.sees(words)
	// A4 is 210 mm × 297 mm (ISO 216), less a margin of 7 mm all around; 96 pixels are 25.4 mm (CSS Values and Units 4, 6.2).
	heights, err := eval[[]float64](b, `[...document.querySelectorAll(".paper > section.leaf")].map(leaf => {
		const s = getComputedStyle(leaf), px = name => parseFloat(s[name]);
		if (leaf.scrollWidth > leaf.clientWidth) throw new Error("something is wider than the page");
		return (leaf.offsetHeight - px("paddingTop") - px("paddingBottom") - px("borderTopWidth") - px("borderBottomWidth")) * 25.4 / 96;
	})`)
	if err != nil || len(heights) == 0 || slices.Max(heights) > 297-2*7 {
		b.t.Errorf("the pages of %s are %.0f mm high (%v)", path, heights, err)
	}
	b.stylesAreFlat()
	if !b.e.prints {
		return
	}
	pdf, err := b.session.Print(harness.Patience, 21, 29.7, 0.7)
	if err != nil {
		b.t.Fatalf("print %s: %v", path, err)
	}
	if got := harness.Pages(pdf); got != len(heights) {
		b.t.Errorf("%s prints on %d sheets, want %d", path, got, len(heights))
	}
}

// stylesAreFlat stands in for a printer where the driver has none: WebKitGTK 2.50, asked by hand, printed without the
// rules that are nested in others, and so put what is only there to be pressed on a second page.
func (b *tablet) stylesAreFlat() {
	b.t.Helper()
	nested, err := eval[[]string](b, `(() => { const within = rules => [...rules].flatMap(r => r.selectorText && r.cssRules?.length ? [r.selectorText] : within(r.cssRules || []));
		return [...document.styleSheets].flatMap(s => within(s.cssRules)); })()`)
	if err != nil || len(nested) > 0 {
		b.t.Errorf("rules have others nested in them: %q (%v)", nested, err)
	}
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
