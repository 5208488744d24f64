package checklist

import (
	"slices"
	"strconv"

	"sideport/cards"
)

// maxAdded is how many added lines a pause bears beside its fixed ones. More
// are kept, for nothing may be dropped, and the sheet says that the pause is long.
const maxAdded = 5

// addedLine is a line on its way to a pause.
type addedLine struct {
	PauseLine
	pause   PauseID
	weight  Weight             // of the weightiest caution of the rule it came from
	value   string             // of the stored value to show after the answer
	missing [][]cards.FactorID // the facts a question asks for, a list for each rule that asks
}

// addLine adds a line to a pause. The same words, and a question for the same
// missing facts, stand once with every reason.
func (m *maker) addLine(l addedLine) {
	for n := range m.added {
		a := &m.added[n]
		same := a.Text == l.Text || a.asksFor(l.missing)
		if a.pause != l.pause || !same {
			continue
		}
		a.Question = a.Question || l.Question
		a.Why = joinWhy(a.Why, l.Why...)
		a.missing = append(a.missing, l.missing...)
		if l.rank() < a.rank() {
			a.weight = l.weight
		}
		return
	}
	m.added = append(m.added, l)
}

// asksFor reports whether the line asks for exactly one of the lists of facts.
func (l addedLine) asksFor(lists [][]cards.FactorID) bool {
	return slices.ContainsFunc(lists, func(facts []cards.FactorID) bool {
		return slices.ContainsFunc(l.missing, func(own []cards.FactorID) bool { return slices.Equal(own, facts) })
	})
}

// rank orders the added lines: what belongs to a stop, then what must be
// answered because a fact is missing, then what belongs to a caution, then the rest.
func (l addedLine) rank() int {
	switch {
	case l.weight == WeightStop:
		return 0
	case l.Question:
		return 1
	case l.weight == WeightCaution:
		return 2
	}
	return 3
}

// allergyQuestion is the safety net under the rule book: allergies nobody
// asked about are asked at sign in, by a fixed line if there is one.
func (m *maker) allergyQuestion() {
	if _, known := m.answers.Fact("allergies"); known || m.fixed(SignIn, "allergies") {
		return
	}
	m.addLine(addedLine{pause: SignIn, missing: [][]cards.FactorID{{"allergies"}}, PauseLine: PauseLine{
		ID: "case.allergies", Text: "Any allergy: iodine, latex, antibiotics, local anaesthetic, plaster?", Ask: RoleReader, Answer: RolePatient,
		Expect: "each one named, or none", Added: true, Question: true,
		Why: []Why{{From: FromFact, ID: "allergies", Text: "fact: allergies not known"}}}})
}

// fixed reports whether a fixed line of the pause asks for the stored value.
func (m *maker) fixed(id PauseID, value string) bool {
	return slices.ContainsFunc(m.in.Rules.Pauses, func(s PauseScript) bool {
		return s.ID == id && slices.ContainsFunc(s.Lines, func(l ScriptLine) bool { return l.Value == value })
	})
}

// pauses sets out the scripts, each with its fixed lines first.
func (m *maker) pauses() {
	for _, id := range PauseIDs {
		for _, script := range m.in.Rules.Pauses {
			if script.ID == id {
				m.spoken = append(m.spoken, m.pause(script))
			}
		}
	}
}

// addedTo lists the lines added to a pause, the weightiest first.
func (m *maker) addedTo(id PauseID) []*addedLine {
	var added []*addedLine
	for n := range m.added {
		if m.added[n].pause == id {
			added = append(added, &m.added[n])
		}
	}
	slices.SortStableFunc(added, func(a, b *addedLine) int { return a.rank() - b.rank() })
	return added
}

func (m *maker) pause(script PauseScript) Pause {
	added := m.addedTo(script.ID)
	p := Pause{ID: script.ID, When: script.When, Lines: make([]PauseLine, 0, len(script.Lines)+len(added))}
	whys, text := make([]Why, len(script.Lines)), "fixed line of the "+string(script.ID)
	for n, l := range script.Lines {
		whys[n] = Why{From: FromPauses, ID: l.ID, Text: text, Source: l.Source}
		p.Lines = append(p.Lines, PauseLine{ID: l.ID, Text: l.Text, Ask: l.Ask, Answer: l.Answer, Expect: l.Expect, Stored: m.stored(l.Value), Why: whys[n : n+1 : n+1]})
	}
	for _, a := range added {
		a.Stored = m.stored(a.value)
		p.Lines = append(p.Lines, a.PauseLine)
	}
	p.reckonTime()
	if len(added) > maxAdded {
		m.special(WeightCaution, upperFirst(string(script.ID))+" has "+strconv.Itoa(len(added))+" added lines, more than the "+strconv.Itoa(maxAdded)+
			" people listen to; none was left out. Read them all.", Why{From: FromPauses, ID: string(script.ID), Text: "length of the " + string(script.ID),
			Source: "proposal without literature"})
	}
	return p
}

// stored is the value that is shown after the answer: a fact of the case, a setting of the unit, or a limit of the first phase.
func (m *maker) stored(name string) string {
	if name == "" {
		return ""
	}
	if f, ok := cards.FactorByID(cards.FactorID(name)); ok {
		return m.storedFact(f)
	}
	if s, ok := m.answers.setting(cards.Key(name)); ok {
		return numberText(s.Value.String(), s.Unit) + ", the unit's setting, " + s.ranged()
	}
	if len(m.phases) == 0 {
		return "the card has no phases"
	}
	first := m.phases[0]
	if shown, ok := findShown(first.Values, name); ok {
		return first.Name + ": " + lowerFirst(shown.Text())
	}
	return first.Name + ": not stated on the card"
}

func (m *maker) storedFact(f cards.Factor) string {
	_, known := m.answers.Fact(f.ID)
	_, parentKnown := m.answers.Fact(f.OnlyWith)
	if known || f.OnlyWith == "" || !parentKnown || m.answers.asked(f) {
		return m.answers.factText(f)
	}
	parent, _ := cards.FactorByID(f.OnlyWith)
	return "does not apply (" + lowerFirst(parent.Label) + ": " + m.answers.factText(parent) + ")"
}

// irrigation can be read as a height or as a pressure: a line that asks for one is answered by the other where the machine has that.
var irrigation = map[string]string{"bottle": "pressure", "pressure": "bottle"}

func findShown(values []Shown, name string) (Shown, bool) {
	for _, id := range []string{name, irrigation[name]} {
		for _, v := range values {
			if v.ID == id {
				return v, true
			}
		}
	}
	return Shown{}, false
}
