package checklist

import (
	"testing"

	"sideport/cards"
)

// truths makes conditions of a known truth from the facts of one case: diabetes is answered yes, glaucoma is not answered.
func truths() (Answers, map[cards.Truth]Condition) {
	a, _ := Derive(plainCase("diabetes=yes"))
	return a, map[cards.Truth]Condition{
		cards.True:    when("diabetes", cards.Is, cards.Yes),
		cards.Unknown: when("glaucoma", cards.Is, cards.Yes),
		cards.False:   when("diabetes", cards.Is, cards.No),
	}
}

// Source: the truth tables of Kleene's strong three-valued logic (Kleene 1952, Introduction to Metamathematics, section 64).
func TestConditionsFollowKleenesTables(t *testing.T) {
	const f, u, r = cards.False, cards.Unknown, cards.True
	a, part := truths()
	for _, row := range []struct{ left, right, all, any cards.Truth }{
		{f, f, f, f}, {f, u, f, u}, {f, r, f, r},
		{u, f, f, u}, {u, u, u, u}, {u, r, u, r},
		{r, f, f, r}, {r, u, u, r}, {r, r, r, r},
	} {
		both := []Condition{part[row.left], part[row.right]}
		if got := (Condition{All: both}).Holds(a, ""); got != row.all {
			t.Errorf("all of %v and %v is %v, want %v", row.left, row.right, got, row.all)
		}
		if got := (Condition{Any: both}).Holds(a, ""); got != row.any {
			t.Errorf("any of %v and %v is %v, want %v", row.left, row.right, got, row.any)
		}
	}
	for in, want := range map[cards.Truth]cards.Truth{f: r, u: u, r: f} {
		c := part[in]
		if got := (Condition{Not: &c}).Holds(a, ""); got != want {
			t.Errorf("not %v is %v, want %v", in, got, want)
		}
	}
}

func TestConditionAlwaysAndTechnique(t *testing.T) {
	a, _ := truths()
	flip := Condition{Technique: []cards.Technique{cards.Flip, cards.VerticalChop}}
	if got := (Condition{}).Holds(a, ""); got != cards.True {
		t.Errorf("an empty condition is %v, want true", got)
	}
	if got := flip.Holds(a, cards.VerticalChop); got != cards.True {
		t.Errorf("a named technique is %v, want true", got)
	}
	if got := flip.Holds(a, cards.StopAndChop); got != cards.False {
		t.Errorf("another technique is %v, want false", got)
	}
}

// A reason names the parts that decided, with the answers they met.
func TestBecauseNamesWhatDecided(t *testing.T) {
	small, white := when("dilated-pupil", cards.Below, "5"), when("white", cards.Is, cards.Yes)
	for _, row := range []struct {
		name  string
		c     Condition
		facts []string
		want  string
	}{
		{"one test", small, []string{"dilated-pupil=4.5"}, "dilated pupil below 5 mm: 4.5 mm"},
		{"the true part of an any", Condition{Any: []Condition{small, white}}, []string{"dilated-pupil=7", "white=yes"}, "white cataract: yes"},
		{"both parts of an all", Condition{All: []Condition{small, white}}, []string{"dilated-pupil=4", "white=yes"}, "dilated pupil below 5 mm: 4 mm; white cataract: yes"},
		{"only the unknown part", Condition{All: []Condition{small, white}}, []string{"dilated-pupil=4"}, "white cataract: not known"},
		{"inside a not", Condition{Not: &white}, []string{"white=no"}, "white cataract: no"},
		{"a member of a set", when("allergies", cards.Includes, "latex"), []string{"allergies=iodine,latex"}, "allergies: latex"},
		{"a derived grade", when(cards.NucleusGrade, cards.AtLeast, "4"), []string{"nucleus-locs=4.2"}, "nucleus grade 1 to 5 at least 4: 4 (approximate, from LOCS III 4.2)"},
		{"a technique", Condition{Technique: []cards.Technique{cards.Flip}}, nil, "technique: flip"},
	} {
		a, _ := Derive(plainCase(row.facts...))
		mustText(t, row.name, because(row.c.deciding(a, cards.Flip), a, cards.Flip), row.want)
	}
}
