package edits

import (
	"encoding/json"

	"sideport/cards"
)

// mergeCards merges cards. Without a base one surgeon has begun one card
// twice, as where a restored server lost its beginning: nobody can tell what
// one side added from what the other took out, so both are asked.
func mergeCards(base, head, mine body) (body, []cards.Question) {
	if base != nil {
		return merging(cards.Merge)(base, head, mine)
	}
	h, m := head.(cards.Card), mine.(cards.Card)
	merged, asked := cards.Merge(namesOnly(h, m), h, m)
	for i := range asked {
		asked[i].Base, asked[i].BaseText = json.RawMessage("null"), ""
	}
	return merged, asked
}

// namesOnly is a card with the bare name of every element that mine alone has:
// against it mine has changed the element and head has taken it out.
func namesOnly(head, mine cards.Card) cards.Card {
	return cards.Card{
		Items: onlyIn(mine.Items, head.Items, func(i cards.Item) cards.Item { return cards.Item{Key: i.Key} },
			func(i cards.Item) cards.Key { return i.Key }),
		Drugs: onlyIn(mine.Drugs, head.Drugs, func(d cards.Drug) cards.Drug { return cards.Drug{Key: d.Key} },
			func(d cards.Drug) cards.Key { return d.Key }),
		Phases: onlyIn(mine.Phases, head.Phases, func(p cards.Phase) cards.Phase { return cards.Phase{Key: p.Key} },
			func(p cards.Phase) cards.Key { return p.Key }),
		Steps: onlyIn(mine.Steps, head.Steps, func(s cards.Step) cards.Step { return cards.Step{Key: s.Key} },
			func(s cards.Step) cards.Key { return s.Key }),
		Triggers: onlyIn(mine.Triggers, head.Triggers, func(t cards.Trigger) cards.Trigger { return cards.Trigger{Key: t.Key} },
			func(t cards.Trigger) cards.Key { return t.Key }),
		Variants: onlyIn(mine.Variants, head.Variants, func(v cards.Variant) cards.Variant { return cards.Variant{Key: v.Key} },
			func(v cards.Variant) cards.Key { return v.Key }),
		// The names of these may be all they hold, so what stands here is another text.
		Fit: onlyIn(mine.Fit, head.Fit, func(f cards.Fit) cards.Fit { f.Reason += "?"; return f },
			func(f cards.Fit) cards.Fit { return cards.Fit{Speaks: f.Speaks, When: f.When} }),
		Extra: onlyIn(mine.Extra, head.Extra, func(s cards.Section) cards.Section { s.Body += "?"; return s },
			func(s cards.Section) string { return s.Title }),
	}
}

func onlyIn[T any, K comparable](mine, head []T, bare func(T) T, key func(T) K) []T {
	there := map[K]bool{}
	for _, e := range head {
		there[key(e)] = true
	}
	var out []T
	for _, e := range mine {
		if !there[key(e)] {
			out = append(out, bare(e))
		}
	}
	return out
}
