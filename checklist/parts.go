package checklist

import "sideport/cards"

// Parts are what a unit turns on for itself, with who did it and when. All is off in a new unit.
type Parts struct {
	Risk Switch `json:"risk,omitzero"`
	// Recipes are the dilution recipes that the unit's pharmacist has confirmed; the others are not shown as the unit's.
	Recipes []ConfirmedRecipe `json:"recipes,omitempty"`
}

// IsZero reports whether nothing is turned on.
func (p Parts) IsZero() bool { return p.Risk == Switch{} && len(p.Recipes) == 0 }

// Switch turns on a part that has an intended purpose of its own. It counts
// only with the person who turned it on, the day, and that the purpose was read.
type Switch struct {
	On          bool           `json:"on"`
	By          cards.PersonID `json:"by,omitempty"`
	Date        cards.Date     `json:"date,omitempty"`
	PurposeRead bool           `json:"purpose_read,omitempty"`
}

// ConfirmedRecipe is one recipe that the unit's pharmacist has confirmed.
type ConfirmedRecipe struct {
	Recipe cards.Key  `json:"recipe"`
	By     string     `json:"by"` // the pharmacist
	Date   cards.Date `json:"date"`
}

// ConfirmedRecipe says who confirmed a recipe, if anybody has.
func (p Parts) ConfirmedRecipe(id cards.Key) (ConfirmedRecipe, bool) {
	for _, r := range p.Recipes {
		if r.Recipe == id {
			return r, true
		}
	}
	return ConfirmedRecipe{}, false
}
