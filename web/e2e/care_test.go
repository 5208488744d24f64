package e2e

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// caseOf returns the id of the case of the demonstration that is done with the card.
func (s *server) caseOf(card string) string {
	s.t.Helper()
	body, err := s.get("/api/v1/snapshot")
	if err != nil {
		s.t.Fatal(err)
	}
	var snapshot struct {
		Docs []struct {
			Kind, ID string
			Body     struct{ Card string }
		}
	}
	if err := json.Unmarshal(body, &snapshot); err != nil {
		s.t.Fatal(err)
	}
	for _, d := range snapshot.Docs {
		if d.Kind == "case" && d.Body.Card == card {
			return d.ID
		}
	}
	s.t.Fatalf("no case with the card %s", card)
	return ""
}

func (s *server) lensPower(id string) string {
	s.t.Helper()
	var body struct {
		Facts map[string]json.RawMessage
	}
	if err := json.Unmarshal(s.document("case", id).Body, &body); err != nil {
		s.t.Fatal(err)
	}
	return strings.Trim(string(body.Facts["lens-power"]), `"`)
}

// writesLens opens the lens plan of a case and writes another power.
func (b *tablet) writesLens(id, power string) {
	b.t.Helper()
	b.open("/case/" + id)
	b.tap("Lens plan")
	b.write("Lens power", power)
}

// A lens power that became less than half is asked about before the case is
// kept, and kept only after somebody said that it is meant.
func TestALensPowerIsAskedAbout(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := s.caseOf(chopCard)
	b.writesLens(id, "2.2")
	b.tap("Make the sheet")
	b.sees("Please look at these again")
	b.sees("22 D → 2.2 D is meant (10 times less")
	if got := s.lensPower(id); got != "22" {
		t.Fatalf("the power %s was kept before anybody said it is meant", got)
	}
	b.tap("Lens power: 22 D → 2.2 D is meant")
	b.tap("Make the sheet")
	eventually(t, "the power is on the server", func() error {
		if got := s.lensPower(id); got != "2.2" {
			return fmt.Errorf("it is %s", got)
		}
		return nil
	})
}

// Two people answer one fact of a case differently: both answers stand on the
// sheet, and the question is decided in the form of the case.
func TestTwoAnswersOfACase(t *testing.T) {
	s := startServer(t)
	ann, ben := newTablet(t, s, upright), newTablet(t, s, desk)
	id := s.caseOf(chopCard)
	for _, b := range []*tablet{ann, ben} {
		b.becomes(chopSurgeon)
	}
	ann.open("/sheet/" + id + "/setup")
	ann.tapUntil("Make the sheet", "0 of ")
	ann.writesLens(id, "22.5")
	ben.writesLens(id, "23")
	ann.tap("Keep")
	eventually(t, "the first answer is on the server", func() error { return s.hasRevision("case", id, 2) })
	ben.tap("Keep")
	eventually(t, "the second answer is on the server", func() error { return s.hasRevision("case", id, 3) })

	ann.open("/sheet/" + id + "/setup")
	ann.sees("Two people answered “Lens power” differently")
	ann.sees("22.5 D")
	ann.sees("23 D")
	ben.open("/case/" + id)
	ben.sees("Two people answered these differently")
	ben.tapIn(".question-sides > :nth-child(2)", "This one holds")
	eventually(t, "the decision is on the server", func() error {
		if got := s.lensPower(id); got != "23" {
			return fmt.Errorf("the power is %s", got)
		}
		return nil
	})
	eventually(t, "the question is gone", func() error {
		text, err := ben.text()
		if err == nil && strings.Contains(text, "differently") {
			err = fmt.Errorf("it still stands")
		}
		return err
	})
}

// answers presses one answer to a fact of the case, whose group is open.
func (b *tablet) answers(fact, answer string) {
	b.t.Helper()
	script := fmt.Sprintf(`(() => { const f = [...document.querySelectorAll("fieldset")].find(e => e.querySelector("legend").innerText.trim() === %s);
		const l = f && [...f.querySelectorAll("label")].find(e => e.innerText.trim() === %s);
		if (!l) return false; l.setAttribute("aria-label", "the answer to press"); return true; })()`, quoted(fact), quoted(answer))
	eventually(b.t, fmt.Sprintf("%q can be answered %q", fact, answer), func() error {
		found, err := eval[bool](b, script)
		if err == nil && !found {
			err = fmt.Errorf("no such answer")
		}
		return err
	})
	b.tap("the answer to press")
}

