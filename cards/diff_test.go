package cards

import (
	"slices"
	"testing"
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
			[]string{"Item “Iris hooks”: 5 × Iris hooks; have ready; room → 5 × Iris hooks; open; room"}},
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
