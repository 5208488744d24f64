package cards

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func change(edits ...func(*Card)) Card {
	c := plain()
	for _, e := range edits {
		e(&c)
	}
	return c
}

func limits(phase int, set func(*Limits)) func(*Card) {
	return func(c *Card) {
		c.Phases = slices.Clone(c.Phases)
		set(&c.Phases[phase].Limits)
	}
}

func TestMerge(t *testing.T) {
	title := func(s string) func(*Card) { return func(c *Card) { c.Title = s } }
	chopVacuum := func(n int64) func(*Card) { return limits(1, func(l *Limits) { l.Vacuum = Whole(n) }) }
	sculptVacuum := func(n int64) func(*Card) { return limits(0, func(l *Limits) { l.Vacuum = Whole(n) }) }
	chopFlow := func(n int64) func(*Card) { return limits(1, func(l *Limits) { l.Flow = Whole(n) }) }
	note := func(s string) func(*Card) { return func(c *Card) { c.Notes = s } }
	dropItem := func(key Key) func(*Card) {
		return func(c *Card) {
			c.Items = slices.DeleteFunc(slices.Clone(c.Items), func(i Item) bool { return i.Key == key })
		}
	}
	quantity := func(n int) func(*Card) {
		return func(c *Card) { c.Items = slices.Clone(c.Items); c.Items[1].Quantity = n }
	}
	rename := func(s string) func(*Card) {
		return func(c *Card) { c.Items = slices.Clone(c.Items); c.Items[1].Name = s }
	}
	add := func(at int, key Key) func(*Card) {
		return func(c *Card) {
			c.Items = slices.Insert(slices.Clone(c.Items), at, Item{Key: key, Name: key.Words(), Kind: "instrument", Quantity: 1, State: HaveReady})
		}
	}
	swapItems := func(c *Card) { c.Items = []Item{c.Items[1], c.Items[0]} }
	cases := []struct {
		name             string
		head, mine, want Card
		questions        []string
	}{
		{"different units merge", change(title("A")), change(chopVacuum(400)), change(title("A"), chopVacuum(400)), nil},
		{"the same change twice is one change", change(chopVacuum(400)), change(chopVacuum(400)), change(chopVacuum(400)), nil},
		{"two values of one limit stay open", change(chopVacuum(400)), change(chopVacuum(300)), change(chopVacuum(400)), []string{"phases/chop"}},
		{"two limits of one phase are never mixed", change(chopVacuum(400)), change(chopFlow(40)), change(chopVacuum(400)), []string{"phases/chop"}},
		{"limits of two phases merge when nothing unusual arises", change(chopVacuum(400)), change(sculptVacuum(80)), change(chopVacuum(400), sculptVacuum(80)), nil},
		{"a combination nobody saw stays open", change(chopVacuum(255)), change(sculptVacuum(260)),
			change(chopVacuum(255)), []string{"phases/sculpt", "phases/chop"}},
		{"deleted here and changed there stays open", change(dropItem("iris-hooks")), change(quantity(4)), change(dropItem("iris-hooks")), []string{"items/iris-hooks"}},
		{"renamed here and its number changed there stays open", change(rename("Hooks")), change(quantity(4)), change(rename("Hooks")), []string{"items/iris-hooks"}},
		{"two additions at one place both stay", change(add(1, "b-hook")), change(add(1, "a-hook")), change(add(1, "b-hook"), add(1, "a-hook")), nil},
		{"an addition keeps its place in a list reordered there", change(swapItems), change(add(1, "a-hook")),
			change(swapItems, add(2, "a-hook")), nil},
		{"paragraphs merge", change(note("One.\n\nWarm the fluid.")), change(note("Warm the fluid.\n\nTwo.")), change(note("One.\n\nWarm the fluid.\n\nTwo.")), nil},
		{"one paragraph changed twice stays open", change(note("Cool the fluid.")), change(note("Heat the fluid.")), change(note("Cool the fluid.")), []string{"notes/1"}},
		{"nothing", plain(), plain(), plain(), nil},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			got, questions := Merge(plain(), tc.head, tc.mine)
			if !same(got, tc.want) {
				t.Errorf("got  %s\nwant %s", raw(got), raw(tc.want))
			}
			if !slices.Equal(units(questions), tc.questions) {
				t.Errorf("questions %v, want %v", units(questions), tc.questions)
			}
		})
	}
}

func units(questions []Question) []string {
	var out []string
	for _, q := range questions {
		out = append(out, q.Unit)
	}
	return out
}

func TestQuestionSaysBothSides(t *testing.T) {
	head := change(limits(1, func(l *Limits) { l.Vacuum = Whole(400) }))
	mine := change(limits(1, func(l *Limits) { l.Vacuum = Whole(300) }))
	_, qs := Merge(plain(), head, mine)
	if len(qs) != 1 || qs[0].Label != "Limits of Chop" || !strings.Contains(qs[0].HeadText, "400 mmHg") ||
		!strings.Contains(qs[0].MineText, "300 mmHg") || !strings.Contains(qs[0].BaseText, "350 mmHg") {
		t.Errorf("got %+v", qs)
	}
}

// drawChanged draws a card some units of which were changed, added, deleted or moved.
func drawChanged(t *rapid.T, from Card, label string) Card {
	c := from
	n := rapid.IntRange(0, 4).Draw(t, label)
	for range n {
		edit := rapid.SampledFrom(edits).Draw(t, label+" edit")
		c = edit(t, c)
	}
	return c
}

