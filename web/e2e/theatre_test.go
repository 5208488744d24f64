package e2e

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// holds waits until a script says true; otherwise it says what is wrong.
func (b *tablet) holds(what, script string) {
	b.t.Helper()
	eventually(b.t, what+" on "+b.where(), func() error {
		wrong, err := eval[string](b, script)
		if err == nil && wrong != "" {
			err = errors.New(wrong)
		}
		return err
	})
}

// targets holds that everything that can be pressed inside a part of the page is a target of so many pixels.
func (b *tablet) targets(part string, least int) {
	b.t.Helper()
	b.holds(fmt.Sprintf("every target in %s is %d px", part, least), fmt.Sprintf(`[...document.querySelectorAll(%s)]
		.filter(e => e.matches("a, button, summary, [role=checkbox]") && e.checkVisibility({visibilityProperty: true}))
		.map(e => ({ words: e.innerText || e.getAttribute("aria-label"), ...e.getBoundingClientRect().toJSON() }))
		.filter(r => r.width > 0 && (r.width < %d - 0.5 || r.height < %d - 0.5)).map(r => r.words + " is " + r.width + " by " + r.height).join("; ")`,
		quoted(part+" *"), least, least))
}

// On a phone the first thing to lay out is in sight when Set up opens, whatever there is to mind, and the cautions are
// one band that says how many they are and can be opened.
func TestTheFirstThingToLayOutIsInSight(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.open("/sheet/" + b.firstSheet() + "/setup")
	b.sees("2 cautions")
	b.holds("the name of the first row is in sight", `(() => { const name = document.querySelector(".tick .setrow-name"), tabs = document.querySelector(".tabs");
		if (!name) return "there is no row";
		const r = name.getBoundingClientRect(), end = tabs.getBoundingClientRect().top;
		return scrollY === 0 && r.bottom <= end ? "" : "it ends at " + r.bottom + " of " + end + ", scrolled by " + scrollY; })()`)
	b.fits("set up")
	b.targets(".top", 48)
	b.targets(".top-row > .button, .top-back", 78)
	b.targets(".setup", 78)
	b.tap("2 cautions")
	b.sees("Tamsulosin, ever")
	b.sees("2 facts not known: asked at the pauses, never read as no.")
}

// An allergy is named where the cautions are folded, before every other caution, and in the row of the day's list.
func TestAnAllergyIsNamed(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.open("/")
	b.sees("Allergy: latex")
	b.sees("Allergy: iodine, cephalosporin")
	id := s.caseOf("lanternby-vertical-chop")
	b.open("/sheet/" + id + "/setup")
	b.sees("Saffron Lanternby")
	b.tapUntil("Make the sheet", "0 of ")
	b.holds("the folded band names the allergy", `(() => { const named = document.querySelector(".specials-fold .specials-named");
		return named?.innerText.includes("Allergy: latex") && named.checkVisibility() ? "" : "it says " + named?.innerText; })()`)
	b.holds("the first caution is about it", `(() => { const first = document.querySelector(".specials-first").innerText;
		return first.startsWith("Latex allergy") ? "" : "it is " + first; })()`)
}

// What is folded on the screen stands open on paper.
func TestPaperCarriesTheCautions(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.open("/sheet/" + b.firstSheet() + "/setup")
	b.sees("2 cautions")
	b.holds("the cautions are folded", `document.body.innerText.includes("Tamsulosin, ever") ? "they are not" : ""`)
	b.do("print", func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
		return chromedp.Void{}, err
	})
	b.sees("Tamsulosin, ever")
	b.sees("2 facts not known: asked at the pauses, never read as no.")
}

// A tick, as the page gets it: where the finger came down, and the press that came of it.
const pressOn = `const down = e => e.dispatchEvent(new PointerEvent("pointerdown", {bubbles: true}));
	const up = (e, detail = 1) => { const r = e.getBoundingClientRect();
		e.dispatchEvent(new MouseEvent("click", {bubbles: true, detail, clientX: r.x + r.width / 2, clientY: r.y + 20})); };
	const rows = [...document.querySelectorAll(".tick")];`

