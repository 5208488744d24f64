package e2e

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// The battery of faults in a real browser. What a person was told is the
// measure: whatever the screen said was kept is on the server exactly once in
// the end, and whatever it did not say so of is there whole or not at all.

var (
	long = flag.Bool("battery.long", false, "run the long form of every row")
	seed = flag.Uint64("battery.seed", 1, "the first seed of every row")
)

// rounds runs a row once, or twenty times in the long form. Each round has a seed of its own, which is printed.
func rounds(t *testing.T, row func(t *testing.T, draw *rand.Rand)) {
	t.Helper()
	n := uint64(1)
	if *long {
		n = 20
	}
	t.Logf("%d from seed %d", n, *seed)
	for s := *seed; s < *seed+n; s++ {
		t.Run(fmt.Sprintf("seed=%d", s), func(t *testing.T) { row(t, drawn(s)) })
	}
}

func drawn(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0)) }

// intent is one change that a person meant to make: another vacuum of one phase of the card.
type intent struct {
	phase, to, reason string
	kept              bool // the screen said so
}

// witness knows what everybody meant and was told, and judges what the server holds in the end.
type witness struct {
	s       *server
	first   record // the card before anybody touched it
	aside   int    // how many edits were set aside by then
	intents []*intent
}

// record is the card with its whole history as the server has it.
type record struct {
	Kind, ID string
	Body     cardBody
	History  []struct {
		Rev, Seq                    int
		Edit, Reason, Outcome, Made string
	}
	Questions []struct {
		Unit     string
		HeadText string `json:"head_text"`
		MineText string `json:"mine_text"`
	}
}

type cardBody struct {
	Items  json.RawMessage
	Phases []struct {
		Key    string
		Limits struct{ Vacuum string }
	}
}

func (c cardBody) vacuum(phase string) string {
	for _, p := range c.Phases {
		if p.Key == phase {
			return p.Limits.Vacuum
		}
	}
	return ""
}

func witnesses(s *server) *witness {
	s.t.Helper()
	w := &witness{s: s}
	w.first, w.aside = w.card(), len(w.setAside())
	return w
}

func (w *witness) card() record {
	w.s.t.Helper()
	var snapshot struct{ Docs []json.RawMessage }
	w.read("/api/v1/snapshot", &snapshot)
	for _, d := range snapshot.Docs {
		if !bytes.Contains(d, []byte(chopCard)) {
			continue
		}
		var r record
		if err := json.Unmarshal(d, &struct{ Kind, ID *string }{&r.Kind, &r.ID}); err != nil {
			w.s.t.Fatal(err)
		}
		if r.Kind != "card" || r.ID != chopCard {
			continue
		}
		if err := json.Unmarshal(d, &r); err != nil {
			w.s.t.Fatal(err)
		}
		return r
	}
	w.s.t.Fatal("the server has no such card")
	return record{}
}

func (w *witness) read(path string, to any) {
	w.s.t.Helper()
	body, err := w.s.get(path)
	if err == nil {
		err = json.Unmarshal(body, to)
	}
	if err != nil {
		w.s.t.Fatalf("read %s: %v", path, err)
	}
}

// means notes what somebody is about to change.
func (w *witness) means(phase, to string) *intent {
	i := &intent{phase: phase, to: to, reason: fmt.Sprintf("Try %d", len(w.intents)+1)}
	w.intents = append(w.intents, i)
	return i
}

// judge compares what people were told with what the server holds.
func (w *witness) judge() error {
	w.s.t.Helper()
	var wrong []error
	found := map[string]int{}
	for _, h := range w.card().History[len(w.first.History):] {
		found[h.Reason]++
		wrong = append(wrong, w.whole(h.Edit, h.Reason))
	}
	for _, edit := range w.setAside()[w.aside:] {
		wrong = append(wrong, fmt.Errorf("set aside was %s", edit))
	}
	for _, i := range w.intents {
		switch n := found[i.reason]; {
		case n > 1:
			wrong = append(wrong, fmt.Errorf("%q is on the server %d times", i.reason, n))
		case n == 0 && i.kept:
			wrong = append(wrong, fmt.Errorf("the screen said that %q was kept, and the server never got it", i.reason))
		}
	}
	return errors.Join(wrong...)
}

