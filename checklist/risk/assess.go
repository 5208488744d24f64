package risk

import (
	"math/big"
	"slices"

	"sideport/cards"
)

// Assessment is what the models say about one case, ready to show.
type Assessment struct {
	Results  []Result `json:"results"`  // one for each model, never joined
	Cautions []string `json:"cautions"` // to be shown with any of it
}

// Result is what one model says.
type Result struct {
	Model      ModelID `json:"model"`
	Name       string  `json:"name"`
	Source     string  `json:"source"`
	Population string  `json:"population"`
	Reading    string  `json:"reading"`
	// Lowest and Highest are the ends of the range of the word shown first.
	Lowest  Rank `json:"lowest"`
	Highest Rank `json:"highest"`
	// Headline is shown in this order: group, estimate where the model has one, score, year.
	Headline []cards.Shown `json:"headline"`
	Lines    []Line        `json:"lines"`
	Figures  []string      `json:"figures,omitempty"` // the published counts behind the estimate
	Working  []string      `json:"working"`           // to be done again by hand
	Cautions []string      `json:"cautions"`

	low, high end
}

// end is one end of the range, exact.
type end struct {
	points int
	ratio  *big.Rat
	p      *big.Rat // nil where the model gives no figure
}

// LineState says what became of an item.
type LineState string

const (
	LineCounted  LineState = "counts"
	LineNot      LineState = "does not count"
	LineNotKnown LineState = "not known" // asked or part of the case, and nobody knows
	LineNotAsked LineState = "not asked" // an input nobody gave
)

// Line is one item of a model on this case.
type Line struct {
	Item    string    `json:"item"`
	Label   string    `json:"label"`
	State   LineState `json:"state"`
	Level   string    `json:"level"`             // "yes", "60 to 69", or the levels still possible
	Effect  string    `json:"effect"`            // "3 points", "× 2.92", "0 to 3 points"
	Mark    string    `json:"mark"`              // of the figure
	Because []string  `json:"because,omitempty"` // the answers it rests on
	Missing []string  `json:"missing,omitempty"` // what would settle it
	// Substituted says where a fact of the case stands for another of the model.
	Substituted string `json:"substituted,omitempty"`
}

// Assess makes what each model says of the facts of a case and of what is
// given for the moment. Answers that no model could read are problems, and
// then there is no assessment.
func Assess(facts cards.Facts, given Given) (Assessment, cards.Problems) {
	a := answered{facts, given}
	if found := a.check(); len(found) > 0 {
		return Assessment{}, found
	}
	out := Assessment{Cautions: cautions()}
	for _, m := range Models {
		out.Results = append(out.Results, m.assess(a))
	}
	return out, nil
}

func (m Model) assess(facts cards.Facts) Result {
	r := Result{Model: m.ID, Name: m.Name, Source: m.Source(), Population: m.Population, Reading: m.Reading, Cautions: slices.Clone(m.Limits)}
	var low, high []Level
	for _, it := range m.Items {
		possible := it.possible(facts)
		low, high = append(low, slices.MinFunc(possible, byWeight)), append(high, slices.MaxFunc(possible, byWeight))
		r.Lines = append(r.Lines, m.line(it, possible, facts))
	}
	if m.Baseline.Stated() {
		m.showOdds(&r, low, high)
	} else {
		m.showPoints(&r, low, high)
	}
	return r
}

// possible are the levels the item may be at: the last that is certain, and
// every later one that cannot be ruled out. The answer can only lose members
// when something becomes known.
func (it Item) possible(facts cards.Facts) []Level {
	out := it.Levels[:1:1]
	for _, l := range it.Levels[1:] {
		switch l.holds(facts) {
		case cards.True:
			out = []Level{l}
		case cards.Unknown:
			out = append(out, l)
		}
	}
	return out
}

// holds is true when any test holds, else unknown when any is unknown.
func (l Level) holds(facts cards.Facts) cards.Truth {
	result := cards.False
	for _, t := range l.When {
		result = max(result, t.Holds(facts))
	}
	return result
}

// byWeight orders levels by ratio or points, one of which is 0 in each model.
func byWeight(a, b Level) int {
	if c := a.Ratio.Cmp(b.Ratio); c != 0 {
		return c
	}
	return a.Points - b.Points
}

// factors are the factors and inputs the item reads, each once, in order.
func (it Item) factors() []cards.FactorID {
	var out []cards.FactorID
	for _, l := range it.Levels {
		for _, t := range l.When {
			if !slices.Contains(out, t.Factor) {
				out = append(out, t.Factor)
			}
		}
	}
	return out
}