// A touch that is told twice is one tick, and a press that began before a row
// lay under the finger ticks nothing; a key ticks as before, and what was done can be undone both ways.
func TestGhostTapsTickNothing(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.open("/sheet/" + b.firstSheet() + "/setup")
	b.sees("0 of 56")
	press := func(script string) {
		t.Helper()
		if _, err := eval[any](b, "(() => {"+pressOn+script+"})()"); err != nil {
			t.Fatal(err)
		}
	}
	press(`down(document.body); up(rows[1])`) // the row came to lie under the finger
	press(`down(rows[0]); up(rows[0]); down(rows[0]); up(rows[0])`)
	b.sees("1 of 56")
	press(`rows[1].focus(); up(rows[1], 0)`) // a key: no finger came down
	b.sees("2 of 56")
	b.tap("Undo the tick of ")
	b.sees("1 of 56")
	b.tap("Undo")
	b.sees("2 of 56")
	b.tap("What is left")
	b.sees("54 left")
}

// A thing that is struck says why in its own line, without a touch.
func TestStruckThingsSayWhy(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.open("/sheet/" + s.caseOf("pebblewick-divide-and-conquer") + "/setup")
	b.tapUntil("Make the sheet", "0 of ")
	b.holds("every struck row has a reason", `(() => { const rows = [...document.querySelectorAll(".struck")];
		if (rows.length === 0) return "nothing is struck";
		return rows.filter(r => !/house rule|variant|fact|card/.test(r.querySelector(".because")?.innerText || "")).map(r => r.innerText).join("; "); })()`)
}

// glove posts an edit of the chop card from one revision to the next.
func (s *server) glove(parent int, body json.RawMessage, size string) {
	s.t.Helper()
	var card map[string]any
	if err := json.Unmarshal(body, &card); err != nil {
		s.t.Fatal(err)
	}
	card["basics"].(map[string]any)["glove_size"] = size
	id := strings.Repeat(fmt.Sprint(parent), 32)
	s.makes(map[string]any{"id": id, "kind": "card", "doc": chopCard, "parent": parent,
		"author": "kofi-brambledene", "made": "2026-11-25T08:00:00Z", "reason": "tried", "body": card})
}

// The offer of a newer sheet says what would come to stand on it: a glove size
// changed three times is one line with both its ends, also with the server gone.
func TestTheOfferSaysTheResult(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	b.installed()
	for parent, size := range []string{"7", "7.5", "8.5"} {
		s.glove(parent+1, s.document("card", chopCard).Body, size)
	}
	b.open("/sheet/" + id + "/setup")
	b.sees("The card is now revision 4.")
	s.kill()
	b.expectComplaints("the server is killed")
	b.sees("On this sheet 1 line would differ")
	b.holds("the glove size is named once", `(() => { const offer = document.querySelector(".sheet-newer").innerText, times = offer.split("Glove size").length - 1;
		return times === 1 && offer.replace(/\s+/g, " ").includes("8 → 8.5") ? "" : offer; })()`)
	b.fits("the offer")
}

// covered says which values of the phase on the screen lie under a bar or under the buttons.
const covered = `(() => { const top = document.querySelector(".top").getBoundingClientRect().bottom, feet = document.querySelector(".phase-move").getBoundingClientRect().top;
	const rows = [...document.querySelectorAll(".phase-head, .phase-value")].map(e => ({ words: e.innerText.replace(/\s+/g, " "), ...e.getBoundingClientRect().toJSON() }));
	return rows.length < 2 ? "no values" : rows.filter(r => r.top < top - 1 || r.bottom > feet + 1).map(r => r.words + " from " + r.top + " to " + r.bottom + " between " + top + " and " + feet).join("; "); })()`

