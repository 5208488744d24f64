package checklist

import (
	"strings"
	"testing"

	"sideport/cards"
)

// plainCard is a small card that raises no caution by itself.
func plainCard() cards.Card {
	return cards.Card{
		ID: "wren-vertical-chop", Title: "Vertical chop", Technique: cards.VerticalChop, Owner: "wren",
		Machine: cards.Machine{Irrigation: cards.BottleHeight},
		Items: []cards.Item{
			{Key: "speculum", Name: "Lid speculum", Kind: "instrument", Quantity: 1, State: cards.Open},
			{Key: "chopper", Name: "Sharp chopper", Kind: "instrument", Quantity: 1, State: cards.Open, Counted: true},
			{Key: "iris-hooks", Name: "Iris hooks", Kind: "consumable", Quantity: 1, State: cards.HaveReady},
			{Key: "iodine", Name: "Povidone-iodine", Kind: "fluid", Quantity: 1, State: cards.Open, Allergens: []cards.Allergen{"iodine"}},
			{Key: "gloves", Name: "Latex gloves", Kind: "consumable", Quantity: 2, State: cards.Open, Allergens: []cards.Allergen{"latex"}},
		},
		Drugs: []cards.Drug{
			{Key: "cefuroxime", Name: "Cefuroxime", Route: "intracameral", State: cards.HaveReady, Allergens: []cards.Allergen{"cephalosporin"}},
		},
		Phases: []cards.Phase{
			{Key: "sculpt", Name: "Sculpt", Kind: cards.Sculpt, Limits: cards.Limits{Vacuum: cards.Whole(60), Flow: cards.Whole(25), Bottle: cards.Whole(75)}},
			{Key: "chop", Name: "Chop", Kind: cards.Chop, Limits: cards.Limits{Vacuum: cards.Whole(350), Flow: cards.Whole(35), Bottle: cards.Whole(95)}},
		},
		Steps: []cards.Step{{Key: "chop", Title: "Chop", Phase: "chop"}},
		Triggers: []cards.Trigger{
			{Key: "small-pupil", Title: "Pupil comes down", Seen: "pupil below 4 mm", Say: "hooks please", Open: []cards.Key{"iris-hooks"}},
			{Key: "capsule", Title: "Capsule rupture", Seen: "chamber deepens", Say: "capsule", Open: []cards.Key{"speculum", "cefuroxime"}},
		},
	}
}

// plainBook has the six pauses with one line each and the rules given.
func plainBook(rules ...Rule) RuleBook {
	b := RuleBook{Title: "Test rules", Owner: "wren", Rules: rules}
	for _, id := range PauseIDs {
		b.Pauses = append(b.Pauses, PauseScript{ID: id, When: "when it is due", Lines: []ScriptLine{
			{ID: "first", Text: "What is the first thing?", Ask: RoleReader, Answer: RoleSurgeon, Source: "made up for a test"}}})
	}
	return b
}

// rule makes a complete rule.
func rule(id string, when Condition, do ...Action) Rule {
	return Rule{ID: id, Title: "Rule " + id, Source: "made up for a test", Mark: MarkPractice, Owner: "wren", Review: "2030-01-31", When: when, Do: do}
}

// asking gives a rule a question.
func asking(r Rule, pause PauseID, text string) Rule {
	r.Unknown = &ScriptQuestion{Pause: pause, Ask: RoleReader, Answer: RoleSurgeon, Text: text}
	return r
}

// when is a condition of one test, written "dilated-pupil below 5".
func when(factor cards.FactorID, op cards.Op, value string) Condition {
	return Condition{Test: &cards.Test{Factor: factor, Op: op, Value: value}}
}

// plainCase is a right eye whose allergies were asked; facts are written "factor=answer,answer".
func plainCase(facts ...string) Case {
	c := Case{ID: "c1", List: "2027-03-31", Position: 3, Surgeon: "wren", Card: "wren-vertical-chop",
		Facts: map[cards.FactorID]Value{"eye": {"right eye"}, "allergies": {cards.None}}}
	for _, f := range facts {
		id, answers, _ := strings.Cut(f, "=")
		if answers == "" {
			delete(c.Facts, cards.FactorID(id))
			continue
		}
		c.Facts[cards.FactorID(id)] = strings.Split(answers, ",")
	}
	return c
}

// generated makes a sheet and fails the test when there is none.
func generated(t testing.TB, card cards.Card, book RuleBook, c Case) Sheet {
	t.Helper()
	s, problems := Generate(Input{Card: card, CardRevision: 4, Rules: book, RulesRevision: 2, Case: c})
	if len(problems) > 0 {
		t.Fatalf("no sheet: %v", problems)
	}
	return s
}

func setupOf(t testing.TB, s Sheet, key cards.Key) SetupLine {
	t.Helper()
	found := SetupLine{}
	count := 0
	for _, l := range s.Setup {
		if l.Key == key {
			found = l
			count++
		}
	}
	if count != 1 {
		t.Fatalf("the set-up list has %d lines %q, want 1", count, key)
	}
	return found
}

func linesOf(s Sheet, id PauseID) []PauseLine {
	for _, p := range s.Pauses {
		if p.ID == id {
			return p.Lines
		}
	}
	return nil
}

// specialsOf lists what is special with the weight in front.
func specialsOf(s Sheet) []string {
	var out []string
	for _, x := range s.Special {
		out = append(out, string(x.Weight)+": "+x.Text)
	}
	return out
}

func codesOf(ps cards.Problems) []string {
	out := []string{}
	for _, p := range ps {
		out = append(out, string(p.Level)+" "+p.Code+" "+p.Path)
	}
	return out
}

func mustText(t testing.TB, what, got, want string) {
	t.Helper()
	if got != want {
		t.Errorf("%s:\n got %s\nwant %s", what, got, want)
	}
}