// What must not be done in this case is struck where the step stands, with the
// word and the reason, and a stop stays in sight while the list is filtered.
func TestWhatMustNotBeDoneIsStruck(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.open("/case/new")
	b.tap("right eye")
	b.tap(chopSurgeon)
	b.tap(chopTitle)
	b.tap("Nucleus and lens")
	b.answers("Posterior polar", "yes")
	b.tap("Make the sheet")
	b.sees("Set up")
	b.tap("What is left")
	b.sees("Everything")
	b.sees("Stop")
	b.tap("Limits")
	b.sees("Do not use Hydrodissection")
	b.sees("house rule: posterior polar")
}

// An edit that the server set aside can be read by everybody, with its author
// and the reason, and without a network the screen says why it is empty.
func TestSetAsideIsListedForEverybody(t *testing.T) {
	s := startServer(t)
	card := s.document("card", chopCard)
	edit := map[string]any{"id": strings.Repeat("a", 32), "kind": "card", "doc": chopCard, "parent": 99, "author": "kofi-brambledene",
		"made": "2026-11-25T08:00:00Z", "reason": "From an old backup", "body": card.Body}
	s.makes(edit)
	b := newTablet(t, s, phone)
	b.open("/waiting")
	b.installed()
	b.tap("Edits set aside on the server")
	b.sees("Made by " + chopSurgeon)
	b.sees("Reason given: From an old backup")
	b.sees("Set aside.")
	b.fits("set aside")
	s.kill()
	b.expectComplaints("the server is killed")
	b.open("/waiting/set-aside")
	b.sees("The server was not reached.")
}

// Paper says that the unit is invented, how old the data were and from which
// revisions the sheet was made.
func TestPrintSaysWhatItIs(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.open("/sheet/" + b.firstSheet() + "/limits")
	b.sees("confirm on the machine")
	b.do("print", func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
		return chromedp.Void{}, err
	})
	b.sees("Demonstration: invented unit. Not for care.")
	b.sees("card revision 1, rules revision 1; throw away after the list.")
	b.sees("Printed ")
}

// change pushes an edit of the chop card made from its first revision.
func (s *server) change(n int, from json.RawMessage, with func(card map[string]any)) {
	s.t.Helper()
	var body map[string]any
	if err := json.Unmarshal(from, &body); err != nil {
		s.t.Fatal(err)
	}
	with(body)
	id := strings.Repeat(fmt.Sprint(n), 32)
	s.makes(map[string]any{"id": id, "kind": "card", "doc": chopCard, "parent": 1, "author": "kofi-brambledene", "made": "2026-11-25T08:00:00Z", "reason": "tried", "body": body})
}

func element(card map[string]any, list, key string) map[string]any {
	for _, e := range card[list].([]any) {
		if m := e.(map[string]any); m["key"] == key {
			return m
		}
	}
	return nil
}

// Where two people changed a drill, an item or the machine differently, the
// sheet shows both and neither alone, on every part of it.
func TestWhatIsInQuestionStandsNowhereAlone(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	card := s.document("card", chopCard).Body
	for n, words := range []string{"One says this", "Another says that"} {
		s.change(n+1, card, func(c map[string]any) {
			element(c, "triggers", "posterior-capsule-torn")["say"] = words
			element(c, "items", "lid-speculum")["note"] = words
			c["machine"].(map[string]any)["profile"] = words
		})
	}
	both := func(path string) {
		b.open("/sheet/" + id + path)
		b.sees("Two values, not resolved")
		b.sees("One says this")
		b.sees("Another says that")
	}
	both("/setup")
	both("/limits")
	both("/if/posterior-capsule-torn")
	b.open("/sheet/" + id + "/if")
	b.sees("Two values, not resolved")
}
