package checklist

import (
	"slices"
	"strings"
	"testing"

	"sideport/cards"
)

func denseChop(vacuum int64) cards.PhaseChange {
	return cards.PhaseChange{Phase: "chop", Limits: cards.Limits{Vacuum: cards.Whole(vacuum), Flow: cards.Whole(35), Bottle: cards.Whole(95)}}
}

func onGrade4(title string, more func(*cards.Variant)) cards.Variant {
	v := cards.Variant{Key: cards.Slug(title), Title: title, When: []cards.Test{{Factor: cards.NucleusGrade, Op: cards.AtLeast, Value: "4"}}}
	more(&v)
	return v
}

func chopOf(t *testing.T, s Sheet) PhaseLimits {
	t.Helper()
	for _, p := range s.Limits {
		if p.Phase == "chop" {
			return p
		}
	}
	t.Fatal("no phase chop")
	return PhaseLimits{}
}

func vacuumOf(values []Shown) string {
	v, _ := findShown(values, "vacuum")
	return v.Value
}

func TestVariantReplacesTheWholePhase(t *testing.T) {
	card := plainCard()
	card.Variants = []cards.Variant{onGrade4("Dense nucleus", func(v *cards.Variant) { v.Phases = []cards.PhaseChange{denseChop(450)} })}
	s := generated(t, card, plainBook(), plainCase("nucleus-clinical=4+"))
	p := chopOf(t, s)
	if vacuumOf(p.Values) != "450" || vacuumOf(p.Base) != "350" || p.Variant != "dense-nucleus" || len(p.Cautions) != 1 {
		t.Errorf("chop: %+v", p)
	}
	mustText(t, "reason", p.Why[0].Text, "variant: Dense nucleus (nucleus grade 1 to 5 at least 4: 4 (approximate, from clinical 4+))")
	soft := generated(t, card, plainBook(), plainCase("nucleus-clinical=2+"))
	if p := chopOf(t, soft); vacuumOf(p.Values) != "350" || p.Base != nil || len(soft.Variants) != 0 {
		t.Errorf("a soft nucleus: %+v, %+v", p, soft.Variants)
	}
}

// Not known is a question and never an application.
func TestVariantThatCannotBeToldIsAsked(t *testing.T) {
	card := plainCard()
	card.Variants = []cards.Variant{onGrade4("Dense nucleus", func(v *cards.Variant) { v.Phases = []cards.PhaseChange{denseChop(450)} })}
	s := generated(t, card, plainBook(), plainCase())
	if p := chopOf(t, s); vacuumOf(p.Values) != "350" || len(p.Cautions) != 1 {
		t.Errorf("chop: %+v", p)
	}
	if len(s.Variants) != 1 || s.Variants[0].Holds {
		t.Errorf("variants %+v", s.Variants)
	}
	lines := linesOf(s, TeamBrief)
	last := lines[len(lines)-1]
	if last.Text != "Does the variant “Dense nucleus” apply?" || !last.Question || !last.Added {
		t.Errorf("question %+v", last)
	}
}

func TestTwoVariantsOfOnePhase(t *testing.T) {
	two := func(a, b int64) Sheet {
		card := plainCard()
		card.Variants = []cards.Variant{
			onGrade4("Dense", func(v *cards.Variant) { v.Phases = []cards.PhaseChange{denseChop(a)} }),
			onGrade4("Brown", func(v *cards.Variant) { v.Phases = []cards.PhaseChange{denseChop(b)} }),
		}
		return generated(t, card, plainBook(), plainCase("nucleus-clinical=4+"))
	}
	s := two(450, 500)
	p := chopOf(t, s)
	if vacuumOf(p.Values) != "350" || p.Variant != "" || p.Base != nil || len(p.Cautions) != 1 {
		t.Errorf("the card's own limits must stay: %+v", p)
	}
	if want := "stop: Two variants both change Chop (“Dense” and “Brown”): the surgeon must say which."; !has(specialsOf(s), want) {
		t.Errorf("special %q", specialsOf(s))
	}
	agreed := two(450, 450)
	if p := chopOf(t, agreed); vacuumOf(p.Values) != "450" || len(agreed.Special) != 0 || len(p.Why) != 2 {
		t.Errorf("two variants that agree: %+v, %q", p, specialsOf(agreed))
	}
}

func TestVariantItems(t *testing.T) {
	hook := cards.Item{Key: "iris-hooks", Name: "Iris hooks, five", Kind: "consumable", Quantity: 5, State: cards.Open}
	loop := cards.Item{Key: "loop", Name: "Irrigating loop", Kind: "instrument", Quantity: 1, State: cards.HaveReady}
	card := plainCard()
	card.Variants = []cards.Variant{onGrade4("Dense", func(v *cards.Variant) { v.Items, v.Without = []cards.Item{hook, loop}, []cards.Key{"chopper"} })}
	s := generated(t, card, plainBook(), plainCase("nucleus-clinical=4+"))
	if l := setupOf(t, s, "iris-hooks"); l.Name != "Iris hooks, five" || l.Quantity != 5 || !l.Special || len(l.Why) != 2 {
		t.Errorf("replaced item %+v", l)
	}
	if l := setupOf(t, s, "loop"); !l.Special || l.Why[0].From != FromVariant {
		t.Errorf("added item %+v", l)
	}
	if l := setupOf(t, s, "chopper"); l.Struck != StruckLeftOut {
		t.Errorf("left out %+v", l)
	}
	if len(s.Special) != 0 {
		t.Errorf("special %q", specialsOf(s))
	}
}

