package e2e

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// screen is one screen of the app, or one state of it.
type screen struct {
	name, path, words string // the words show that it is drawn; in the path CASE stands for a case with a sheet in use, and DAY for today
	theatre           bool   // read in a dim room, from further away
	lead              bool   // for the unit lead's eyes; these stand together, since a change of person takes a PIN
	reach             func(b *tablet)
}

// screens are the screens of the app.
var screens = []screen{
	{name: "today", path: "/", words: "No sheet yet", theatre: true},
	{name: "list-setup", path: "/list/DAY/setup", words: "Opened on the table", theatre: true},
	{name: "list-brief", path: "/list/DAY/brief", words: "Once for the whole list", theatre: true},
	{name: "list-order", path: "/list/DAY/order", words: "Nothing is moved yet"},
	{name: "cards", path: "/cards", words: "Find a card"},
	{name: "card", path: "/cards/" + chopCard, words: chopTitle, theatre: true},
	{name: "history", path: "/cards/" + chopCard + "/history", words: "Revision 1"},
	{name: "edit", path: "/cards/" + chopCard + "/edit?part=limits&phase=chop", words: "Vacuum"},
	{name: "compare-choice", path: "/cards/" + chopCard + "/compare", words: "With another card"},
	{name: "compare", path: "/cards/" + chopCard + "/compare/lanternby-flip", words: "differences"},
	{name: "newcard", path: "/cards/new", words: "Title"},
	{name: "case", path: "/case/CASE", words: "Which eye"},
	{name: "setup", path: "/sheet/CASE/setup", words: "Special for this case", theatre: true},
	{name: "limits", path: "/sheet/CASE/limits", words: "confirm on the machine", theatre: true},
	{name: "aloud", path: "/sheet/CASE/aloud", words: "Sign in", theatre: true},
	{name: "line", path: "/sheet/CASE/aloud?pause=sign%20in", words: "Sign in", theatre: true, reach: (*tablet).begins},
	{name: "stored", path: "/sheet/CASE/aloud?pause=sign%20in", words: "Sign in", theatre: true, reach: func(b *tablet) { b.begins(); b.tapUntil("Answered", "Stored") }},
	{name: "differs", path: "/sheet/CASE/aloud?pause=sign%20in", words: "Sign in", theatre: true, reach: func(b *tablet) { b.begins(); b.tapUntil("Answered", "Stored"); b.tapUntil("Different", "They differ") }},
	{name: "wall", path: "/sheet/CASE/aloud?pause=sign%20in", words: "Sign in", theatre: true, reach: (*tablet).acrossTheRoom},
	{name: "records", path: "/records/CASE", words: "What was read aloud"},
	{name: "if-anywhere", path: "/if", words: "the one last worked on here", theatre: true},
	{name: "if", path: "/sheet/CASE/if", words: "Posterior capsule torn", theatre: true},
	{name: "drill", path: "/sheet/CASE/if/posterior-capsule-torn", words: "Circulating nurse", theatre: true},
	{name: "waiting", path: "/waiting", words: "Nothing is waiting"},
	{name: "set-aside", path: "/waiting/set-aside", words: "set aside"},
	{name: "person", path: "/person", words: chopSurgeon},
	{name: "proposals", path: "/proposals", words: "proposal"},
	{name: "reckon", path: "/reckon", words: "Pressure in other units"},
	{name: "risk", path: "/risk/CASE", words: "risk"},
	{name: "help", path: "/help", words: "By what you do"},
	{name: "help-nurse", path: "/help/scrub-nurse", words: "For the scrub nurse"},
	{name: "about", path: "/about", words: "What it is for"},
	{name: "card-paper", path: "/cards/" + chopCard + "/paper", words: "page 1 of"},
	{name: "setup-paper", path: "/sheet/CASE/paper", words: "page 1 of"},
	{name: "pauses-paper", path: "/sheet/CASE/paper?part=pauses", words: "page 1 of"},
	{name: "help-page", path: "/help/scrub-nurse", words: "Laying out"},
	{name: "nothing-here", path: "/nothing-here", words: "There is nothing at this address"},
	{name: "rules", path: "/rules", words: "Title of the rule", lead: true},
	{name: "rules-settings", path: "/rules/settings", words: "What would change", lead: true},
	{name: "rules-pauses", path: "/rules/pauses", words: "Sign in", lead: true},
	{name: "rules-history", path: "/rules/history", words: "Revision 1", lead: true},
	{name: "office", path: "/office", words: "Let a device in", lead: true},
	{name: "office-devices", path: "/office/devices", words: "Devices of the unit", lead: true},
	{name: "office-people", path: "/office/people", words: "People of the unit", lead: true},
	{name: "office-record", path: "/office/audit", words: "Take it away as a file", lead: true},
}

