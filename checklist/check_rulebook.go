package checklist

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sideport/cards"
)

// Bounds of a pause that people still listen to. They are a proposal: the
// counts follow published advice on checklists, the words a stated pace.
const (
	maxFixedLines  = 9
	manyFixedLines = 8
	longQuestion   = 12 // words
	maxQuestion    = 20
	maxNesting     = 8 // of conditions
	maxQuantity    = 99
	lastWHOItem    = 19 // items of the surgical safety checklist of 2009
)

// ParseRuleBook reads a rule book and checks it; every problem names its line.
// The book is only of use when the problems hold no error.
func ParseRuleBook(b []byte) (RuleBook, cards.Problems) {
	var book RuleBook
	lines, problems := decodeStrict(b, "the rule book", &book)
	if problems != nil {
		return RuleBook{}, problems
	}
	k := &bookChecker{lines: lines, book: book}
	k.all(book)
	return book, k.found
}

// CheckRuleBook finds everything wrong or unusual about a rule book.
func CheckRuleBook(book RuleBook) cards.Problems {
	k := &bookChecker{book: book}
	k.all(book)
	return k.found
}

// usable reports whether a sheet can be built from the book: every pause is
// there and every action has its parts. It is the part of CheckRuleBook that
// generation cannot do without, and costs next to nothing.
func (b RuleBook) usable() bool {
	for _, id := range PauseIDs {
		if !slices.ContainsFunc(b.Pauses, func(s PauseScript) bool { return s.ID == id }) {
			return false
		}
	}
	for _, r := range b.Rules {
		if slices.ContainsFunc(r.Do, func(a Action) bool { return !a.complete() }) || (r.Unknown != nil && !has(PauseIDs, r.Unknown.Pause)) {
			return false
		}
	}
	return true
}

// complete reports whether an action has the parts it acts on.
func (a Action) complete() bool {
	switch a.Kind {
	case AddItem:
		return a.Item != nil
	case AddLine, AddQuestion:
		return a.Line != nil && has(PauseIDs, a.Pause)
	case AddCaution:
		return a.Weight == WeightCaution || a.Weight == WeightStop
	case Withhold, DoNotUse, RaiseDrill:
		return true
	}
	return false
}

// bookChecker knows where it is in two ways: by ids, for people, and by
// places in the file, for lines. Both are only put together for a problem.
type bookChecker struct {
	found cards.Problems
	lines jsonLines
	book  RuleBook // for what one part says of another
	where []spot
}

type spot struct {
	list  string
	index int // -1: not a list
	id    string
}

func (k *bookChecker) in(list string, index int, id string, check func()) {
	k.where = append(k.where, spot{list, index, id})
	check()
	k.where = k.where[:len(k.where)-1]
}

func (k *bookChecker) path(byID bool) string {
	var parts []string
	for _, s := range k.where {
		parts = append(parts, s.list)
		switch {
		case s.index < 0:
		case byID && s.id != "":
			parts = append(parts, s.id)
		case byID:
			parts = append(parts, strconv.Itoa(s.index+1))
		default:
			parts = append(parts, strconv.Itoa(s.index))
		}
	}
	return strings.Join(parts, "/")
}

// label says where in words: "Rule “small-pupil”, action 2".
func (k *bookChecker) label() string {
	var parts []string
	for _, s := range k.where {
		switch {
		case s.list == "rules":
			parts = append(parts, "Rule "+quote(s.id))
		case s.list == "pauses":
			parts = append(parts, "Pause "+quote(s.id))
		case s.list == "lines":
			parts = append(parts, "line "+quote(s.id))
		case s.list == "do":
			parts = append(parts, "action "+strconv.Itoa(s.index+1))
		case s.list == "unknown":
			parts = append(parts, "question")
		case s.list == "settings":
			parts = append(parts, "Setting "+quote(s.id))
		case s.list == "drills":
			parts = append(parts, "Drill "+quote(s.id))
		case s.list == "risk":
			parts = append(parts, "The risk part")
		case s.list == "recipes":
			parts = append(parts, "Recipe "+quote(s.id))
		}
	}
	if len(parts) == 0 {
		return "The rule book"
	}
	return strings.Join(parts, ", ")
}

func (k *bookChecker) add(level cards.Level, code, field, text string) {
	path := join(k.path(true), field)
	p := cards.Problem{Level: level, Code: code, Path: path, Text: k.label() + " " + text}
	if k.lines != nil {
		p.Line = k.lines.at(join(k.path(false), field))
		p.Text = "Line " + strconv.Itoa(p.Line) + ": " + p.Text
	}
	k.found = append(k.found, p)
}

func (k *bookChecker) errorf(code, field, format string, args ...any) {
	k.add(cards.LevelError, code, field, fmt.Sprintf(format, args...))
}

func (k *bookChecker) caution(code, field, format string, args ...any) {
	k.add(cards.LevelCaution, code, field, fmt.Sprintf(format, args...))
}

