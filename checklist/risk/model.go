package risk

import (
	"strconv"

	"sideport/cards"
	"sideport/checklist"
)

// ModelID names a model.
type ModelID string

// The models. Append only.
const (
	PointScore ModelID = "muhtaseb-2004"
	NewZealand ModelID = "new-zealand-2020"
	OddsRatios ModelID = "narendran-2009"
)

// Model is one published model as data. A model either has Groups (a point
// score) or a Baseline (odds ratios), never both.
type Model struct {
	ID      ModelID
	Name    string
	Authors string
	Journal string
	Year    int
	// Population says whose operations, when; Operations how many.
	Population string
	Operations int
	Outcome    string // what the figure counts
	Reading    string // how its authors mean it to be read
	Items      []Item
	Groups     []Group        // of a point score, ascending
	Baseline   cards.Quantity // of odds ratios, in percent: every item at its reference level
	Average    cards.Quantity // of odds ratios, in percent: of the series it was made from
	Limits     []string       // what to know before reading it
}

// Source is authors, journal and year in words.
func (m Model) Source() string { return m.Authors + ", " + m.Journal + " " + strconv.Itoa(m.Year) }

// Item is one indicator of a model.
//
// Levels[0] is the reference level. An item is at the last level one of whose
// tests holds, and at the reference level when none does. Levels decided by
// more than one fact must ascend in weight, so that the worse finding counts.
type Item struct {
	ID     string
	Label  string
	Levels []Level
	// Substituted says where a fact of the case stands for another of the model.
	Substituted string
}

// Level is one answer to an item, with its weight: Points in a point score, Ratio in odds ratios.
type Level struct {
	Name   string
	Points int
	Ratio  cards.Quantity
	When   []cards.Test // any one is enough; none for the reference level
	Mark   checklist.Mark
}

// Rank is the word shown first.
type Rank string

const (
	RankLow     Rank = "low"
	RankNotHigh Rank = "not high" // of a model that draws one line only
	RankRaised  Rank = "raised"
	RankHigh    Rank = "high"
)

// Group is a group of a point score. Operations is 0 where the source gives
// no figures for the group.
type Group struct {
	Name       string
	From       int // points; the group ends where the next begins
	Rank       Rank
	Operations int
	Ruptures   int
	// Published percentages beside that of ruptures, as printed.
	Complications, VitreousLoss, DroppedNucleus, WoundBurnOrLeak string
}

// Models lists the models in the order they are shown.
var Models = []Model{muhtaseb, newZealand, narendran}

func is(id cards.FactorID, value string) cards.Test {
	return cards.Test{Factor: id, Op: cards.Is, Value: value}
}

func below(id cards.FactorID, value string) cards.Test {
	return cards.Test{Factor: id, Op: cards.Below, Value: value}
}

func atLeast(id cards.FactorID, value string) cards.Test {
	return cards.Test{Factor: id, Op: cards.AtLeast, Value: value}
}

// scored is an item that is there or not.
func scored(points int, id, label string, when ...cards.Test) Item {
	return Item{ID: id, Label: label, Levels: []Level{
		{Name: cards.No},
		{Name: cards.Yes, Points: points, When: when, Mark: checklist.MarkPublished},
	}}
}

func (it Item) substituting(text string) Item {
	it.Substituted = text
	return it
}
