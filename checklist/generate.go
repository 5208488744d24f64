package checklist

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"sideport/cards"
)

// Input is all that a sheet depends on.
type Input struct {
	Card          cards.Card
	CardRevision  int
	Rules         RuleBook
	RulesRevision int
	Case          Case
}

// Generate makes the sheet of one case. There are problems only when there is
// no sheet: an error in the card, the rules or the case. Everything that is
// merely unusual stands on the sheet itself.
//
// The rule book must have passed CheckRuleBook, as every one that is kept has;
// here it is only made sure that nothing a sheet is built from is missing.
//
// Must depend on nothing but in, and must not change it.
func Generate(in Input) (Sheet, cards.Problems) {
	found := cards.Check(in.Card)
	caseProblems := CheckCase(in.Case)
	problems := append(found.Errors(), caseProblems.Errors()...)
	if !in.Rules.usable() {
		problems = append(problems, CheckRuleBook(in.Rules).Errors()...)
	}
	if in.Case.Card != in.Card.ID {
		problems = append(problems, cards.Problem{Level: cards.LevelError, Code: "other card", Path: "card",
			Text: "The case asks for the card " + quote(string(in.Case.Card)) + ", but the card " + quote(string(in.Card.ID)) + " was given. Choose the case's card."})
	}
	if len(problems) > 0 {
		return Sheet{}, problems
	}
	m := newMaker(in)
	m.answers, _ = Derive(in.Case)
	m.answers.settings = in.Rules.Settings
	m.variants()
	m.table()
	m.rules()
	m.askVariants()
	m.strike()
	m.steps()
	m.limits(found)
	m.fit()
	m.allergyQuestion()
	m.askTheRest()
	m.pauses()
	m.drills()
	m.otherAnaesthesia()
	m.remarks(caseProblems.Cautions())
	return m.sheet(), nil
}

// newMaker makes room for what a usual sheet holds.
func newMaker(in Input) *maker {
	return &maker{in: in, cardWhy: Why{From: FromCard, ID: string(in.Card.ID), Text: "card: " + in.Card.Title},
		things:   make([]*thing, 0, len(in.Card.Items)+len(in.Card.Drugs)+16),
		added:    make([]addedLine, 0, 24),
		specials: make([]Special, 0, 16),
	}
}

// maker holds a sheet in the making. Its methods each fill one part and are
// spread over the files named after the parts.
type maker struct {
	in      Input
	answers Answers
	cardWhy Why

	applied  []judged      // the variants that hold
	unsure   []judged      // the variants that cannot be told
	used     []VariantUsed // both, as shown
	things   []*thing      // items and drugs
	withheld []withholding
	banned   []ban
	added    []addedLine
	unasked  []unasked
	raised   map[cards.Key][]Why

	stepLines []StepLine

	phases   []PhaseLimits
	fits     []FitLine
	spoken   []Pause
	triggers []TriggerSheet
	specials []Special
}

func (m *maker) sheet() Sheet {
	c := m.in.Card
	s := Sheet{
		Made:      Made{Card: c.ID, CardRevision: m.in.CardRevision, RulesRevision: m.in.RulesRevision, Case: m.in.Case},
		Title:     "Case " + strconv.Itoa(m.in.Case.Position) + ", " + m.answers.answer("eye") + ": " + c.Title,
		Technique: c.TechniqueText(),
		Facts:     m.answers.facts(),
		NotKnown:  m.answers.notKnown(),
		Special:   m.weighed(),
		Variants:  m.used,
		Fit:       m.fits,
		Setup:     m.setupLines(),
		Drugs:     m.drugLines(),
		Limits:    m.phases,
		Steps:     m.stepLines,
		Pauses:    m.spoken,
		Triggers:  m.triggers,
		Basics:    append(cards.ShowBasics(c.Basics), cards.ShowMachine(c.Machine)...),
	}
	if c.Notes != "" {
		s.NotesHTML = cards.RenderNotes(c.Notes)
	}
	return s
}

// ruleWhy names a rule and the facts that made it apply.
func (m *maker) ruleWhy(r *Rule, deciding []*cards.Test) Why {
	title, because := lowerFirst(r.Title), because(deciding, m.answers, m.in.Card.Technique)
	text := "house rule: " + title
	if because != "" {
		text = "house rule: " + title + " (" + because + ")"
	}
	return Why{From: FromRule, ID: r.ID, Text: text, Source: r.Source, Mark: r.Mark, Starter: r.Owner == StarterOwner}
}

