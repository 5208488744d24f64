package checklist

import (
	"slices"
	"strings"

	"sideport/cards"
)

// Ranked is one card of the surgeon with what the facts of a case say for and
// against it. There is never one best card: the surgeon chooses.
type Ranked struct {
	Card      cards.CardID `json:"card"`
	Title     string       `json:"title"`
	Technique string       `json:"technique"`
	Group     FitGroup     `json:"group"`
	For       []FitLine    `json:"for,omitempty"`
	Against   []FitLine    `json:"against,omitempty"`
	Unknown   []FitLine    `json:"unknown,omitempty"` // would speak, but the fact is not known
	Remarks   []FitRemark  `json:"remarks,omitempty"` // of the technique, whatever the case
}

// FitGroup says in words where a card stands.
type FitGroup string

const (
	GroupFor     FitGroup = "speaks for"
	GroupMixed   FitGroup = "mixed"
	GroupAgainst FitGroup = "speaks against"
	GroupUnknown FitGroup = "nothing known"
	GroupNeither FitGroup = "speaks neither way"
)

// FitRemark is something about a technique that hangs on no fact of the case.
type FitRemark struct {
	Text   string `json:"text"`
	Source string `json:"source"`
	Mark   Mark   `json:"mark"`
}

// RankCards sets the surgeon's own cards against the facts of a case: fewest
// reasons against first, then most for, then by title. What is not known
// counts on neither side and is shown. Cards of other surgeons are left out.
func RankCards(list []cards.Card, c Case) []Ranked {
	answers, _ := Derive(c)
	out := []Ranked{}
	for _, card := range list {
		if c.Surgeon == "" || card.Owner == c.Surgeon {
			out = append(out, rank(card, answers))
		}
	}
	slices.SortStableFunc(out, compareRanked)
	return out
}

func compareRanked(a, b Ranked) int {
	if n := len(a.Against) - len(b.Against); n != 0 {
		return n
	}
	if n := len(b.For) - len(a.For); n != 0 {
		return n
	}
	if n := strings.Compare(a.Title, b.Title); n != 0 {
		return n
	}
	return strings.Compare(string(a.Card), string(b.Card))
}

func rank(card cards.Card, a Answers) Ranked {
	r := Ranked{Card: card.ID, Title: card.Title, Technique: card.TechniqueText(), Remarks: remarksOn(card.Technique)}
	for _, f := range card.Fit {
		r.say(FitLine{Speaks: f.Speaks, Text: testText(f.When, a), Reason: f.Reason}, f.When.Holds(a))
	}
	for _, f := range techniqueFits {
		if f.speaksOf(card) {
			r.say(FitLine{Speaks: f.speaks, Text: testText(f.when, a), Reason: f.reason, Source: f.source, Mark: f.mark}, f.when.Holds(a))
		}
	}
	r.Group = r.group()
	return r
}

func (r *Ranked) say(line FitLine, truth cards.Truth) {
	line.Known = truth == cards.True
	switch {
	case truth == cards.False:
	case truth == cards.Unknown:
		r.Unknown = append(r.Unknown, line)
	case line.Speaks == cards.SpeaksFor:
		r.For = append(r.For, line)
	default:
		r.Against = append(r.Against, line)
	}
}

func (r *Ranked) group() FitGroup {
	switch {
	case len(r.For) > 0 && len(r.Against) > 0:
		return GroupMixed
	case len(r.For) > 0:
		return GroupFor
	case len(r.Against) > 0:
		return GroupAgainst
	case len(r.Unknown) > 0:
		return GroupUnknown
	}
	return GroupNeither
}
