package risk

import (
	"slices"
	"strings"

	"sideport/cards"
	"sideport/checklist"
)

// Input is something a model asks and a case does not hold. It is given for
// the moment of looking and never kept: none of it is needed to prepare a
// case, and sex would bring a case nearer to a person.
type Input struct {
	ID      cards.FactorID `json:"id"`
	Label   string         `json:"label"`
	Options []string       `json:"options"` // beside "not known"
	Hint    string         `json:"hint,omitempty"`
}

// Given are the answers to Inputs. What is missing or empty was not asked;
// "not known" was asked. Neither is ever taken for the reference level.
type Given map[cards.FactorID]string

// Inputs lists what may be given, in the order a form asks.
var Inputs = []Input{
	{ID: "surgeon-grade", Label: "Grade of the surgeon", Hint: "As the model of 2009 names grades. That a trainee operates does not say which grade.",
		Options: []string{"consultant", "associate specialist", "staff grade", "fellow", "specialist registrar", "junior trainee"}},
	{ID: "sex", Label: "Sex", Options: []string{"female", "male"}, Hint: "For this moment only."},
	{ID: "pupil-category", Label: "Pupil as the surgeon calls it", Options: []string{"large", "medium", "small"}, Hint: "The model of 2009 gives no millimetres."},
	{ID: "vitreous-opacities", Label: "Vitreous opacities", Options: []string{cards.Yes, cards.No}},
	{ID: "dense-cataract", Label: "Dense or total cataract", Options: []string{cards.Yes, cards.No}, Hint: "The point scores give no grade. Grade 4 or 5 counts as dense whatever is said here."},
	{ID: "other-risk", Label: "Another risk the surgeon sees", Options: []string{cards.Yes, cards.No}, Hint: "For example a poor position. Cannot lie flat counts whatever is said here."},
}

func inputByID(id cards.FactorID) (Input, bool) {
	for _, in := range Inputs {
		if in.ID == id {
			return in, true
		}
	}
	return Input{}, false
}

// answered joins the facts of the case with what is given for the moment.
type answered struct {
	facts cards.Facts
	given Given
}

// Fact answers factors of the case and inputs alike; see cards.Facts.
func (a answered) Fact(id cards.FactorID) (values []string, known bool) {
	if _, ok := inputByID(id); ok {
		v := a.given[id]
		return []string{v}, v != "" && v != cards.NotKnown
	}
	values, known = a.facts.Fact(id)
	if len(values) == 1 && values[0] == cards.NotKnown {
		return nil, false
	}
	return values, known
}

// check finds answers that no model could read. Without it a misspelt answer
// would match no test and so be taken for the reference level.
func (a answered) check() cards.Problems {
	var found cards.Problems
	for _, p := range checklist.CheckCase(checklist.Case{Facts: a.used()}).Errors() {
		if strings.HasPrefix(p.Path, "facts/") && p.Path != "facts/eye" {
			found = append(found, p)
		}
	}
	return append(found, a.given.check()...)
}

// used are the known facts of the case that a model reads. The reckoned grade
// is not among them: a case check refuses it as an entry.
func (a answered) used() map[cards.FactorID]checklist.Value {
	used := map[cards.FactorID]checklist.Value{}
	for _, f := range cards.Factors {
		if values, known := a.Fact(f.ID); known && !f.Derived && modelsRead(f.ID) {
			used[f.ID] = values
		}
	}
	return used
}

// modelsRead reports whether any model has a test on the factor or input.
func modelsRead(id cards.FactorID) bool {
	for _, m := range Models {
		for _, it := range m.Items {
			if slices.Contains(it.factors(), id) {
				return true
			}
		}
	}
	return false
}

func (g Given) check() cards.Problems {
	var found cards.Problems
	for _, in := range Inputs {
		v := g[in.ID]
		if v != "" && v != cards.NotKnown && !slices.Contains(in.Options, v) {
			found = append(found, cards.Problem{Level: cards.LevelError, Code: "choice", Path: "given/" + string(in.ID),
				Text: in.Label + ": “" + v + "” is not an answer. Choose one of: " + strings.Join(in.Options, ", ") + ", not known."})
		}
	}
	var strange []string
	for id := range g {
		if _, ok := inputByID(id); !ok {
			strange = append(strange, string(id))
		}
	}
	slices.Sort(strange)
	for _, id := range strange {
		found = append(found, cards.Problem{Level: cards.LevelError, Code: "no such input", Path: "given/" + id,
			Text: "There is no input “" + id + "”. Give one of the inputs listed; a fact of the eye belongs to the case."})
	}
	return found
}