var edits = []func(*rapid.T, Card) Card{
	func(t *rapid.T, c Card) Card {
		c.Title = rapid.SampledFrom([]string{"A", "B", "C"}).Draw(t, "title")
		return c
	},
	func(t *rapid.T, c Card) Card {
		c.Basics.MainWidth = Whole(rapid.Int64Range(2, 3).Draw(t, "width"))
		return c
	},
	func(t *rapid.T, c Card) Card {
		c.Phases = slices.Clone(c.Phases)
		if len(c.Phases) > 0 {
			i := rapid.IntRange(0, len(c.Phases)-1).Draw(t, "phase")
			c.Phases[i].Limits.Vacuum = Whole(rapid.SampledFrom([]int64{50, 60, 300, 400}).Draw(t, "vacuum"))
		}
		return c
	},
	func(t *rapid.T, c Card) Card {
		i := rapid.IntRange(0, len(c.Items)).Draw(t, "at")
		key := rapid.SampledFrom([]Key{"a", "b", "c"}).Draw(t, "key")
		if _, exists := c.Item(key); exists {
			return c
		}
		c.Items = slices.Insert(slices.Clone(c.Items), i, Item{Key: key, Name: string(key), Kind: "instrument", Quantity: rapid.IntRange(1, 2).Draw(t, "n"), State: Open})
		return c
	},
	func(t *rapid.T, c Card) Card {
		if len(c.Items) == 0 {
			return c
		}
		i := rapid.IntRange(0, len(c.Items)-1).Draw(t, "delete")
		c.Items = slices.Delete(slices.Clone(c.Items), i, i+1)
		return c
	},
	func(t *rapid.T, c Card) Card {
		c.Items = rapid.Permutation(c.Items).Draw(t, "moved")
		return c
	},
	func(t *rapid.T, c Card) Card {
		p := rapid.Permutation(paragraphs(c.Notes)).Draw(t, "paragraphs")
		c.Notes = strings.Join(p, "\n\n")
		return c
	},
	func(t *rapid.T, c Card) Card {
		c.Notes = strings.TrimPrefix(c.Notes+"\n\n"+rapid.SampledFrom([]string{"x", "y", "z"}).Draw(t, "paragraph"), "\n\n")
		return c
	},
}

// The laws of merging, over drawn histories of one card.
func TestMergeLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := drawChanged(t, plain(), "base")
		head := drawChanged(t, base, "head")
		mine := drawChanged(t, base, "mine")
		law(t, "merge(b, x, b) = x", base, head, base, head)
		law(t, "merge(b, b, x) = x", base, base, mine, mine)
		law(t, "merge(b, x, x) = x", base, mine, mine, mine)
		ab, qab := Merge(base, head, mine)
		ba, qba := Merge(base, mine, head)
		mirrored(t, qab, qba)
		if len(qab) == 0 && !same(ab, ba) {
			t.Fatalf("swapped sides differ\n%s\n%s", raw(ab), raw(ba))
		}
		if again, qs := Merge(base, ab, mine); len(qab) == 0 && (len(qs) > 0 || !same(again, ab)) {
			t.Fatalf("merging twice changes the card\n%s\n%s\n%v", raw(ab), raw(again), qs)
		}
		nothingInvented(t, ab, base, head, mine)
	})
}

func law(t *rapid.T, name string, base, head, mine, want Card) {
	if got, qs := Merge(base, head, mine); !same(got, want) || len(qs) > 0 {
		t.Fatalf("%s broken\ngot  %s\nwant %s\nquestions %v", name, raw(got), raw(want), units(qs))
	}
}

func mirrored(t *rapid.T, ab, ba []Question) {
	if len(ab) != len(ba) {
		t.Fatalf("questions differ when sides are swapped: %v and %v", units(ab), units(ba))
	}
	for i := range ab {
		j := slices.Index(units(ba), ab[i].Unit)
		if j < 0 {
			t.Fatalf("questions differ when sides are swapped: %v and %v", units(ab), units(ba))
		}
		a, b := ab[i], ba[j]
		if a.Label != b.Label || string(a.Head) != string(b.Mine) || string(a.Mine) != string(b.Head) || string(a.Base) != string(b.Base) {
			t.Fatalf("question %s is not mirrored: %s | %s and %s | %s", a.Unit, a.HeadText, a.MineText, b.HeadText, b.MineText)
		}
	}
}

// nothingInvented: every element of the result is an element of one of the three cards.
func nothingInvented(t *rapid.T, got Card, from ...Card) {
	for _, i := range got.Items {
		if !slices.ContainsFunc(from, func(c Card) bool { x, ok := c.Item(i.Key); return ok && same(x, i) }) {
			t.Fatalf("item nobody wrote: %s", raw(i))
		}
	}
	for _, p := range got.Phases {
		if !slices.ContainsFunc(from, func(c Card) bool { x, ok := c.Phase(p.Key); return ok && same(x, p) }) {
			t.Fatalf("limits nobody wrote: %s", raw(p))
		}
	}
	seen := map[Key]bool{}
	for _, i := range got.Items {
		if seen[i.Key] {
			t.Fatalf("item twice: %s", i.Key)
		}
		seen[i.Key] = true
	}
}
