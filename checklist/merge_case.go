package checklist

import (
	"encoding/json"
	"strconv"

	"sideport/cards"
)

// caseUnit is one thing about a case that a person decides as a whole.
type caseUnit struct {
	unit, label string
	get         func(Case) any
	set         func(to *Case, from Case)
	words       func(Case) string
}

// headUnits are the units beside the facts.
var headUnits = []caseUnit{
	{"list", "Day of the list", func(c Case) any { return c.List }, func(to *Case, from Case) { to.List = from.List }, func(c Case) string { return string(c.List) }},
	{"position", "Place on the list", func(c Case) any { return c.Position }, func(to *Case, from Case) { to.Position = from.Position }, func(c Case) string { return strconv.Itoa(c.Position) }},
	{"surgeon", "Surgeon", func(c Case) any { return c.Surgeon }, func(to *Case, from Case) { to.Surgeon = from.Surgeon }, func(c Case) string { return string(c.Surgeon) }},
	{"card", "Card", func(c Case) any { return c.Card }, func(to *Case, from Case) { to.Card = from.Card }, func(c Case) string { return string(c.Card) }},
	{"note", "Note", func(c Case) any { return c.Note }, func(to *Case, from Case) { to.Note = from.Note }, func(c Case) string { return c.Note }},
	{"removed", "Taken off the list", func(c Case) any { return c.Removed }, func(to *Case, from Case) { to.Removed = from.Removed }, func(c Case) string { return yesOrNo(c.Removed) }},
}

func yesOrNo(b bool) string {
	if b {
		return cards.Yes
	}
	return cards.No
}

// factUnit is one fact; its JSON form is null where it is not answered.
func factUnit(id cards.FactorID) caseUnit {
	return caseUnit{
		unit: "facts/" + string(id), label: factLabel(id),
		get: func(c Case) any {
			if v, given := c.Facts[id]; given {
				return v
			}
			return nil
		},
		set: func(to *Case, from Case) {
			if v, given := from.Facts[id]; given {
				to.Facts[id] = v
			} else {
				delete(to.Facts, id)
			}
		},
		words: func(c Case) string {
			if _, given := c.Facts[id]; !given {
				return "not answered"
			}
			f, ok := cards.FactorByID(id)
			if !ok {
				f = cards.Factor{ID: id, Kind: cards.FactorText}
			}
			answers, _ := Derive(c)
			return answers.factText(f)
		},
	}
}

// factUnits lists the facts that any of the cases answers, in the order of the vocabulary; unknown ones last.
func factUnits(cases ...Case) []caseUnit {
	given := map[cards.FactorID]bool{}
	for _, c := range cases {
		for id := range c.Facts {
			given[id] = true
		}
	}
	var units []caseUnit
	for _, f := range cards.Factors {
		if given[f.ID] {
			units = append(units, factUnit(f.ID))
			delete(given, f.ID)
		}
	}
	for _, id := range sortedKeys(given) {
		units = append(units, factUnit(id))
	}
	return units
}

// MergeCases joins two changes of one case: head and mine were both made from
// base. A unit changed on one side takes that side; changed differently on
// both it stays as head has it and becomes a question.
//
// Must never yield an answer that is in none of the three. Where two answers
// that each fit their own side contradict each other together (an axis here,
// "toric: no" there), mine becomes a question too.
func MergeCases(base, head, mine Case) (Case, []cards.Question) {
	merged := head
	merged.Facts = make(map[cards.FactorID]Value, len(head.Facts))
	for id, v := range head.Facts {
		merged.Facts[id] = v
	}
	var questions []cards.Question
	for _, u := range append(append([]caseUnit(nil), headUnits...), factUnits(base, head, mine)...) {
		b, h, x := rawJSON(u.get(base)), rawJSON(u.get(head)), rawJSON(u.get(mine))
		switch {
		case string(h) == string(x), string(b) == string(x):
		case string(b) == string(h):
			u.set(&merged, mine)
		default:
			questions = append(questions, question(u, base, head, mine))
		}
	}
	questions = append(questions, contradictions(&merged, base, head, mine)...)
	if len(merged.Facts) == 0 {
		merged.Facts = nil
	}
	return merged, questions
}

func question(u caseUnit, base, head, mine Case) cards.Question {
	return cards.Question{Unit: u.unit, Label: u.label, Base: rawJSON(u.get(base)), Head: rawJSON(u.get(head)), Mine: rawJSON(u.get(mine)),
		BaseText: u.words(base), HeadText: u.words(head), MineText: u.words(mine)}
}

// contradictions takes back what came from mine and contradicts what head says, and asks.
func contradictions(merged *Case, base, head, mine Case) []cards.Question {
	var out []cards.Question
	for _, f := range cards.Factors {
		other := ruledOutBy(f)
		pair := []caseUnit{factUnit(other), factUnit(f.ID)}
		if other == "" || !contradictory(*merged, f.ID) || contradictory(head, f.ID) {
			continue
		}
		for _, u := range pair {
			if string(rawJSON(u.get(*merged))) != string(rawJSON(u.get(head))) {
				out = append(out, question(u, base, head, mine))
				u.set(merged, head)
			}
		}
	}
	return out
}

func contradictory(c Case, id cards.FactorID) bool {
	for _, p := range CheckCase(c) {
		if p.Code == "contradiction" && p.Path == "facts/"+string(id) {
			return true
		}
	}
	return false
}

// rawJSON never fails: the units are texts, numbers and lists of texts.
func rawJSON(v any) json.RawMessage {
	b, err := json.Marshal(v)
	if err != nil {
		panic("checklist: a unit of a case has no JSON form: " + err.Error())
	}
	return b
}

// DiffCases says in words what changed from one case to another.
func DiffCases(from, to Case) []string {
	var out []string
	for _, u := range append(append([]caseUnit(nil), headUnits...), factUnits(from, to)...) {
		if string(rawJSON(u.get(from))) == string(rawJSON(u.get(to))) {
			continue
		}
		switch u.unit {
		case "removed":
			out = append(out, map[bool]string{true: "Taken off the list", false: "Put back on the list"}[to.Removed])
		case "note":
			out = append(out, "Note changed")
		default:
			out = append(out, u.label+": "+u.words(from)+" → "+u.words(to))
		}
	}
	return out
}
