package checklist

import (
	"encoding/json"
	"slices"

	"sideport/cards"
)

// MergeRuleBooks joins two changes of one rule book by the laws of
// cards.Merge. Decided as a whole are each rule, each fixed line of a pause,
// each setting, each drill, the risk part, each confirmed recipe, and the
// title, owner and review date.
//
// Must never yield a part that is in none of the three. Where parts that each
// fit their own side do not fit together (a setting taken away here, a rule
// that compares with it added there), nobody saw that book: it stays as head
// has it, and every difference becomes a question.
func MergeRuleBooks(base, head, mine RuleBook) (RuleBook, []cards.Question) {
	merged, questions := mergeBooks(base, head, mine)
	other, _ := mergeBooks(base, mine, head) // the same, with mine's side where a part is in question
	seen := append(CheckRuleBook(head).Errors(), CheckRuleBook(mine).Errors()...)
	if newError(merged, seen) || newError(other, seen) {
		return head, everyDifference(base, head, mine)
	}
	return merged, questions
}

// newError reports whether the book has an error that neither side had.
func newError(b RuleBook, seen cards.Problems) bool {
	return slices.ContainsFunc(CheckRuleBook(b).Errors(), func(p cards.Problem) bool { return !slices.Contains(seen, p) })
}

func mergeBooks(base, head, mine RuleBook) (RuleBook, []cards.Question) {
	m := &bookMerger{base: base, head: head, mine: mine}
	merged := RuleBook{
		Title:    m.field("title", "Title", func(b RuleBook) any { return b.Title }).(string),
		Owner:    m.field("owner", "Owner", func(b RuleBook) any { return b.Owner }).(string),
		Review:   cards.Date(m.field("review", "Review date", func(b RuleBook) any { return string(b.Review) }).(string)),
		Pauses:   m.pauses(),
		Settings: valuesOf[Setting](m.list("settings", "Setting", settingParts)),
		Rules:    valuesOf[Rule](m.list("rules", "Rule", ruleParts)),
		Drills:   valuesOf[cards.Trigger](m.list("drills", "Drill", drillParts)),
	}
	merged.Parts.Risk = m.field("parts/risk", "Risk part", func(b RuleBook) any { return b.Parts.Risk }).(Switch)
	merged.Parts.Recipes = valuesOf[ConfirmedRecipe](m.list("parts/recipes", "Confirmed recipe", recipeParts))
	if merged.Rules == nil {
		merged.Rules = []Rule{} // the list stands in the book even when it is empty
	}
	return merged, m.to.Questions()
}

// bookMerger merges the three books list by list.
type bookMerger struct {
	to               cards.Merger
	base, head, mine RuleBook
}

func (m *bookMerger) field(unit, label string, get func(RuleBook) any) any {
	return cards.MergeField(&m.to, unit, label, get(m.base), get(m.head), get(m.mine))
}

func (m *bookMerger) list(list, kind string, get func(RuleBook) []cards.Part) []any {
	return cards.MergeParts(&m.to, list, kind, get(m.base), get(m.head), get(m.mine))
}

// pauses merges the moments of the pauses, their order, and each pause's
// lines. A pause that a side lacks is decided with its lines as a whole.
func (m *bookMerger) pauses() []PauseScript {
	merged := valuesOf[PauseScript](m.list("pauses", "Pause", func(b RuleBook) []cards.Part {
		return pauseParts(b, m.inAll)
	}))
	for n, p := range merged {
		if !m.inAll(p.ID) {
			continue
		}
		lines := m.list("pauses/"+string(p.ID), upperFirst(string(p.ID))+": line", func(b RuleBook) []cards.Part { return lineParts(b.lines(p.ID)) })
		merged[n].Lines = append([]ScriptLine{}, valuesOf[ScriptLine](lines)...)
	}
	return append([]PauseScript{}, merged...)
}

func (m *bookMerger) inAll(id PauseID) bool {
	return !slices.ContainsFunc([]RuleBook{m.base, m.head, m.mine}, func(b RuleBook) bool { _, has := b.pause(id); return !has })
}

func valuesOf[T any](list []any) []T {
	var out []T
	for _, v := range list {
		out = append(out, v.(T))
	}
	return out
}

// The parts of each list with their keys and names, shared by merging and differences.

func settingParts(b RuleBook) (out []cards.Part) {
	for _, s := range b.Settings {
		out = append(out, cards.NewPart(string(s.ID), s.Label, s))
	}
	return out
}

func ruleParts(b RuleBook) (out []cards.Part) {
	for _, r := range b.Rules {
		out = append(out, cards.NewPart(r.ID, r.Title, r))
	}
	return out
}

