package cards

import (
	"slices"
	"strings"
)

// sequences are the keys of one list on the three sides, restricted to the elements the merge keeps.
type sequences struct{ base, head, mine []string }

// order merges the order of a list. What both sides hold forms the skeleton,
// in the order of the side that changed it. What only one side holds follows
// the element it followed there.
func (m *merger) order(list, kind string, s sequences) []string {
	skeleton, agreed := s.skeleton()
	if !agreed {
		unit := strings.ToLower(kind) + " order"
		if kind == "Limits of" {
			unit = "order of phases"
		}
		// Only what both sides hold: what one of them added or deleted is no matter of order.
		mine := restrict(s.mine, s.head)
		base := restrict(s.base, mine)
		m.ask(Question{Unit: list + "/order", Label: strings.ToUpper(unit[:1]) + unit[1:],
			Base: raw(base), Head: raw(skeleton), Mine: raw(mine),
			BaseText: orderWords(base), HeadText: orderWords(skeleton), MineText: orderWords(mine)})
	}
	runs := map[string][][]string{} // what follows each skeleton element ("" is the start), one run a side
	for _, side := range [][]string{s.head, s.mine} {
		anchor := ""
		var run []string
		for _, k := range side {
			if !slices.Contains(skeleton, k) {
				run = append(run, k)
				continue
			}
			runs[anchor] = append(runs[anchor], run)
			anchor, run = k, nil
		}
		runs[anchor] = append(runs[anchor], run)
	}
	out := joinRuns(runs[""])
	for _, k := range skeleton {
		out = append(append(out, k), joinRuns(runs[k])...)
	}
	return out
}

// joinRuns puts the two sides' additions at one place one after the other, in
// an order that does not depend on which side is which.
func joinRuns(runs [][]string) []string {
	runs = slices.Clone(runs)
	slices.SortFunc(runs, slices.Compare)
	return slices.Concat(runs...)
}

// skeleton is the order of what both sides hold; agreed is false when both
// changed it differently, and then it is head's.
func (s sequences) skeleton() (keys []string, agreed bool) {
	head, mine := restrict(s.head, s.mine), restrict(s.mine, s.head)
	if slices.Equal(head, mine) {
		return head, true
	}
	base := restrict(s.base, head)
	headMoved := !slices.Equal(restrict(head, base), base)
	mineMoved := !slices.Equal(restrict(mine, base), base)
	switch {
	case headMoved && !mineMoved:
		return head, true
	case mineMoved && !headMoved:
		return mine, true
	}
	return head, false
}

// restrict keeps the keys that other holds too.
func restrict(keys, other []string) []string {
	var out []string
	for _, k := range keys {
		if slices.Contains(other, k) {
			out = append(out, k)
		}
	}
	return out
}

func orderWords(keys []string) string {
	words := make([]string, len(keys))
	for i, k := range keys {
		words[i] = Key(k).Words()
	}
	return strings.Join(words, ", ")
}
