package checklist

import "sideport/cards"

// askedAbout are the numbers of a case that are copied from paper and that a
// slip of the sign or of a digit makes into another lens.
var askedAbout = []cards.FactorID{"lens-power", "backup-power"}

// LargeChanges finds the changes of a lens power between two states of a case
// that must be said to be meant, by the rule of cards.BigChange. Measurements
// are left out: a pupil of 3 mm that dilates to 7 mm is no slip.
func LargeChanges(from, to Case) []cards.LargeChange {
	var out []cards.LargeChange
	for _, id := range askedAbout {
		f, _ := cards.FactorByID(id)
		was, now := numberIn(from, id), numberIn(to, id)
		if factor, ask := cards.BigChange(was, now); ask {
			out = append(out, cards.LargeChange{Path: "facts/" + string(id), Label: f.Label, Factor: factor,
				From: numberText(was.String(), f.Unit), To: numberText(now.String(), f.Unit)})
		}
	}
	return out
}

// numberIn is the answer as a number; not stated where it is not known, not answered or not one number.
func numberIn(c Case, id cards.FactorID) cards.Quantity {
	v := c.Facts[id]
	if len(v) != 1 {
		return cards.Quantity{}
	}
	q, err := cards.ParseQuantity(v[0])
	if err != nil {
		return cards.Quantity{}
	}
	return q
}