// begins starts the pause on the screen from its first line, without the answers of an earlier time.
func (b *tablet) begins() {
	b.t.Helper()
	const again, cleared = "Start this pause again", "Started again: no answers."
	eventually(b.t, "the pause is begun", func() error {
		text, err := b.text()
		switch {
		case err != nil:
			return err
		case strings.Contains(text, b.in(again)):
			if err := b.tryTap("document", again); err != nil {
				return err
			}
			b.sees(cleared)
		case strings.Contains(text, b.in("Line 1 of")):
			return nil
		default:
			if err := b.tryTap("document", "Start"); err != nil {
				return err
			}
		}
		return errors.New("not yet")
	})
}

// signedInFor makes the unit lead the person for the screens that are the unit lead's, and a surgeon for the others after that.
func (b *tablet) signedInFor(s screen) {
	b.t.Helper()
	switch {
	case s.lead && b.person != unitLead:
		b.becomes(unitLead)
	case !s.lead && b.person == unitLead:
		b.becomes(chopSurgeon)
	}
}

// show opens a screen and waits until it is drawn.
func (b *tablet) show(s screen, caseID string) {
	b.t.Helper()
	b.signedInFor(s)
	b.open(replaceCase(s.path, caseID))
	b.sees(s.words)
	if s.reach != nil {
		s.reach(b)
	}
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
			for _, screen := range screens {
				b.show(screen, id)
				for _, look := range []string{"dim", "bright"} {
					b.wear(look)
					b.fits(screen.name)
					b.settle()
					b.screenshot(screen.name + "-" + look)
					if size == upright && screen.theatre && look == "dim" {
						b.inOtherEyes(screen.name)
					}
				}
			}
		})
	}
}

// inOtherEyes keeps a picture of the screen as people with other colour vision see it.
func (b *tablet) inOtherEyes(name string) {
	b.t.Helper()
	for _, kind := range []emulation.SetEmulatedVisionDeficiencyType{"protanopia", "deuteranopia", "tritanopia", "achromatopsia", "none"} {
		b.do("see with "+string(kind), func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
			_, err := chromedp.Call(ctx, emulation.SetEmulatedVisionDeficiency, emulation.SetEmulatedVisionDeficiencyParams{Type: kind})
			return chromedp.Void{}, err
		})
		if kind != "none" {
			b.screenshot(name + "-seen-with-" + string(kind))
		}
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
	return strings.NewReplacer("CASE", id, "DAY", time.Now().Format(time.DateOnly)).Replace(path)
}

// wear changes to the look by its own button where needed; in the wall view, which has no button, as the button would.
func (b *tablet) wear(look string) {
	b.t.Helper()
	button := map[string]string{"dim": "Dim look", "bright": "Bright look"}[look]
	offered, err := eval[bool](b, fmt.Sprintf(`[...document.querySelectorAll("button")].some(e => e.checkVisibility() && (e.getAttribute("aria-label") === %s || e.innerText === %s))
		|| (document.documentElement.dataset.look = %s, false)`, quoted(button), quoted(button), quoted(look)))
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
