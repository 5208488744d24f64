package checklist

import (
	"slices"

	"sideport/cards"
)

// Setting is a figure that every unit chooses for itself because the
// published ones differ: from how many mm down a pupil is called small. Rules
// compare with it, so that it is changed in one place.
type Setting struct {
	ID    cards.Key      `json:"id"`
	Label string         `json:"label"`
	Unit  string         `json:"unit,omitempty"`
	Value cards.Quantity `json:"value"`
	// Min and Max are the lowest and the highest published figure; equal where only one is.
	Min    cards.Quantity `json:"min"`
	Max    cards.Quantity `json:"max"`
	Source string         `json:"source"` // of the range
	Mark   Mark           `json:"mark"`
}

// Range reads the published range: "3 to 5 mm".
func (s Setting) Range() string {
	if s.Min == s.Max {
		return numberText(s.Max.String(), s.Unit)
	}
	return s.Min.String() + " to " + numberText(s.Max.String(), s.Unit)
}

// ranged says where the range comes from: "published 3 to 5 mm".
func (s Setting) ranged() string {
	if s.Mark == MarkPublished {
		return "published " + s.Range()
	}
	return s.Range() + " " + string(s.Mark)
}

// Setting returns the unit's setting with the id.
func (b *RuleBook) Setting(id cards.Key) (Setting, bool) {
	n := slices.IndexFunc(b.Settings, func(s Setting) bool { return s.ID == id })
	if n < 0 {
		return Setting{}, false
	}
	return b.Settings[n], true
}

// Conditions returns the conditions of the rules in order, each test that
// compares with a setting given the setting's value. A setting that there is
// not leaves the test without a value, and then nobody can answer it.
func (b *RuleBook) Conditions() []Condition {
	out := make([]Condition, len(b.Rules))
	for n, r := range b.Rules {
		out[n] = b.resolve(r.When)
	}
	return out
}

// resolve copies only what it changes: most conditions compare with nothing of the unit's.
func (b *RuleBook) resolve(c Condition) Condition {
	if !c.compares() {
		return c
	}
	switch {
	case c.Test != nil:
		t := *c.Test
		if s, ok := b.Setting(t.Setting); ok {
			t.Value = s.Value.String()
		}
		c.Test = &t
	case c.Not != nil:
		not := b.resolve(*c.Not)
		c.Not = &not
	}
	c.All, c.Any = b.resolveAll(c.All), b.resolveAll(c.Any)
	return c
}

func (b *RuleBook) resolveAll(parts []Condition) []Condition {
	if parts == nil {
		return nil
	}
	out := make([]Condition, len(parts))
	for n, p := range parts {
		out[n] = b.resolve(p)
	}
	return out
}

// compares reports whether a condition asks for a setting anywhere.
func (c Condition) compares() bool {
	return c.Test != nil && c.Test.Setting != "" || c.Not != nil && c.Not.compares() ||
		slices.ContainsFunc(c.All, Condition.compares) || slices.ContainsFunc(c.Any, Condition.compares)
}

// settings lists the settings that a condition compares with.
func (c Condition) settings() []cards.Key {
	var out []cards.Key
	if c.Test != nil && c.Test.Setting != "" {
		out = append(out, c.Test.Setting)
	}
	if c.Not != nil {
		out = append(out, c.Not.settings()...)
	}
	for _, part := range slices.Concat(c.All, c.Any) {
		out = append(out, part.settings()...)
	}
	return out
}
