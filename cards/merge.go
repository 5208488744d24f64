package cards

import (
	"encoding/json"
	"strings"
)

// Question is one decision unit that two people changed differently. It keeps
// what both started from and what each wrote; a side is null where the unit
// did not exist or was deleted there.
type Question struct {
	Unit     string          `json:"unit"`  // for example "phases/chop"
	Label    string          `json:"label"` // for example "Limits of Chop"
	Base     json.RawMessage `json:"base"`
	Head     json.RawMessage `json:"head"`
	Mine     json.RawMessage `json:"mine"`
	BaseText string          `json:"base_text"`
	HeadText string          `json:"head_text"`
	MineText string          `json:"mine_text"`
}

// Merge joins two changes of one card: head and mine were both made from base.
//
//   - Must never yield a value of a unit that is in none of the three.
//   - A unit changed on one side only takes that side.
//   - A unit changed the same way on both sides takes it once.
//   - A unit changed differently, or changed here and deleted there, stays as
//     head has it and becomes a Question.
//   - Limits of different phases merge only if the combination raises no new
//     caution; otherwise every changed phase becomes a Question, because
//     neither person saw that combination.
//   - Swapping head and mine swaps the sides of the questions and changes
//     nothing else.
//   - Order: elements keep the order of the side that changed it; two
//     different new orders of the same list are a Question.
func Merge(base, head, mine Card) (Card, []Question) {
	m := &merger{}
	merged := head
	for _, f := range headerFields {
		m.field(f, &merged, base, head, mine)
	}
	merged.Items = mergeList(m, "items", "Item", base.Items, head.Items, mine.Items, itemKey, itemName)
	merged.Drugs = mergeList(m, "drugs", "Drug", base.Drugs, head.Drugs, mine.Drugs, drugKey, drugName)
	merged.Phases = mergeList(m, "phases", "Limits of", base.Phases, head.Phases, mine.Phases, phaseKey, phaseLabel)
	merged.Steps = mergeList(m, "steps", "Step", base.Steps, head.Steps, mine.Steps, stepKey, stepName)
	merged.Triggers = mergeList(m, "triggers", "Trigger", base.Triggers, head.Triggers, mine.Triggers, triggerKey, triggerName)
	merged.Variants = mergeList(m, "variants", "Variant", base.Variants, head.Variants, mine.Variants, variantKey, variantName)
	merged.Fit = mergeList(m, "fit", "Fit", base.Fit, head.Fit, mine.Fit, fitKey, fitName)
	merged.Notes = m.notes(base.Notes, head.Notes, mine.Notes)
	merged.Extra = mergeList(m, "extra", "Section", base.Extra, head.Extra, mine.Extra, sectionKey, sectionName)
	m.unseenCombination(&merged, base, head, mine)
	return merged, m.questions
}

type merger struct{ questions []Question }

func (m *merger) ask(q Question) { m.questions = append(m.questions, q) }

func (m *merger) asked(unit string) bool {
	for _, q := range m.questions {
		if q.Unit == unit {
			return true
		}
	}
	return false
}

func (m *merger) field(f headerField, merged *Card, base, head, mine Card) {
	b, h, x := f.get(base), f.get(head), f.get(mine)
	switch {
	case same(h, x), same(b, x):
	case same(b, h):
		f.set(merged, mine)
	default:
		m.ask(Question{Unit: f.unit, Label: f.label, Base: raw(b), Head: raw(h), Mine: raw(x),
			BaseText: f.words(base), HeadText: f.words(head), MineText: f.words(mine)})
	}
}

// mergeList merges a list of keyed elements, each one decision unit, and then their order.
func mergeList[T any](m *merger, list, kind string, base, head, mine []T, key, name func(T) string) []T {
	var out []T
	for _, e := range m.list(list, kind, elements(base, key, name), elements(head, key, name), elements(mine, key, name)) {
		out = append(out, e.value.(T))
	}
	return out
}

func (m *merger) list(list, kind string, base, head, mine []element) []element {
	inBase, inHead, inMine := byKey(base), byKey(head), byKey(mine)
	result := map[string]*element{}
	for _, k := range keysOf(base, head, mine) {
		b, h, x := inBase[k], inHead[k], inMine[k]
		value := h
		switch {
		case sameSide(h, x), sameSide(b, x):
		case sameSide(b, h):
			value = x
		default:
			m.ask(elementQuestion(list+"/"+k, kind, b, h, x))
		}
		if value != nil {
			result[k] = value
		}
	}
	var out []element
	for _, k := range m.order(list, kind, sequences{base: kept(base, result), head: kept(head, result), mine: kept(mine, result)}) {
		out = append(out, *result[k])
	}
	return out
}

// sameSide compares two sides of a unit, each of which may be absent.
func sameSide(a, b *element) bool {
	if a == nil || b == nil {
		return a == nil && b == nil
	}
	return same(a.value, b.value)
}

func elementQuestion(unit, kind string, base, head, mine *element) Question {
	q := Question{Unit: unit}
	side := func(e *element) (json.RawMessage, string) {
		if e == nil {
			return json.RawMessage("null"), ""
		}
		q.Label = kind + " " + e.name
		return raw(e.value), describe(e.value)
	}
	// Base names the unit where it existed, so that both sides read the same label.
	q.Mine, q.MineText = side(mine)
	q.Head, q.HeadText = side(head)
	if mine != nil && head != nil && mine.name < head.name {
		q.Label = kind + " " + mine.name
	}
	q.Base, q.BaseText = side(base)
	return q
}

// kept is the sequence of the list's keys that are in the result.
func kept(list []element, result map[string]*element) []string {
	var keys []string
	for _, e := range list {
		if result[e.key] != nil {
			keys = append(keys, e.key)
		}
	}
	return keys
}

// unseenCombination turns limits that merged cleanly into questions when
// together they raise a caution that neither side had.
func (m *merger) unseenCombination(merged *Card, base, head, mine Card) {
	other := *merged // the same, with mine's side where a phase is in question
	other.Phases = m.otherSide(*merged, mine)
	if !hasNewCaution(*merged, head, mine) && !hasNewCaution(other, head, mine) {
		return
	}
	b, h, x := phaseElements(base), phaseElements(head), phaseElements(mine)
	inBase, inHead, inMine := byKey(b), byKey(h), byKey(x)
	for _, k := range keysOf(b, h, x) {
		b, h, x := inBase[k], inHead[k], inMine[k]
		if unit := "phases/" + k; !m.asked(unit) && !(sameSide(b, h) && sameSide(b, x)) && !sameSide(h, x) {
			m.ask(elementQuestion(unit, "Limits of", b, h, x))
		}
	}
	merged.Phases = head.Phases
}

// otherSide is the merged phases with mine's instead of head's wherever the phase is in question.
func (m *merger) otherSide(merged, mine Card) []Phase {
	var out []Phase
	for _, p := range merged.Phases {
		if x, ok := mine.Phase(p.Key); ok && m.asked("phases/"+string(p.Key)) {
			p = x
		}
		out = append(out, p)
	}
	for _, p := range mine.Phases {
		if _, has := merged.Phase(p.Key); !has && m.asked("phases/"+string(p.Key)) {
			out = append(out, p)
		}
	}
	return out
}

func hasNewCaution(merged, head, mine Card) bool {
	seen := map[string]bool{}
	for _, side := range []Card{head, mine} {
		for _, p := range Check(side) {
			seen[p.Text] = true
		}
	}
	for _, p := range Check(merged) {
		if strings.HasPrefix(p.Path, "phases/") && !seen[p.Text] {
			return true
		}
	}
	return false
}