func drillParts(b RuleBook) (out []cards.Part) {
	for _, t := range b.Drills {
		out = append(out, cards.NewPart(string(t.Key), t.Title, t))
	}
	return out
}

func recipeParts(b RuleBook) (out []cards.Part) {
	for _, r := range b.Parts.Recipes {
		out = append(out, cards.NewPart(string(r.Recipe), r.Recipe.Words(), r))
	}
	return out
}

func lineParts(lines []ScriptLine) (out []cards.Part) {
	for _, l := range lines {
		out = append(out, cards.NewPart(l.ID, l.Text, l))
	}
	return out
}

// pauseParts lists the pauses, without the lines of those whose lines are decided one by one.
func pauseParts(b RuleBook, lineByLine func(PauseID) bool) (out []cards.Part) {
	for _, p := range b.Pauses {
		if lineByLine(p.ID) {
			p.Lines = nil
		}
		out = append(out, cards.NewPart(string(p.ID), string(p.ID), p))
	}
	return out
}

func (b RuleBook) pause(id PauseID) (PauseScript, bool) {
	n := slices.IndexFunc(b.Pauses, func(p PauseScript) bool { return p.ID == id })
	if n < 0 {
		return PauseScript{}, false
	}
	return b.Pauses[n], true
}

func (b RuleBook) lines(id PauseID) []ScriptLine {
	p, _ := b.pause(id)
	return p.Lines
}

// part is one decision unit of a book, for asking about all of them.
type part struct {
	unit, label string
	value       any
}

func (p part) json() json.RawMessage {
	if p.unit == "" {
		return json.RawMessage("null")
	}
	return rawJSON(p.value)
}

func (p part) words() string {
	if p.unit == "" {
		return ""
	}
	return cards.Describe(p.value)
}

// bookParts lists every part of a book, and the order of each list.
func bookParts(b RuleBook) []part {
	whole := func(PauseID) bool { return false }
	out := []part{{"title", "Title", b.Title}, {"owner", "Owner", b.Owner}, {"review", "Review date", string(b.Review)}}
	out = listParts(out, "pauses", "Pause", pauseParts(b, whole))
	out = listParts(out, "settings", "Setting", settingParts(b))
	out = listParts(out, "rules", "Rule", ruleParts(b))
	out = listParts(out, "drills", "Drill", drillParts(b))
	out = append(out, part{"parts/risk", "Risk part", b.Parts.Risk})
	return listParts(out, "parts/recipes", "Confirmed recipe", recipeParts(b))
}

func listParts(out []part, list, kind string, parts []cards.Part) []part {
	keys := keyList{}
	for _, p := range parts {
		keys = append(keys, p.Key())
		out = append(out, part{list + "/" + p.Key(), kind + " " + p.Name(), p.Value()})
	}
	return append(out, part{list + "/order", kind + " order", keys})
}

// keyList is the order of a list.
type keyList []string

// InWords reads the order; see cards.Worded.
func (l keyList) InWords() string {
	keys := make([]cards.Key, len(l))
	for n, k := range l {
		keys[n] = cards.Key(k)
	}
	return listAnd(wordsOf(keys))
}

// everyDifference asks about each part in which the two sides differ.
func everyDifference(base, head, mine RuleBook) []cards.Question {
	b, h, x := byUnit(base), byUnit(head), byUnit(mine)
	var out []cards.Question
	for _, unit := range unitOrder(base, head, mine) {
		bp, hp, xp := b[unit], h[unit], x[unit]
		if string(hp.json()) == string(xp.json()) {
			continue
		}
		label := bp.label
		if label == "" {
			label = min(cmpOr(hp.label, xp.label), cmpOr(xp.label, hp.label))
		}
		out = append(out, cards.Question{Unit: unit, Label: label, Base: bp.json(), Head: hp.json(), Mine: xp.json(),
			BaseText: bp.words(), HeadText: hp.words(), MineText: xp.words()})
	}
	return out
}

func cmpOr(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

func byUnit(b RuleBook) map[string]part {
	out := map[string]part{}
	for _, p := range bookParts(b) {
		out[p.unit] = p
	}
	return out
}

// unitOrder lists the units of all books, each once, so that swapping head and mine changes nothing.
func unitOrder(base, head, mine RuleBook) []string {
	var out []string
	for _, b := range []RuleBook{base, head, mine} {
		for _, p := range bookParts(b) {
			out = append(out, p.unit)
		}
	}
	return sortedOnce(out)
}
