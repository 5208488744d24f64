package e2e

import (
	"encoding/json"
	"errors"
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// hand counts what a person presses: taps on the screen, and keys.
type hand struct {
	*tablet
	taps, keys int
}

// presses taps what carries the words.
func (h *hand) presses(selector, words string) {
	h.t.Helper()
	h.tapIn(selector, words)
	h.taps++
}

// thumbs types into whatever has the focus, as a thumb does that goes nowhere else first.
func (h *hand) thumbs(text string) {
	h.t.Helper()
	h.holds("the number has the focus and is selected", `(e => e?.matches(".change .number-input") && e.selectionStart === 0 && e.selectionEnd === e.value.length ? "" : "the focus is at " + e?.outerHTML.slice(0, 200) + ", the panel says " + document.querySelector("dialog")?.innerText.slice(0, 400))(document.activeElement)`)
	h.do("type "+text, chromedp.KeyEvent(text))
	h.keys += len(text)
}

// has holds how much was pressed since the hand began.
func (h *hand) has(what string, taps, keys int) {
	h.t.Helper()
	h.t.Logf("%s: %d taps and %d digits", what, h.taps, h.keys)
	if h.taps > taps || h.keys > keys {
		h.t.Errorf("%s took %d taps and %d digits, want at most %d and %d", what, h.taps, h.keys, taps, keys)
	}
	h.taps, h.keys = 0, 0
}

// limit is what the server holds for a limit of the card with the chop.
func (s *server) limit(phase, name string) string {
	s.t.Helper()
	var card struct {
		Phases []struct {
			Key    string
			Limits map[string]string
		}
	}
	if err := json.Unmarshal(s.document("card", chopCard).Body, &card); err != nil {
		s.t.Fatal(err)
	}
	for _, p := range card.Phases {
		if p.Key == phase {
			return p.Limits[name]
		}
	}
	s.t.Fatalf("the card has no phase %s", phase)
	return ""
}

func (s *server) wantLimit(phase, name, want string) {
	s.t.Helper()
	eventually(s.t, fmt.Sprintf("%s of %s is %s on the server", name, phase, want), func() error {
		if got := s.limit(phase, name); got != want {
			return fmt.Errorf("it is %s", got)
		}
		return nil
	})
}

// From the start screen a surgeon changes a value of an own card on the own phone: in two taps and the digits where the
// value stands, in three with a step, in three and the digits by way of the card. What it was stays beside it, and
// one tap takes it back. All of it with no network, kept for good, and on the server once.
func TestOneValueInThreeTaps(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.installed()
	before := s.document("card", chopCard)
	s.kill()
	b.reopen()
	h := &hand{tablet: b}

	b.open("/")
	b.sees("Your cards")
	h.presses(".own", "Vacuum 400 mmHg")
	h.thumbs("390")
	h.presses("dialog", "Keep the change")
	b.sees("Kept on this device. Chop vacuum 400 → 390 mmHg")
	h.has("a value from the start screen, typed", 2, 3)
	b.sees("Was 400 mmHg.")

	h.presses(".own", "Vacuum 390 mmHg")
	h.presses("dialog", "Vacuum: down by 10 mmHg")
	h.presses("dialog", "Keep the change")
	b.sees("Chop vacuum 390 → 380 mmHg")
	h.has("a value from the start screen, by a step", 3, 0)
	b.tapIn(".toast", "Undo")
	b.sees("Taken back. It is 390 mmHg again")

	b.open("/")
	h.presses(".own", chopTitle)
	b.inSight("#limits")
	h.presses("#content .phase", "Vacuum 390 mmHg")
	h.thumbs("385")
	h.presses("dialog", "Keep the change")
	b.sees("Kept on this device. Chop vacuum 390 → 385 mmHg")
	h.has("a value by way of the card", 3, 3)
	b.inSight(".phase .limits-pick .limits-was")
	b.breaksNoRule("a value with what it was", true)
	b.holds("the value has the focus again", `document.activeElement?.matches(".limits-pick") ? "" : "it has: " + document.activeElement?.outerHTML.slice(0, 200)`)
	if at := b.where(); at != "/cards/"+chopCard {
		t.Errorf("after keeping the person is at %s", at)
	}

	b.reopen()
	b.open("/waiting")
	b.sees("Chop vacuum 390 → 385 mmHg")
	s.start()
	b.tap("Send now")
	b.sees("Nothing is waiting")
	s.wantLimit("chop", "vacuum", "385")
	after := s.document("card", chopCard)
	if after.Rev != before.Rev+4 {
		t.Errorf("revision %d became %d, want one for each of three changes and the step back", before.Rev, after.Rev)
	}
}

// inSight holds that something is on the visible part of the screen.
func (b *tablet) inSight(selector string) {
	b.t.Helper()
	eventually(b.t, selector+" is in sight", func() error {
		there, err := eval[bool](b, fmt.Sprintf(`(e => { const r = e?.getBoundingClientRect(); return Boolean(r) && r.top >= 0 && r.bottom <= innerHeight && r.height > 0; })(document.querySelector(%s))`, quoted(selector)))
		if err == nil && !there {
			err = errors.New("it is not")
		}
		return err
	})
}

// What holds in the editor holds in the panel: a key that fits no number is refused, a change to twice or half is asked
// about, what is typed survives a tap beside the panel, the editor takes it up, and what else was begun is not kept unseen.
func TestOneValueAsInTheEditor(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.open("/cards/" + chopCard + "?at=limits")
	b.inSight("#limits")
	h := &hand{tablet: b}

	h.presses("#content .phase", "Vacuum 400 mmHg")
	h.thumbs("4x")
	b.sees("That key does not fit")
	b.screenshot("change-value-refused")
	h.write("Vacuum", "40")
	b.sees("Please look at these again")
	b.screenshot("change-value-large")
	b.fits("a large change")
	b.isShut("Keep the change")
	b.tapIn("dialog", "is meant")
	h.write("Vacuum", "30") // what was meant of 40 is not meant of 30
	b.sees("400 mmHg → 30 mmHg is meant")
	b.isShut("Keep the change")
	b.tapIn("dialog", "Back to 400")
	h.write("Vacuum", "800")
	b.sees("0 to 700 mmHg")
	b.isShut("Keep the change")
	h.write("Vacuum", "370")

	b.besidePanel()
	b.sees("Not kept. What you typed stays here")
	b.isGone("dialog[open]")
	b.sees("You began a change of this card")
	b.reopen()
	b.open("/cards/" + chopCard + "?at=limits")
	b.tapIn("#content .phase", "Vacuum 400 mmHg")
	b.sees("370 mmHg")
	b.tapIn("dialog", "Close")
	b.open("/cards/" + chopCard + "/edit?part=limits&phase=cortex")
	b.write("Vacuum", "480")
	b.open("/cards/" + chopCard + "?at=limits")
	b.tapIn("#content .phase", "Vacuum 400 mmHg")
	b.sees("You began other changes of this card")
	b.tapIn("dialog", "Open the editor")
	b.isGone("dialog[open]")
	b.tap("Look and keep")
	b.sees("Chop vacuum 400 → 370 mmHg")
	if got := s.limit("chop", "vacuum"); got != "400" {
		t.Errorf("the server holds %s mmHg before anything was kept", got)
	}

	const why = "Softer this week"
	b.write("Reason, in one line", why)
	b.tap("Keep")
	b.sees("Kept on this device.")
	b.open("/cards/" + chopCard + "?at=limits")
	b.tapIn("#content .phase", "Vacuum 370 mmHg")
	b.tapIn("dialog", "Vacuum: up by 10 mmHg")
	b.tapIn("dialog", why)
	b.tapIn("dialog", "Keep the change")
	b.sees("Kept on this device. Chop vacuum 370 → 380 mmHg")
	s.wantLimit("chop", "vacuum", "380")
	history := s.document("card", chopCard).History
	if last := history[len(history)-1]; last.Reason != why {
		t.Errorf("the reason is %q, want %q", last.Reason, why)
	}
}

// isShut holds that a button cannot be pressed.
func (b *tablet) isShut(words string) {
	b.t.Helper()
	eventually(b.t, words+" is not to be pressed", func() error {
		shut, err := eval[bool](b, fmt.Sprintf(`[...document.querySelectorAll("dialog[open] button")].some(e => e.innerText.trim() === %s && e.disabled)`, quoted(words)))
		if err == nil && !shut {
			err = errors.New("it can be pressed")
		}
		return err
	})
}

// besidePanel taps on what lies behind the panel.
func (b *tablet) besidePanel() {
	b.t.Helper()
	b.do("tap beside the panel", chromedp.MouseClickXY(float64(b.size.width)/2, 20))
}

func (b *tablet) isGone(selector string) {
	b.t.Helper()
	eventually(b.t, selector+" is gone", func() error {
		gone, err := eval[bool](b, fmt.Sprintf(`document.querySelector(%s) === null`, quoted(selector)))
		if err == nil && !gone {
			err = errors.New("it is there")
		}
		return err
	})
}

// Somebody else's value is proposed from the same panel, and the PIN is asked where the tablet is locked. The owner is
// told of the proposal at the value, and a shared tablet shows nobody's cards on the start screen.
func TestOneValueProposed(t *testing.T) {
	s := startServer(t)
	nurse := bareTablet(t, s, upright).enrols("shared")
	nurse.injects(wrongClock)
	nurse.becomes(scrubNurse)
	nurse.goes("/cards/" + chopCard + "?at=limits")
	nurse.runs(`localStorage.setItem("battery-shift", 6 * 60 * 1000)`)
	nurse.sees(scrubNurse + ", locked")
	h := &hand{tablet: nurse}
	h.presses("#content .phase", "Vacuum 400 mmHg")
	nurse.sees("What you change is sent as a proposal")
	h.thumbs("360")
	h.presses("dialog", "Keep as a proposal")
	nurse.unlocks(scrubNurse)
	nurse.sees("Kept on this device, as a proposal to " + chopSurgeon)
	nurse.isGone("dialog[open]")
	nurse.sees("400 mmHg")
	s.wantProposals(1, 0)
	nurse.open("/")
	nurse.sees("No sheet yet")
	nurse.isGone(".own")

	surgeon := newTablet(t, s, phone)
	surgeon.becomes(chopSurgeon)
	surgeon.open("/")
	surgeon.tapIn(".own", "Vacuum 400 mmHg")
	surgeon.sees(scrubNurse + " proposes 360 mmHg")
	surgeon.screenshot("change-value-proposed")
	surgeon.tapIn("dialog", "Open proposals")
	surgeon.isGone("dialog[open]")
	surgeon.sees("For you to answer")
}

// The keys on the screen of a phone cover its foot; the panel stands above them, with the button in reach.
func TestOneValueAboveTheKeys(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.open("/")
	b.tapIn(".own", "Vacuum 400 mmHg")
	b.sees("On the card")
	for _, look := range []string{"dim", "bright"} {
		b.runs(fmt.Sprintf(`document.documentElement.dataset.look = %s`, quoted(look)))
		b.settle()
		b.breaksNoRule("the panel, "+look, true)
		b.fits("the panel")
		b.screenshot("change-value-" + look)
	}
	const keys = 330 // about what a phone of this size gives them, from memory
	b.runs(fmt.Sprintf(`Object.defineProperty(visualViewport, "height", {configurable: true, get: () => innerHeight - %d}); visualViewport.dispatchEvent(new Event("resize"))`, keys))
	eventually(t, "number and button stand above the keys", func() error {
		bottoms, err := eval[[]float64](b, `[...document.querySelectorAll(".change .number-input, .keeping-actions .button")].map(e => e.getBoundingClientRect()).map(r => r.top < 0 ? Infinity : r.bottom)`)
		if err != nil {
			return err
		}
		for _, y := range bottoms {
			if y > float64(b.size.height-keys) {
				return fmt.Errorf("something ends at %g of %d", y, b.size.height-keys)
			}
		}
		if len(bottoms) != 2 {
			return fmt.Errorf("%d of them are there", len(bottoms))
		}
		return nil
	})
	b.screenshot("change-value-above-keys")
}