// What one variant leaves out and another, or a house rule, asks for stays on the list and is pointed out.
func TestLeftOutAndAskedFor(t *testing.T) {
	card := plainCard()
	chopper, _ := card.Item("chopper")
	without := onGrade4("Without", func(v *cards.Variant) { v.Without = []cards.Key{"chopper"} })
	with := onGrade4("With", func(v *cards.Variant) { v.Items = []cards.Item{chopper} })
	card.Variants = []cards.Variant{without, with}
	s := generated(t, card, plainBook(), plainCase("nucleus-clinical=4+"))
	if l := setupOf(t, s, "chopper"); l.Struck != "" || len(s.Special) != 1 || s.Special[0].Weight != WeightStop {
		t.Errorf("two variants: %+v, %q", l, specialsOf(s))
	}
	card.Variants = []cards.Variant{without}
	s = generated(t, card, plainBook(rule("r", Condition{}, addItem(chopper))), plainCase("nucleus-clinical=4+"))
	if l := setupOf(t, s, "chopper"); l.Struck != "" || len(s.Special) != 1 || s.Special[0].Weight != WeightCaution {
		t.Errorf("variant and rule: %+v, %q", l, specialsOf(s))
	}
}

// Cautions are about the limits in use: those of a variant that applies, not those it replaced.
func TestCautionsAreAboutTheLimitsInUse(t *testing.T) {
	card := plainCard()
	card.Variants = []cards.Variant{onGrade4("Dense", func(v *cards.Variant) { v.Phases = []cards.PhaseChange{denseChop(650)} })}
	dense := chopOf(t, generated(t, card, plainBook(), plainCase("nucleus-clinical=4+")))
	if len(dense.Cautions) != 2 || !strings.Contains(dense.Cautions[1], "650 mmHg is outside the usual range 250 to 600 mmHg") {
		t.Errorf("cautions %q", dense.Cautions)
	}
	soft := chopOf(t, generated(t, card, plainBook(), plainCase("nucleus-clinical=1+")))
	if len(soft.Cautions) != 0 {
		t.Errorf("cautions about limits that are not in use: %q", soft.Cautions)
	}
}

func TestFitLines(t *testing.T) {
	card := plainCard()
	card.Fit = []cards.Fit{
		{Speaks: cards.SpeaksFor, When: cards.Test{Factor: cards.NucleusGrade, Op: cards.AtLeast, Value: "3"}, Reason: "a hard nucleus holds the chopper"},
		{Speaks: cards.SpeaksAgainst, When: cards.Test{Factor: "loose-zonules", Op: cards.Is, Value: cards.Yes}, Reason: "chopping pulls on the zonules"},
		{Speaks: cards.SpeaksAgainst, When: cards.Test{Factor: "white", Op: cards.Is, Value: cards.Yes}, Reason: "no red reflex"},
	}
	s := generated(t, card, plainBook(), plainCase("nucleus-clinical=3+", "loose-zonules=yes"))
	if len(s.Fit) != 3 || !s.Fit[0].Known || !s.Fit[1].Known || s.Fit[2].Known {
		t.Errorf("fit %+v", s.Fit)
	}
	if got := specialsOf(s); len(got) != 1 || got[0] != "caution: Speaks against this card: loose zonules or a moving lens: yes. Chopping pulls on the zonules" {
		t.Errorf("special %q", got)
	}
	if s := generated(t, card, plainBook(), plainCase("nucleus-clinical=1+", "loose-zonules=no", "white=no")); len(s.Fit) != 0 {
		t.Errorf("nothing speaks: %+v", s.Fit)
	}
}

// What a variant raises above the card's own limits is said beside them: a
// vacuum by more than one step (10 mmHg), a flow without more irrigation.
func TestAVariantThatGoesBeyondTheCardSaysSo(t *testing.T) {
	for _, row := range []struct {
		name string
		l    cards.Limits
		want []string
	}{
		{"one step of vacuum", cards.Limits{Vacuum: cards.Whole(360), Flow: cards.Whole(35), Bottle: cards.Whole(95)}, nil},
		{"more vacuum", cards.Limits{Vacuum: cards.Whole(361), Flow: cards.Whole(35), Bottle: cards.Whole(95)},
			[]string{"Vacuum is above the card's own 350 mmHg: see on a small piece first whether the chamber holds."}},
		{"less vacuum", cards.Limits{Vacuum: cards.Whole(300), Flow: cards.Whole(35), Bottle: cards.Whole(95)}, nil},
		{"more flow", cards.Limits{Vacuum: cards.Whole(350), Flow: cards.Whole(40), Bottle: cards.Whole(95)},
			[]string{"Flow is above the card's own and irrigation is no higher: the pressure in the chamber falls."}},
		{"more flow, more irrigation", cards.Limits{Vacuum: cards.Whole(350), Flow: cards.Whole(40), Bottle: cards.Whole(105)}, nil},
	} {
		card := plainCard()
		card.Variants = []cards.Variant{{Key: "dense", Title: "Dense", When: []cards.Test{{Factor: "white", Op: cards.Is, Value: cards.Yes}}, Phases: []cards.PhaseChange{{Phase: "chop", Limits: row.l}}}}
		s := generated(t, card, plainBook(), plainCase("white=yes"))
		if got := s.Limits[1].Cautions; !slices.Equal(got, row.want) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
		if got := generated(t, card, plainBook(), plainCase("white=no")).Limits[1].Cautions; len(got) > 0 {
			t.Errorf("%s, not applied: %q", row.name, got)
		}
	}
}