// Every phase shows its name and every value between the bar and the buttons, on the phone, the tablet and the desk, also where a
// variant writes the card's value below its own. The bottle's height stands as a pressure too.
func TestNoValueHidesBehindTheButtons(t *testing.T) {
	for _, size := range []size{phone, upright, desk} {
		t.Run(fmt.Sprintf("%dx%d", size.width, size.height), func(t *testing.T) {
			s := startServer(t)
			b := newTablet(t, s, size)
			b.becomes(chopSurgeon)
			b.open("/sheet/" + b.firstSheet() + "/limits")
			b.sees("about 59 mmHg at no flow") // 80 cm of water: 58.84 mmHg, NIST SP 811, appendix B.8
			b.sees("The bottle's height is not the pressure in the eye during flow.")
			for phase := 1; phase <= 8; phase++ {
				b.sees(fmt.Sprintf("Phase %d of 8", phase))
				b.holds("no value is covered", covered)
				if phase < 8 {
					b.tap("Next")
				}
			}
			b.fits("limits")
			b.targets(".limitview", 78)
		})
	}
}

// swipes draws a finger over the values.
func (b *tablet) swipes(from, to float64) {
	b.t.Helper()
	touch := func(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
		b.do("touch", func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
			_, err := chromedp.Call(ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: append([]*input.TouchPoint{}, points...)})
			return chromedp.Void{}, err
		})
	}
	touch("touchStart", &input.TouchPoint{X: from, Y: 420})
	touch("touchMove", &input.TouchPoint{X: to, Y: 424})
	touch("touchEnd")
}

// One phase at a time: swiped or pressed on, with what differs from the card
// marked, the next one named on the button, and all of them drawn side by side with the same in words.
func TestPhasesAreSwipedAndSeenSideBySide(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	b.installed()
	s.kill()
	b.expectComplaints("the server is killed")
	b.do("get a touch screen", func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true})
		return chromedp.Void{}, err
	})
	b.open("/sheet/" + id + "/limits")
	b.sees("Phase 1 of 8")
	b.sees("Next Chop")
	b.swipes(340, 60)
	b.sees("Phase 2 of 8")
	b.sees("Variant: Floppy iris")
	b.sees("card says 400 mmHg")
	b.swipes(60, 340)
	b.sees("Phase 1 of 8")
	b.holds("the drawing says in words what it shows", `(() => { const said = [...document.querySelectorAll(".profile svg")].map(e => e.getAttribute("aria-label").replace(/\s+/g, " "));
		return said.length === 3 && said[1].startsWith("Vacuum: Core clean-up 90 mmHg; Chop 280 mmHg") && said[2].includes("Chop 24 mL/min, outside what is usual") ? "" : said.join(" | "); })()`)
}

// Where two people changed the limits of a phase differently, both stand in its place and the drawing has no bar for it.
func TestLimitsInQuestionAreDrawnAsAQuestion(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	card := s.document("card", chopCard).Body
	for n, vacuum := range []string{"480", "520"} {
		s.change(n+1, card, func(c map[string]any) {
			element(c, "phases", "cortex")["limits"].(map[string]any)["vacuum"] = vacuum
		})
	}
	b.open("/sheet/" + id + "/limits")
	b.tap("All phases")
	b.tap("Cortex")
	b.sees("480 mmHg")
	b.sees("520 mmHg")
	b.holds("the cortex has no bar", `document.querySelectorAll(".profile svg")[1].getAttribute("aria-label").includes("Cortex Two values, not resolved") ? "" : "it has"`)
}

// What is pressed outside theatre is a target of 48 px, and the way back says where it leads.
func TestTargetsOutsideTheatre(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	for _, screen := range []struct{ path, words string }{
		{"/", "No sheet yet"}, {"/about", "What it is for"}, {"/cards/" + chopCard, chopTitle}, {"/reckon", "Recipes of the unit"}, {"/waiting", "This device"},
	} {
		b.open(screen.path)
		b.sees(screen.words)
		b.targets("body", 48)
	}
	b.open("/case/" + s.caseOf(chopCard))
	b.sees("Which eye")
	b.holds("the way back leads to Today", `(() => { const l = document.querySelector(".top-back").getAttribute("aria-label"); return l === "Back to Today" ? "" : l; })()`)
}