// setAside gives all edits that the server could not apply, and why.
func (w *witness) setAside() []string {
	w.s.t.Helper()
	var answer struct {
		Edits []struct{ Edit, Receipt struct{ Reason string } }
	}
	w.read("/api/v1/set-aside", &answer)
	var reasons []string
	for _, e := range answer.Edits {
		reasons = append(reasons, fmt.Sprintf("%q: %s", e.Edit.Reason, e.Receipt.Reason))
	}
	return reasons
}

// whole checks that an edit arrived as its author meant it: its own change and everything else as it was.
func (w *witness) whole(id, reason string) error {
	var taken struct {
		Edit struct {
			Reason string
			Body   cardBody
		}
	}
	w.read("/api/v1/edits/"+id, &taken)
	for _, i := range w.intents {
		if i.reason != reason {
			continue
		}
		body := taken.Edit.Body
		if taken.Edit.Reason != reason || body.vacuum(i.phase) != i.to {
			return fmt.Errorf("%q arrived with the vacuum %q, meant was %q", reason, body.vacuum(i.phase), i.to)
		}
		if !bytes.Equal(body.Items, w.first.Body.Items) || len(body.Phases) != len(w.first.Body.Phases) {
			return fmt.Errorf("%q arrived with other items or phases than its author saw", reason)
		}
		return nil
	}
	return fmt.Errorf("the server holds an edit %q that nobody made", reason)
}

// stands checks that the wanted vacuum of a phase is on the card, alone or as one side of an open question.
func (w *witness) stands(i *intent) error {
	card := w.card()
	if card.Body.vacuum(i.phase) == i.to {
		return nil
	}
	for _, q := range card.Questions {
		if strings.Contains(q.Unit, i.phase) && strings.Contains(q.HeadText+" "+q.MineText, i.to+" mmHg") {
			return nil
		}
	}
	return fmt.Errorf("%q: %s mmHg is neither on the card, which holds %s, nor in a question", i.reason, i.to, card.Body.vacuum(i.phase))
}

// edits opens the limits of a phase.
func (b *tablet) edits(phase string) {
	b.t.Helper()
	b.open("/cards/" + chopCard + "/edit?part=limits&phase=" + phase)
}

// fills writes what is meant and stands before the button that keeps it.
func (b *tablet) fills(i *intent) {
	b.t.Helper()
	b.write("Vacuum", i.to)
	b.tap("Look and keep")
	b.sees("→ " + i.to + " mmHg")
	b.write("Reason, in one line", i.reason)
}

// keeps presses the button, and notes what the screen says then.
func (b *tablet) keeps(i *intent) {
	b.t.Helper()
	b.tap("Keep")
	b.sees("Kept on this device.")
	i.kept = true
}

// changes makes one change from opening the card to being told that it is kept.
func (b *tablet) changes(i *intent) {
	b.t.Helper()
	b.edits(i.phase)
	b.fills(i)
	b.keeps(i)
}

// sends has everything that waits sent, and waits until the tablet says that it was.
func (b *tablet) sends() {
	b.t.Helper()
	b.open("/waiting")
	eventually(b.t, "everything is sent", func() error {
		text, err := b.text()
		if err != nil || strings.Contains(text, "Nothing is waiting") {
			return err
		}
		if strings.Contains(text, "Send now") {
			_ = b.tryTap("document", "Send now") // it may have been sent in the meantime; the words decide
		}
		return errors.New("it still waits")
	})
}

// still says that an edit waits and why, on the page where people look for it.
func (b *tablet) still(why string) {
	b.t.Helper()
	b.open("/waiting")
	b.sees("1 edit waiting")
	b.sees(why)
}

// injects has a script run in every page before the program's own.
func (b *tablet) injects(script string) {
	b.t.Helper()
	b.do("inject a script", injection("(() => { "+script+" })()"))
}

func injection(script string) chromedp.Action[chromedp.Void] {
	return func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return chromedp.Void{}, err
	}
}
