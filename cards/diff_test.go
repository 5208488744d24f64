package cards

import (
	"bytes"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestDiff(t *testing.T) {
	cases := []struct {
		name string
		to   Card
		want []string
	}{
		{"nothing", plain(), nil},
		{"a limit says phase, old, new and unit", change(limits(1, func(l *Limits) { l.Vacuum = Whole(400) })), []string{"Chop vacuum 350 → 400 mmHg"}},
		{"how a limit is applied", change(limits(0, func(l *Limits) { l.PowerControl = Fixed })), []string{"Sculpt ultrasound power 50 %, linear → 50 %, fixed"}},
		{"a limit taken away", change(limits(1, func(l *Limits) { l.BurstLength = Quantity{} })), []string{"Chop burst length removed (was 30 ms)"}},
		{"basics", change(func(c *Card) { c.Basics.Handedness = "left-handed" }), []string{"Handedness added: left-handed"}},
		{"an item", change(func(c *Card) { c.Items = slices.Clone(c.Items); c.Items[1].State = Open }),
			[]string{"Iris hooks state have ready → open"}},
		{"how many, and whether counted", change(func(c *Card) { c.Items = slices.Clone(c.Items); c.Items[1].Quantity, c.Items[1].Counted = 6, true }),
			[]string{"Iris hooks counted no → yes", "Iris hooks quantity 5 → 6"}},
		{"a dose", change(func(c *Card) { c.Drugs = slices.Clone(c.Drugs); c.Drugs[0].Dose = measure("0.5", "mg") }), []string{"Cefuroxime dose 1 mg → 0.5 mg"}},
		{"a drug's note and volume", change(func(c *Card) {
			c.Drugs = slices.Clone(c.Drugs)
			c.Drugs[0].Note, c.Drugs[0].Volume = "Slowly.", Quantity{}
		}), []string{"Cefuroxime note added: Slowly.", "Cefuroxime volume removed (was 0.1 mL)"}},
		{"a step", change(func(c *Card) { c.Steps = slices.Clone(c.Steps); c.Steps[0].Do = "Two grooves" }), []string{"Step “Groove” do One groove → Two grooves"}},
		{"what a drill opens", change(func(c *Card) {
			c.Triggers = slices.Clone(c.Triggers)
			c.Triggers[0].Open = []Key{"iris-hooks", "spatula"}
		}),
			[]string{"Trigger “Pupil comes down” open iris-hooks → iris-hooks; spatula"}},
		{"a limit of a variant", change(func(c *Card) {
			c.Variants = slices.Clone(c.Variants)
			c.Variants[0].Phases = slices.Clone(c.Variants[0].Phases)
			c.Variants[0].Phases[0].Limits.Vacuum = Whole(450)
		}), []string{"Dense nucleus, chop vacuum 400 → 450 mmHg"}},
		{"a reason", change(func(c *Card) { c.Fit = slices.Clone(c.Fit); c.Fit[0].Reason = "It pulls" }),
			[]string{"Fit “Loose zonules or a moving lens is yes” reason The chopper pushes on the bag → It pulls"}},
		{"an item removed", change(func(c *Card) { c.Items = c.Items[:1] }), []string{"Item “Iris hooks” removed"}},
		{"order", change(func(c *Card) { c.Phases = []Phase{c.Phases[1], c.Phases[0], c.Phases[2]} }), []string{"Phases in another order"}},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			if got := Diff(plain(), tc.to); !slices.Equal(got, tc.want) {
				t.Errorf("got  %q\nwant %q", got, tc.want)
			}
		})
	}
}

// A history that says nothing changed is believed: whatever differs between two cards is said, and nothing else is.
func TestDiffNeverPassesAChangeInSilence(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, to := withoutTwins(storableCard().Draw(t, "from")), withoutTwins(storableCard().Draw(t, "to"))
		to.ID = from.ID
		mixed := from // most of a card stays in an edit
		switch rapid.IntRange(0, 9).Draw(t, "part") {
		case 0:
			mixed = to
		case 1:
			mixed.Items = changedOne(t, from.Items, func(i *Item) { *i = drawItemLike(t, *i) })
		case 2:
			mixed.Drugs = changedOne(t, from.Drugs, func(d *Drug) { d.Dose, d.Allergens, d.Prepared = Measure{}, nil, "made up" })
		case 3:
			mixed.Phases = changedOne(t, from.Phases, func(p *Phase) { p.Limits.PowerControl, p.Limits.VacuumControl = Linear, Fixed })
		case 4:
			mixed.Steps = changedOne(t, from.Steps, func(s *Step) { s.Phase, s.Checkpoint = "chop", "clear" })
		case 5:
			mixed.Triggers = changedOne(t, from.Triggers, func(x *Trigger) { x.Surgeon, x.Scrub = x.Scrub, x.Surgeon })
		case 6:
			mixed.Variants = changedOne(t, from.Variants, func(v *Variant) { v.Phases, v.Without = nil, []Key{"spatula"} })
		case 7:
			mixed.Basics, mixed.Machine = to.Basics, to.Machine
		case 8:
			mixed.Fit = changedOne(t, from.Fit, func(f *Fit) { f.Reason += "!" })
		case 9:
			mixed.Notes, mixed.Extra = to.Notes, to.Extra
		}
		if equal := bytes.Equal(raw(from), raw(mixed)); equal != (len(Diff(from, mixed)) == 0) {
			t.Fatalf("equal is %v, said %q", equal, Diff(from, mixed))
		}
	})
}

func changedOne[T any](t *rapid.T, list []T, change func(*T)) []T {
	if len(list) == 0 {
		return list
	}
	out := slices.Clone(list)
	change(&out[rapid.IntRange(0, len(out)-1).Draw(t, "which")])
	return out
}

// drawItemLike is another item with the same key.
func drawItemLike(t *rapid.T, like Item) Item {
	i := drawItem(t)
	i.Key = like.Key
	return i
}

// withoutTwins keeps the first of the elements with one key, as Check demands of a card.
func withoutTwins(c Card) Card {
	c.Items, c.Drugs, c.Phases = firstOfEach(c.Items, itemKey), firstOfEach(c.Drugs, drugKey), firstOfEach(c.Phases, phaseKey)
	c.Steps, c.Triggers, c.Variants = firstOfEach(c.Steps, stepKey), firstOfEach(c.Triggers, triggerKey), firstOfEach(c.Variants, variantKey)
	c.Fit, c.Extra = firstOfEach(c.Fit, fitKey), firstOfEach(c.Extra, sectionKey)
	return c
}

func firstOfEach[T any](list []T, key func(T) string) []T {
	seen := map[string]bool{}
	return slices.DeleteFunc(slices.Clone(list), func(v T) bool {
		twin := seen[key(v)]
		seen[key(v)] = true
		return twin
	})
}
