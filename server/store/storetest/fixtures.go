package storetest

import (
	"sideport/cards"
	"sideport/checklist"
)

// Card is a small valid card of an invented surgeon. Its figures are invented
// too and lie inside the usual ranges of the vocabulary.
func Card() cards.Card {
	limits := func(power, vacuum, flow, bottle string) cards.Limits {
		return cards.Limits{Ultrasound: cards.Longitudinal, Mode: cards.Continuous, Power: cards.MustQuantity(power), PowerControl: cards.Linear,
			Vacuum: cards.MustQuantity(vacuum), VacuumControl: cards.Fixed, Flow: cards.MustQuantity(flow), Bottle: cards.MustQuantity(bottle)}
	}
	return cards.Card{
		ID: "anna-chop", Title: "Chop", Technique: cards.StopAndChop, Owner: "anna",
		Machine: cards.Machine{Profile: "Profile A", Pump: "peristaltic", Irrigation: cards.BottleHeight},
		Items: []cards.Item{
			{Key: "chopper", Name: "Chopper", Kind: "instrument", Quantity: 1, State: cards.Open, Counted: true},
			{Key: "iris-hooks", Name: "Iris hooks", Kind: "instrument", Quantity: 1, State: cards.HaveReady},
		},
		Phases: []cards.Phase{
			{Key: "sculpt", Name: "Sculpt", Kind: cards.Sculpt, Limits: limits("50", "60", "25", "80")},
			{Key: "chop", Name: "Chop", Kind: cards.Chop, Limits: limits("40", "350", "30", "90")},
		},
		Steps: []cards.Step{{Key: "groove", Title: "Groove", Phase: "sculpt"}},
		Notes: "Keep the wound cool.",
	}
}

// Case is the first case of a list, of an invented patient of whom nothing is known but the eye.
func Case() checklist.Case {
	return checklist.Case{ID: "case-1", List: "2027-03-31", Position: 1, Surgeon: "anna", Card: "anna-chop",
		Facts: map[cards.FactorID]checklist.Value{"eye": {"right eye"}}}
}

// Person is an invented person.
func Person() cards.Person {
	return cards.Person{ID: "anna", Name: "Anna Example", Roles: []cards.PersonRole{cards.PersonSurgeon}, Invented: true}
}

// Vacuum changes the vacuum of one phase.
func Vacuum(phase cards.Key, mmHg string) func(*cards.Card) {
	return func(c *cards.Card) {
		for i := range c.Phases {
			if c.Phases[i].Key == phase {
				c.Phases[i].Limits.Vacuum = cards.MustQuantity(mmHg)
			}
		}
	}
}

// VacuumIs checks the vacuum of one phase.
func VacuumIs(phase cards.Key, mmHg string) func(cards.Card) bool {
	return func(c cards.Card) bool {
		p, ok := c.Phase(phase)
		return ok && p.Limits.Vacuum.String() == mmHg
	}
}

// Title changes the title.
func Title(title string) func(*cards.Card) {
	return func(c *cards.Card) { c.Title = title }
}

// Owner gives the card to somebody.
func Owner(person cards.PersonID) func(*cards.Card) {
	return func(c *cards.Card) { c.Owner = person }
}

// Pupil gives the case its dilated pupil.
func Pupil(mm string) func(*checklist.Case) {
	return func(c *checklist.Case) { c.Facts["dilated-pupil"] = checklist.Value{mm} }
}
