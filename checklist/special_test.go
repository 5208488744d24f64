package checklist

import (
	"strings"
	"testing"

	"sideport/cards"
)

// The drugs and needles of a card belong to the anaesthetic it was written
// for; common practice, no source.
func TestAnotherAnaestheticThanTheCards(t *testing.T) {
	for _, row := range []struct {
		usual string
		facts []string
		says  bool
	}{
		{"peribulbar", []string{"anaesthesia=topical"}, true},
		{"peribulbar", []string{"anaesthesia=peribulbar"}, false},
		{"peribulbar", nil, false}, // nobody said which: it is asked, not compared
		{"peribulbar", []string{"anaesthesia=not known"}, false},
		{"", []string{"anaesthesia=topical"}, false}, // the card does not say
	} {
		card := plainCard()
		card.Basics.Anaesthesia = cards.Anaesthesia(row.usual)
		found := false
		for _, s := range generated(t, card, plainBook(), plainCase(row.facts...)).Special {
			found = found || strings.Contains(s.Text, "written for peribulbar anaesthesia, this case is planned with topical")
		}
		if found != row.says {
			t.Errorf("card %q, facts %v: said %t, want %t", row.usual, row.facts, found, row.says)
		}
	}
}

// A rule that nobody of the unit has put a name to says so wherever it is given as a reason.
func TestARuleOfNobodySaysSo(t *testing.T) {
	for owner, want := range map[string]bool{StarterOwner: true, "Oriel Stonebarrow": false} {
		book := Starter()
		for n := range book.Rules {
			book.Rules[n].Owner = owner
		}
		s := generated(t, fullCard(), book, plainCase("dilated-pupil=4.5"))
		asked := 0
		for _, special := range s.Special {
			for _, w := range special.Why {
				if w.From != FromRule {
					continue
				}
				asked++
				if w.Starter != want {
					t.Errorf("owner %q: %+v", owner, w)
				}
			}
		}
		if asked == 0 || strings.Contains(strings.Join(strings.Fields(Text(s)), " "), "not yet confirmed by the unit") != want {
			t.Errorf("owner %q: %d reasons, and the text says it wrongly", owner, asked)
		}
	}
}
