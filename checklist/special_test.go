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
