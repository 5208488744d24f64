package checklist

import (
	"strings"

	"sideport/cards"
)

// Holds answers the condition in three values (Kleene's strong logic): "all"
// is as true as its least true part, "any" as its most true part, and "not"
// turns true and false about and leaves unknown unknown. So a missing fact
// never makes a rule hold, and never makes its opposite hold either.
func (c Condition) Holds(facts cards.Facts, technique cards.Technique) cards.Truth {
	switch {
	case c.Test != nil:
		return c.Test.Holds(facts)
	case c.Not != nil:
		return cards.True - c.Not.Holds(facts, technique)
	case len(c.Technique) > 0:
		for _, t := range c.Technique {
			if t == technique {
				return cards.True
			}
		}
		return cards.False
	case len(c.Any) > 0:
		result := cards.False
		for _, part := range c.Any {
			result = max(result, part.Holds(facts, technique))
		}
		return result
	}
	result := cards.True
	for _, part := range c.All {
		result = min(result, part.Holds(facts, technique))
	}
	return result
}

// deciding returns the tests that made the condition what it is: the true
// parts of an "any" that holds, the unknown parts of one that cannot be told.
// A technique among them is nil.
func (c Condition) deciding(facts cards.Facts, technique cards.Technique) []*cards.Test {
	return c.decide(nil, facts, technique)
}

func (c Condition) decide(out []*cards.Test, facts cards.Facts, technique cards.Technique) []*cards.Test {
	switch {
	case c.Test != nil, len(c.Technique) > 0:
		return append(out, c.Test)
	case c.Not != nil:
		return c.Not.decide(out, facts, technique)
	}
	truth := c.Holds(facts, technique)
	for _, parts := range [][]Condition{c.All, c.Any} {
		for _, part := range parts {
			if part.Holds(facts, technique) == truth {
				out = part.decide(out, facts, technique)
			}
		}
	}
	return out
}

// because reads deciding tests as words: "dilated pupil below 5 mm: 4.5 mm".
func because(deciding []*cards.Test, a Answers, technique cards.Technique) string {
	if len(deciding) == 1 && deciding[0] != nil {
		return testText(*deciding[0], a)
	}
	var parts []string
	for _, t := range deciding {
		text := "technique: " + string(technique)
		if t != nil {
			text = testText(*t, a)
		}
		if !has(parts, text) {
			parts = append(parts, text)
		}
	}
	return strings.Join(parts, "; ")
}

// lowerLabels are the labels of the factors as they stand inside a sentence.
var lowerLabels = func() map[cards.FactorID]string {
	out := make(map[cards.FactorID]string, len(cards.Factors))
	for _, f := range cards.Factors {
		out[f.ID] = lowerFirst(f.Label)
	}
	return out
}()

// testText reads a test with the answer it met.
func testText(t cards.Test, a Answers) string {
	f, ok := cards.FactorByID(t.Factor)
	if !ok {
		return t.String()
	}
	answer := a.factText(f)
	if f.Kind == cards.FactorNumber && answer != cards.NotKnown {
		return lowerLabels[t.Factor] + strings.TrimPrefix(t.String(), f.Label) + a.settingText(t) + ": " + answer
	}
	if t.Op == cards.Includes && t.Holds(a) == cards.True {
		answer = t.Value
	}
	return lowerLabels[t.Factor] + ": " + answer
}

// settingText says that a comparison is with the unit's setting, and what that is chosen from.
func (a Answers) settingText(t cards.Test) string {
	s, ok := a.setting(t.Setting)
	if !ok {
		return ""
	}
	return ", the unit's setting, " + s.ranged()
}

// missing lists the factors that keep a condition from being answered,
// sorted and each once. A factor that is not worth asking yet stands for the
// one to be asked first: no INR before the anticoagulant is known.
func missing(deciding []*cards.Test, a Answers) []cards.FactorID {
	var out []cards.FactorID
	for _, t := range deciding {
		if t != nil {
			out = append(out, a.askFirst(t.Factor))
		}
	}
	return sortedOnce(out)
}

func (a Answers) askFirst(id cards.FactorID) cards.FactorID {
	f, ok := cards.FactorByID(id)
	if !ok || a.asked(f) {
		return id
	}
	return f.OnlyWith
}
