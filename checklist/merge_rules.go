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
	m := &cards.Merger{}
	merged := RuleBook{
		Title:  cards.MergeField(m, "title", "Title", base.Title, head.Title, mine.Title),
		Owner:  cards.MergeField(m, "owner", "Owner", base.Owner, head.Owner, mine.Owner),
		Review: cards.Date(cards.MergeField(m, "review", "Review date", string(base.Review), string(head.Review), string(mine.Review))),
	}
	merged.Pauses = mergePauses(m, base, head, mine)
	merged.Settings = cards.MergeParts(m, "settings", "Setting", base.Settings, head.Settings, mine.Settings, settingKey, settingName)
	merged.Rules = mergeKept(m, "rules", "Rule", base.Rules, head.Rules, mine.Rules, ruleKey, ruleName)
	merged.Drills = cards.MergeParts(m, "drills", "Drill", base.Drills, head.Drills, mine.Drills, drillKey, drillName)
	merged.Parts.Risk = cards.MergeField(m, "parts/risk", "Risk part", base.Parts.Risk, head.Parts.Risk, mine.Parts.Risk)
	merged.Parts.Recipes = cards.MergeParts(m, "parts/recipes", "Confirmed recipe", base.Parts.Recipes, head.Parts.Recipes, mine.Parts.Recipes, recipeKey, recipeName)
	return merged, m.Questions()
}

// The key and the name of each kind of part, shared by merging and differences.
func settingKey(s Setting) string         { return string(s.ID) }
func settingName(s Setting) string        { return s.Label }
func ruleKey(r Rule) string               { return r.ID }
func ruleName(r Rule) string              { return r.Title }
func drillKey(t cards.Trigger) string     { return string(t.Key) }
func drillName(t cards.Trigger) string    { return t.Title }
func recipeKey(r ConfirmedRecipe) string  { return string(r.Recipe) }
func recipeName(r ConfirmedRecipe) string { return r.Recipe.Words() }
func pauseKey(p PauseScript) string       { return string(p.ID) }
func pauseName(p PauseScript) string      { return string(p.ID) }
func lineKey(l ScriptLine) string         { return l.ID }
func lineName(l ScriptLine) string        { return l.Text }

// mergePauses merges the moments of the pauses, their order, and each pause's
// lines. A pause that a side lacks is decided with its lines as a whole.
func mergePauses(m *cards.Merger, base, head, mine RuleBook) []PauseScript {
	moments := func(b RuleBook) []PauseScript {
		out := slices.Clone(b.Pauses)
		for n, p := range out {
			if inAll(p.ID, base, head, mine) {
				out[n].Lines = nil
			}
		}
		return out
	}
	merged := mergeKept(m, "pauses", "Pause", moments(base), moments(head), moments(mine), pauseKey, pauseName)
	for n, p := range merged {
		if inAll(p.ID, base, head, mine) {
			merged[n].Lines = mergeKept(m, "pauses/"+string(p.ID), upperFirst(string(p.ID))+": line", base.lines(p.ID), head.lines(p.ID), mine.lines(p.ID), lineKey, lineName)
		}
	}
	return merged
}

// mergeKept merges a list that stands in the book even when it is empty.
func mergeKept[T any](m *cards.Merger, list, kind string, base, head, mine []T, key, name func(T) string) []T {
	merged := cards.MergeParts(m, list, kind, base, head, mine, key, name)
	if merged == nil {
		return []T{}
	}
	return merged
}

func inAll(id PauseID, books ...RuleBook) bool {
	return !slices.ContainsFunc(books, func(b RuleBook) bool { _, has := b.pause(id); return !has })
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
	out := []part{{"title", "Title", b.Title}, {"owner", "Owner", b.Owner}, {"review", "Review date", string(b.Review)}}
	out = listParts(out, "pauses", "Pause", b.Pauses, pauseKey, pauseName)
	out = listParts(out, "settings", "Setting", b.Settings, settingKey, settingName)
	out = listParts(out, "rules", "Rule", b.Rules, ruleKey, ruleName)
	out = listParts(out, "drills", "Drill", b.Drills, drillKey, drillName)
	out = append(out, part{"parts/risk", "Risk part", b.Parts.Risk})
	return listParts(out, "parts/recipes", "Confirmed recipe", b.Parts.Recipes, recipeKey, recipeName)
}

func listParts[T any](out []part, list, kind string, values []T, key, name func(T) string) []part {
	keys := keyList{}
	for _, v := range values {
		keys = append(keys, key(v))
		out = append(out, part{list + "/" + key(v), kind + " " + name(v), v})
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
