package cards

import (
	"bytes"
	"testing"

	"pgregory.net/rapid"
)

// Two sides that differ must not read alike: whoever decides sees only the words.
func TestTheTwoSidesOfAQuestionNeverReadAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := plain()
		_, questions := Merge(base, drawChanged(t, base, "head"), drawChanged(t, base, "mine"))
		for _, q := range questions {
			if !bytes.Equal(q.Head, q.Mine) && q.HeadText == q.MineText {
				t.Fatalf("%s: %s and %s both read %q", q.Unit, q.Head, q.Mine, q.HeadText)
			}
		}
	})
}

// Every value of an element is in its words: kind and key of an item, too.
func TestDescribeLeavesNothingOut(t *testing.T) {
	item := Item{Key: "hooks", Name: "Hooks", Kind: "consumable", Quantity: 5, State: Open, Place: "room"}
	other := item
	other.Kind = "instrument"
	if Describe(item) == Describe(other) {
		t.Errorf("an item of two kinds reads %q both times", Describe(item))
	}
}