// rules asks every house rule and gathers what it adds. Only additions are
// made here; what is struck is decided when everything has been added, so
// that the order of the rules and of their actions does not matter.
func (m *maker) rules() {
	facts := cards.Facts(m.answers) // once: each conversion is a copy
	for n := range m.in.Rules.Rules {
		r := &m.in.Rules.Rules[n]
		when := m.in.Rules.resolve(r.When)
		truth := when.Holds(facts, m.in.Card.Technique)
		if truth == cards.False || truth == cards.Unknown && r.Unasked != "" {
			continue // a rule that says why nobody need ask is left alone
		}
		deciding := when.deciding(facts, m.in.Card.Technique)
		if truth == cards.Unknown {
			m.ask(r, deciding)
			continue
		}
		why := m.ruleWhy(r, deciding)
		weight := heaviest(r.Do)
		for n, a := range r.Do {
			m.do(r, n, a, why, weight)
		}
	}
}

func (m *maker) do(r *Rule, n int, a Action, why Why, weight Weight) {
	switch a.Kind {
	case AddItem:
		m.add(*a.Item, why)
	case AddLine, AddQuestion:
		m.addLine(addedLine{pause: a.Pause, weight: weight, value: a.Line.Value, PauseLine: PauseLine{
			ID: fmt.Sprintf("%s.%d", r.ID, n+1), Text: a.Line.Text, Ask: a.Line.Ask, Answer: a.Line.Answer, Expect: a.Line.Expect,
			Added: true, Question: a.Kind == AddQuestion, Why: []Why{why}}})
	case AddCaution:
		m.special(a.Weight, a.Text, why)
	case Withhold:
		m.withheld = append(m.withheld, withholding{items: a.Items, allergens: a.Allergens, substitute: a.Substitute, text: a.Text, why: why})
	case DoNotUse:
		m.banned = append(m.banned, ban{items: a.Items, steps: a.Steps, text: a.Text, why: why})
	case RaiseDrill:
		if m.raised == nil {
			m.raised = map[cards.Key][]Why{}
		}
		m.raised[a.Trigger] = append(m.raised[a.Trigger], why)
	}
}

// ask puts the question of a rule that cannot be answered. For one that has
// none, askTheRest makes sure that somebody asks.
func (m *maker) ask(r *Rule, deciding []*cards.Test) {
	if r.Unknown == nil {
		m.unasked = append(m.unasked, unasked{missing(deciding, m.answers), m.ruleWhy(r, deciding)})
		return
	}
	q := r.Unknown
	m.addLine(addedLine{pause: q.Pause, missing: [][]cards.FactorID{missing(deciding, m.answers)}, PauseLine: PauseLine{
		ID: r.ID + ".not-known", Text: q.Text, Ask: q.Ask, Answer: q.Answer, Added: true, Question: true, Why: []Why{m.ruleWhy(r, deciding)}}})
}

// unasked is what a rule without a question of its own would need to know.
type unasked struct {
	missing []cards.FactorID
	why     Why
}

// askTheRest puts one question for all the facts that kept a rule from being
// answered and that no question asks for by itself: otherwise a fact nobody
// knows would pass for "no".
func (m *maker) askTheRest() {
	if len(m.unasked) == 0 {
		return
	}
	var labels []string
	var whys []Why
	for _, f := range cards.Factors {
		if f.Kind == cards.FactorText || m.asksFor(f.ID) {
			continue
		}
		needed := false
		for _, u := range m.unasked {
			if has(u.missing, f.ID) {
				needed, whys = true, joinWhy(whys, u.why)
			}
		}
		if needed {
			labels = append(labels, lowerFirst(f.Label))
		}
	}
	if len(labels) > 0 {
		m.addLine(addedLine{pause: TeamBrief, PauseLine: PauseLine{ID: "case.not-known", Text: "Some facts are not known. Does anybody know them?", Ask: RoleReader,
			Answer: RoleAll, Expect: "each by its value, or not known: " + strings.Join(labels, ", "), Added: true, Question: true, Why: whys}})
	}
}

func (m *maker) asksFor(id cards.FactorID) bool {
	for _, l := range m.added {
		if l.asksFor([][]cards.FactorID{{id}}) {
			return true
		}
	}
	return false
}

// heaviest is the weight of a rule's weightiest caution, "" when it has none.
func heaviest(actions []Action) Weight {
	var w Weight
	for _, a := range actions {
		if a.Kind == AddCaution && (w == "" || a.Weight == WeightStop) {
			w = a.Weight
		}
	}
	return w
}

// Canonical is the one byte form of a sheet: equal sheets give equal bytes on every machine.
func Canonical(s Sheet) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(s); err != nil {
		return nil, fmt.Errorf("write the sheet as JSON: %w", err)
	}
	return b.Bytes(), nil
}