// need checks a short text that must say something.
func (k *bookChecker) need(field, value string) {
	if value == "" {
		k.errorf("empty", field, "has no %s. Write it.", strings.ReplaceAll(field, "_", " "))
		return
	}
	k.optional(field, value)
}

func (k *bookChecker) optional(field, value string) {
	if reason := cards.StorableText(value, false); reason != "" {
		k.errorf("text", field, "has a %s that cannot be kept: it %s.", field, reason)
	}
}

func (k *bookChecker) day(d cards.Date, required bool) {
	if !d.Valid() || (required && d == "") {
		k.errorf("date", "review", "has the review date %s, which is not a day. Write it like 2027-03-31.", quote(string(d)))
	}
}

func (k *bookChecker) id(id string, seen map[string]bool) {
	switch {
	case !cards.ValidKey(id):
		k.errorf("key", "id", "has the id %s. An id is made of a to z, 0 to 9 and single hyphens.", quote(id))
	case seen[id]:
		k.errorf("twice", "id", "stands twice. Give one another id.")
	}
	seen[id] = true
}

func (k *bookChecker) oneOf(field, value string, choices []string) {
	if !has(choices, value) {
		k.errorf("choice", field, "has %s %s. Choose one of: %s.", field, quote(value), strings.Join(choices, ", "))
	}
}

func (k *bookChecker) all(b RuleBook) {
	k.need("title", b.Title)
	k.need("owner", b.Owner)
	k.day(b.Review, false)
	k.pauses(b.Pauses)
	k.settings(b)
	seen := map[string]bool{}
	for n, r := range b.Rules {
		k.in("rules", n, r.ID, func() {
			k.id(r.ID, seen)
			k.rule(r)
		})
	}
	k.sameItems(b)
	k.drills(b.Drills)
	k.turnedOn(b.Parts)
}

func pauseNames() []string {
	names := make([]string, len(PauseIDs))
	for n, id := range PauseIDs {
		names[n] = string(id)
	}
	return names
}

// pauses checks the scripts: each of the six stands once, for a rule or a missing fact may add to any of them.
func (k *bookChecker) pauses(scripts []PauseScript) {
	seen := map[PauseID]bool{}
	for n, s := range scripts {
		k.in("pauses", n, string(s.ID), func() {
			k.oneOf("id", string(s.ID), pauseNames())
			if seen[s.ID] {
				k.errorf("twice", "id", "stands twice. Join the two.")
			}
			seen[s.ID] = true
			k.script(s)
		})
	}
	for _, id := range PauseIDs {
		if !seen[id] {
			k.errorf("empty", "pauses", "has no pause %s. Add it with at least one line.", quote(string(id)))
		}
	}
}

func (k *bookChecker) script(s PauseScript) {
	k.need("when", s.When)
	switch n := len(s.Lines); {
	case n == 0:
		k.errorf("empty", "lines", "has no line. Add at least one.")
	case n > maxFixedLines:
		k.errorf("long pause", "lines", "has %d fixed lines, more than the %d people listen to. Move some to the set-up list or to another pause.", n, maxFixedLines)
	case n > manyFixedLines:
		k.caution("long pause", "lines", "has %d fixed lines; more than %d is hard to listen to.", n, manyFixedLines)
	}
	seen := map[string]bool{}
	for n, l := range s.Lines {
		k.in("lines", n, l.ID, func() {
			k.id(l.ID, seen)
			k.question(l.Text, l.Ask, l.Answer)
			k.optional("expect", l.Expect)
			k.words("expect", l.Expect, false)
			k.need("source", l.Source)
			k.value(l.Value)
			for _, item := range l.WHO {
				if item < 1 || item > lastWHOItem {
					k.errorf("bounds", "who", "names item %d of the surgical safety checklist, which has the items 1 to %d. Correct the number.", item, lastWHOItem)
				}
			}
		})
	}
}

// words holds a text to the rules for writing numbers, units and eyes (cards.CheckWords).
func (k *bookChecker) words(field, text string, aloud bool) {
	for _, p := range cards.CheckWords(field, "says", text, aloud) {
		k.add(p.Level, p.Code, field, p.Text)
		k.found[len(k.found)-1].Source = p.Source
	}
}

// question checks a line that is read aloud.
func (k *bookChecker) question(text, ask, answer string) {
	k.need("text", text)
	k.words("text", text, true)
	switch n := Words(text); {
	case n > maxQuestion:
		k.errorf("long question", "text", "asks in %d words, more than %d. Ask shorter, or make two lines of it.", n, maxQuestion)
	case n > longQuestion:
		k.caution("long question", "text", "asks in %d words; more than %d is hard to take in by ear.", n, longQuestion)
	}
	k.oneOf("ask", ask, Roles)
	k.oneOf("answer", answer, Roles)
	if ask == answer && ask != RoleAll {
		k.caution("same person", "answer", "is asked and answered by the same person (%s); another should answer.", ask)
	}
}

