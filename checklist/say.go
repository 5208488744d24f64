package checklist

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sideport/cards"
)

// said is one value of a part of the rule book under the name people know it
// by. Questions list all of a part's, differences those that changed.
type said struct{ label, text string }

// inWords joins what is said of one part, without what is not stated.
func inWords(list []said) string {
	var out []string
	for _, s := range list {
		if s.text != "" {
			out = append(out, s.label+": "+s.text)
		}
	}
	return strings.Join(out, "; ")
}

// InWords says the rule value by value; see cards.Worded.
func (r Rule) InWords() string { return inWords(r.said()) }

func (r Rule) said() []said {
	out := []said{{"title", r.Title}, {"condition", r.When.inWords()}}
	for _, a := range r.Do {
		out = append(out, said{"action", a.inWords()})
	}
	question := ""
	if u := r.Unknown; u != nil {
		question = spoken(u.Pause, u.Text, u.Ask, u.Answer, "", "")
	}
	return append(out, said{"question when not known", question}, said{"not asked because", r.Unasked},
		said{"source", r.Source}, said{"mark", string(r.Mark)}, said{"owner", r.Owner}, said{"review", string(r.Review)})
}

// InWords says the line value by value; see cards.Worded.
func (l ScriptLine) InWords() string { return inWords(l.said()) }

func (l ScriptLine) said() []said {
	return []said{{"text", l.Text}, {"asks", l.Ask}, {"answers", l.Answer}, {"expected", l.Expect}, {"stored value", l.Value},
		{"checklist items of 2009", numbers(l.WHO)}, {"source", l.Source}}
}

func numbers(list []int) string {
	out := make([]string, len(list))
	for n, v := range list {
		out[n] = strconv.Itoa(v)
	}
	return strings.Join(out, ", ")
}

// InWords says the setting value by value; see cards.Worded.
func (s Setting) InWords() string { return inWords(s.said()) }

func (s Setting) said() []said {
	return []said{{"label", s.Label}, {"value", numberText(s.Value.String(), s.Unit)}, {"chosen from", s.Range()},
		{"source", s.Source}, {"mark", string(s.Mark)}}
}

// InWords says whether the part is on; see cards.Worded.
func (s Switch) InWords() string {
	if !s.On {
		return "off"
	}
	read := "purpose not read"
	if s.PurposeRead {
		read = "purpose read"
	}
	return fmt.Sprintf("on, by %s, %s, %s", s.By, s.Date, read)
}

// InWords says who confirmed the recipe; see cards.Worded.
func (c ConfirmedRecipe) InWords() string { return inWords(c.said()) }

func (c ConfirmedRecipe) said() []said {
	return []said{{"confirmed by", c.By}, {"on", string(c.Date)}}
}

// InWords says the moment of the pause; see cards.Worded. Its lines say themselves.
func (s PauseScript) InWords() string {
	lines := make([]string, len(s.Lines))
	for n, l := range s.Lines {
		lines[n] = l.Text
	}
	return inWords([]said{{"moment", s.When}, {"lines", strings.Join(lines, " / ")}})
}

// inWords reads the condition as a person would say it.
func (c Condition) inWords() string {
	switch {
	case c.Test != nil:
		return testInWords(*c.Test)
	case c.Not != nil:
		return "not (" + c.Not.inWords() + ")"
	case c.Technique != nil:
		names := make([]string, len(c.Technique))
		for n, t := range c.Technique {
			names[n] = string(t)
		}
		return "technique is " + listOr(names)
	case c.All != nil:
		return joinedConditions(c.All, " and ")
	case c.Any != nil:
		return joinedConditions(c.Any, " or ")
	}
	return "always"
}

func joinedConditions(parts []Condition, word string) string {
	out := make([]string, len(parts))
	for n, p := range parts {
		out[n] = p.inWords()
		if len(p.All)+len(p.Any) > 0 {
			out[n] = "(" + out[n] + ")"
		}
	}
	return strings.Join(out, word)
}

func testInWords(t cards.Test) string {
	f, ok := cards.FactorByID(t.Factor)
	if t.Setting != "" {
		return orID(f.Label, ok, t.Factor) + " " + string(t.Op) + " the setting " + t.Setting.Words()
	}
	if ok && f.Kind == cards.FactorText && t.Op == cards.IsNot && t.Value == cards.None {
		return f.Label + " is written"
	}
	return t.String()
}

func orID(label string, ok bool, id cards.FactorID) string {
	if !ok {
		return string(id)
	}
	return label
}

// inWords says what the action does.
func (a Action) inWords() string {
	switch {
	case a.Kind == AddItem && a.Item != nil:
		return "add item " + itemInWords(*a.Item)
	case (a.Kind == AddLine || a.Kind == AddQuestion) && a.Line != nil:
		return string(a.Kind) + " " + spoken(a.Pause, a.Line.Text, a.Line.Ask, a.Line.Answer, a.Line.Expect, a.Line.Value)
	case a.Kind == AddCaution:
		return string(a.Weight) + ": " + a.Text
	case a.Kind == RaiseDrill:
		return "raise the drill " + a.Trigger.Words()
	}
	return a.forbiddenInWords()
}

// itemInWords says an item with its key, by which it meets what cards list.
func itemInWords(i cards.Item) string {
	return cards.Describe(i) + " (key " + string(i.Key) + ")"
}

func (a Action) forbiddenInWords() string {
	what := slices.Concat(wordsOf(a.Items), a.Steps)
	for _, allergen := range a.Allergens {
		what = append(what, "what contains "+string(allergen))
	}
	out := string(a.Kind) + " " + listAnd(what)
	if a.Substitute != nil {
		out += ", instead " + itemInWords(*a.Substitute)
	}
	if a.Text != "" {
		out += ", because " + a.Text
	}
	return out
}

func wordsOf(keys []cards.Key) []string {
	out := make([]string, len(keys))
	for n, k := range keys {
		out[n] = k.Words()
	}
	return out
}

func spoken(pause PauseID, text, ask, answer, expect, value string) string {
	out := "at " + string(pause) + " " + quote(text) + " (" + ask + " asks, " + answer + " answers"
	if expect != "" {
		out += ", expected: " + expect
	}
	if value != "" {
		out += ", stored value " + value
	}
	return out + ")"
}
