package main

import (
	"encoding/json"

	"sideport/cards"
	"sideport/checklist"
	"sideport/checklist/risk"
)

// recipe is a dilution recipe as the screens show it, with its sums done.
type recipe struct {
	ID      cards.Key     `json:"id"`
	Title   string        `json:"title"`
	Drug    string        `json:"drug"`
	Note    string        `json:"note,omitempty"`
	Mark    string        `json:"mark"`
	Working cards.Working `json:"working"`
	// Confirmed says who confirmed it for this unit; without it the recipe is off.
	Confirmed *checklist.ConfirmedRecipe `json:"confirmed,omitempty"`
}

func calculations(in []byte) ([]byte, error) {
	var request struct {
		Parts checklist.Parts `json:"parts"`
	}
	if err := read(in, &request); err != nil {
		return nil, err
	}
	out := struct {
		Calculations []cards.Calculation `json:"calculations"`
		Recipes      []recipe            `json:"recipes"`
	}{Calculations: cards.Calculations}
	for _, r := range cards.StarterRecipes() {
		shown := recipe{ID: r.ID, Title: r.Title, Drug: r.Drug, Note: r.Note, Mark: r.Mark}
		if by, ok := request.Parts.ConfirmedRecipe(r.ID); ok {
			r.Confirmed, shown.Confirmed = true, &by
		}
		shown.Working, _ = cards.CheckRecipe(r) // the chain of each is held by a test
		out.Recipes = append(out.Recipes, shown)
	}
	return cards.Canonical(out)
}

func reckon(in []byte) ([]byte, error) {
	var r struct {
		Name string          `json:"name"`
		In   json.RawMessage `json:"in"`
	}
	if err := read(in, &r); err != nil {
		return nil, err
	}
	working, problems := cards.Reckon(r.Name, r.In)
	return cards.Canonical(struct {
		Working  cards.Working  `json:"working"`
		Problems cards.Problems `json:"problems"`
	}{working, listed(problems)})
}

// assess answers only where the unit has turned the part on: no screen can show an estimate by mistake.
func assess(in []byte) ([]byte, error) {
	var r struct {
		Parts checklist.Parts `json:"parts"`
		Case  checklist.Case  `json:"case"`
		Given risk.Given      `json:"given"`
	}
	if err := read(in, &r); err != nil {
		return nil, err
	}
	if s := r.Parts.Risk; !s.On || !s.PurposeRead {
		return nil, refuse("The risk part is off. The unit lead reads its purpose and turns it on in the house rules.")
	}
	facts, _ := checklist.Derive(r.Case)
	assessment, problems := risk.Assess(facts, r.Given)
	if len(problems) > 0 {
		return nil, failure{Code: "bad request", Text: "There is no estimate for these answers. This needs mending first.", Problems: problems}
	}
	return cards.Canonical(assessment)
}

func riskTables(in []byte) ([]byte, error) {
	if err := read(in, &struct{}{}); err != nil {
		return nil, err
	}
	return cards.Canonical(struct {
		Purpose string       `json:"purpose"`
		Inputs  []risk.Input `json:"inputs"`
		Tables  []risk.Table `json:"tables"`
	}{risk.Purpose, risk.Inputs, risk.Tables()})
}

func trial(in []byte) ([]byte, error) {
	var r struct {
		From  checklist.RuleBook    `json:"from"`
		To    checklist.RuleBook    `json:"to"`
		Cases []checklist.TrialCase `json:"cases"`
	}
	if err := read(in, &r); err != nil {
		return nil, err
	}
	trials := []checklist.Trial{}
	for _, c := range r.Cases {
		trials = append(trials, checklist.Try(r.From, r.To, c))
	}
	return cards.Canonical(struct {
		Trials []checklist.Trial `json:"trials"`
	}{trials})
}

// reading says how long each pause takes to read aloud and answer, and how many fixed lines it may have.
func reading(in []byte) ([]byte, error) {
	var r struct {
		Pauses [][]string `json:"pauses"` // the text of each line
	}
	if err := read(in, &r); err != nil {
		return nil, err
	}
	pauses := []checklist.Reading{}
	for _, lines := range r.Pauses {
		pauses = append(pauses, checklist.ReadingOf(lines))
	}
	return cards.Canonical(struct {
		Pauses []checklist.Reading `json:"pauses"`
	}{pauses})
}