// limitNames are the limits a line may show after the answer.
var limitNames = []string{"power", "pulse_rate", "duty_cycle", "burst_length", "vacuum", "flow", "bottle", "pressure", "cut_rate"}

func (k *bookChecker) value(name string) {
	if _, ok := cards.FactorByID(cards.FactorID(name)); ok || name == "" || has(limitNames, name) {
		return
	}
	if _, ok := k.book.Setting(cards.Key(name)); ok {
		return
	}
	k.errorf("choice", "value", "shows the stored value %s, which there is not. Name a case factor, a setting or one of: %s.", quote(name), strings.Join(limitNames, ", "))
}

func (k *bookChecker) rule(r Rule) {
	k.need("title", r.Title)
	k.need("source", r.Source)
	k.need("owner", r.Owner)
	k.optional("unasked", r.Unasked)
	k.day(r.Review, true)
	k.oneOf("mark", string(r.Mark), marks())
	always := r.When.shapes() == 0
	if !always {
		k.in("when", -1, "", func() { k.condition(r.When, 0) })
	}
	if len(r.Do) == 0 && r.Unknown == nil {
		k.errorf("empty", "do", "does nothing. Give it an action or a question.")
	}
	for n, a := range r.Do {
		k.in("do", n, "", func() {
			k.action(a)
			if always && a.Item != nil && a.Item.State == cards.Open {
				k.errorf("no factor", "item", "opens %s in every case. What is always opened stands on the cards; a rule names the fact it opens for.", quote(a.Item.Name))
			}
		})
	}
	switch asks := len(r.When.factors()) > 0; {
	case r.Unknown != nil && !asks:
		k.errorf("contradiction", "unknown", "has a question for a missing fact, but its condition asks for no fact. Remove the question or add a condition.")
	case r.Unknown != nil && r.Unasked != "":
		k.errorf("contradiction", "unasked", "has a question for a missing fact and a reason for not asking. Remove one of the two.")
	case r.Unknown != nil:
		k.in("unknown", -1, "", func() {
			k.oneOf("pause", string(r.Unknown.Pause), pauseNames())
			k.question(r.Unknown.Text, r.Unknown.Ask, r.Unknown.Answer)
		})
	}
}

// shapes counts how many of a condition's forms are used.
func (c Condition) shapes() int {
	n := 0
	for _, used := range []bool{c.All != nil, c.Any != nil, c.Not != nil, c.Test != nil, c.Technique != nil} {
		if used {
			n++
		}
	}
	return n
}

// factors lists the factors a condition asks for.
func (c Condition) factors() []cards.FactorID {
	var out []cards.FactorID
	if c.Test != nil {
		out = append(out, c.Test.Factor)
	}
	if c.Not != nil {
		out = append(out, c.Not.factors()...)
	}
	for _, part := range c.All {
		out = append(out, part.factors()...)
	}
	for _, part := range c.Any {
		out = append(out, part.factors()...)
	}
	return out
}

func (k *bookChecker) condition(c Condition, depth int) {
	if depth > maxNesting {
		k.errorf("condition", "", "has a condition nested more than %d deep. Make two rules of it.", maxNesting)
		return
	}
	if n := c.shapes(); n != 1 {
		k.errorf("condition", "", "has a condition with %d of “all”, “any”, “not”, “test”, “technique”; each group holds exactly one.", n)
		return
	}
	switch {
	case c.Test != nil:
		if c.Test.Setting != "" {
			k.compare(*c.Test)
			return
		}
		k.test(*c.Test)
	case c.Not != nil:
		k.in("not", -1, "", func() { k.condition(*c.Not, depth+1) })
	case c.Technique != nil:
		k.techniques(c.Technique)
	case c.All != nil:
		k.parts("all", c.All, depth)
	default:
		k.parts("any", c.Any, depth)
	}
}

func (k *bookChecker) parts(name string, parts []Condition, depth int) {
	if len(parts) == 0 {
		k.errorf("condition", name, "has an empty %s in its condition. Put something in, or take it out.", quote(name))
	}
	for n, part := range parts {
		k.in(name, n, "", func() { k.condition(part, depth+1) })
	}
}

func (k *bookChecker) test(t cards.Test) {
	for _, p := range cards.CheckTest("test", k.label(), t) {
		p.Path = join(k.path(true), "test")
		if k.lines != nil {
			p.Line = k.lines.at(join(k.path(false), "test"))
			p.Text = "Line " + strconv.Itoa(p.Line) + ": " + p.Text
		}
		k.found = append(k.found, p)
	}
}

func (k *bookChecker) techniques(list []cards.Technique) {
	if len(list) == 0 {
		k.errorf("condition", "technique", "has an empty list of techniques in its condition. Name at least one.")
	}
	for _, t := range list {
		k.oneOf("technique", string(t), cards.Choices["technique"])
	}
}
