package e2e

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
)

// Two people change one limit differently, one of them with no network: neither
// value wins, both are shown on both tablets, and the owner decides.
func TestTwoValues(t *testing.T) {
	s := startServer(t)
	theatre, office := newTablet(t, s, upright), newTablet(t, s, desk)
	for _, b := range []*tablet{theatre, office} {
		b.becomes(chopSurgeon)
		b.installed()
	}
	s.kill()
	theatre.changeChopVacuum("390")
	theatre.shut()
	s.start()
	office.changeChopVacuum("380")
	office.open("/waiting")
	office.sees("Nothing is waiting")

	theatre.launch()
	theatre.open("/cards/" + chopCard)
	for _, b := range []*tablet{theatre, office} {
		b.open("/cards/" + chopCard)
		b.sees("Two values, not resolved")
		b.sees("380 mmHg")
		b.sees("390 mmHg")
	}
	if got := s.chopVacuum(); got != "380" {
		t.Errorf("before the decision the card holds %s mmHg, want the 380 that came first", got)
	}
	office.decide("390")
	eventually(t, "the decision is on the server", func() error {
		if got := s.chopVacuum(); got != "390" {
			return fmt.Errorf("the card holds %s mmHg", got)
		}
		return nil
	})
	theatre.open("/cards/" + chopCard)
	eventually(t, "the question is gone from the other tablet", func() error {
		text, err := theatre.text()
		if err == nil && strings.Contains(text, "not resolved") {
			err = fmt.Errorf("it still shows two values")
		}
		return err
	})
}

// decide takes the side that says the vacuum.
func (b *tablet) decide(vacuum string) {
	b.t.Helper()
	spot := fmt.Sprintf(`(() => { const side = [...document.querySelectorAll(".side, [data-side], li, section, div")]
		.filter(e => e.innerText.replace(/\s+/g, " ").includes(%s) && [...e.querySelectorAll("button")].filter(x => x.innerText.includes("This one holds")).length === 1)
		.sort((x, y) => x.innerText.length - y.innerText.length)[0];
		if (!side) return false; side.querySelector("button").setAttribute("aria-label", "decide for " + %s); return true; })()`, quoted(vacuum+" mmHg"), quoted(vacuum))
	eventually(b.t, "the side can be taken", func() error {
		found, err := eval[bool](b, spot)
		if err == nil && !found {
			err = fmt.Errorf("no side with %s mmHg", vacuum)
		}
		return err
	})
	b.tap("decide for " + vacuum)
	b.sees("Decided")
}

func (s *server) chopVacuum() string {
	s.t.Helper()
	var body struct {
		Phases []struct {
			Key    string
			Limits struct{ Vacuum string }
		}
	}
	if err := json.Unmarshal(s.document("card", chopCard).Body, &body); err != nil {
		s.t.Fatal(err)
	}
	for _, p := range body.Phases {
		if p.Key == "chop" {
			return p.Limits.Vacuum
		}
	}
	s.t.Fatal("the card has no phase called chop")
	return ""
}
