package checklist

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"sideport/cards"
)

func TestCheckRuleBook(t *testing.T) {
	oneLine := &ActionLine{Text: "Which hooks?", Ask: RoleReader, Answer: RoleScrub}
	full := func(spoil func(*Rule)) func(*RuleBook) {
		return func(b *RuleBook) {
			r := asking(rule("r", when("dilated-pupil", cards.Below, "5"), addItem(readySaline)), TeamBrief, "How wide is the pupil?")
			spoil(&r)
			b.Rules = []Rule{r}
		}
	}
	does := func(a Action) func(*RuleBook) { return full(func(r *Rule) { r.Do = []Action{a} }) }
	if_ := func(c Condition) func(*RuleBook) { return full(func(r *Rule) { r.When = c }) }
	lines := func(n int) func(*RuleBook) {
		return func(b *RuleBook) {
			for i := 1; i < n; i++ {
				l := b.Pauses[0].Lines[0]
				l.ID = fmt.Sprint("l", i)
				b.Pauses[0].Lines = append(b.Pauses[0].Lines, l)
			}
		}
	}
	asks := func(words int) func(*RuleBook) {
		return func(b *RuleBook) { b.Pauses[0].Lines[0].Text = strings.TrimSpace(strings.Repeat("word ", words)) }
	}
	yes := when("white", cards.Is, cards.Yes)
	for _, row := range []struct {
		name  string
		spoil func(*RuleBook)
		want  string // "" for nothing wrong
	}{
		{"a complete rule", full(func(*Rule) {}), ""},
		{"a rule for every case", func(b *RuleBook) { b.Rules = []Rule{rule("r", Condition{}, addItem(readySaline))} }, ""},
		{"no title", func(b *RuleBook) { b.Title = "" }, "error empty title"},
		{"no owner", func(b *RuleBook) { b.Owner = "" }, "error empty owner"},
		{"a pause is missing", func(b *RuleBook) { b.Pauses = b.Pauses[1:] }, "error empty pauses"},
		{"a pause that does not exist", func(b *RuleBook) {
			b.Pauses = append(b.Pauses, PauseScript{ID: "tea", When: "at four", Lines: b.Pauses[0].Lines})
		}, "error choice pauses/tea/id"},
		{"a pause twice", func(b *RuleBook) { b.Pauses = append(b.Pauses, b.Pauses[0]) }, "error twice pauses/team brief/id"},
		{"no lines", func(b *RuleBook) { b.Pauses[0].Lines = nil }, "error empty pauses/team brief/lines"},
		{"8 lines", lines(8), ""},
		{"9 lines", lines(9), "caution long pause pauses/team brief/lines"},
		{"10 lines", lines(10), "error long pause pauses/team brief/lines"},
		{"12 words", asks(12), ""},
		{"13 words", asks(13), "caution long question pauses/team brief/lines/first/text"},
		{"20 words", asks(20), "caution long question pauses/team brief/lines/first/text"},
		{"21 words", asks(21), "error long question pauses/team brief/lines/first/text"},
		{"nobody asks", func(b *RuleBook) { b.Pauses[0].Lines[0].Ask = "porter" }, "error choice pauses/team brief/lines/first/ask"},
		{"asks itself", func(b *RuleBook) { b.Pauses[0].Lines[0].Answer = RoleReader }, "caution same person pauses/team brief/lines/first/answer"},
		{"no source of a line", func(b *RuleBook) { b.Pauses[0].Lines[0].Source = "" }, "error empty pauses/team brief/lines/first/source"},
		{"a line twice", func(b *RuleBook) { b.Pauses[0].Lines = append(b.Pauses[0].Lines, b.Pauses[0].Lines[0]) }, "error twice pauses/team brief/lines/first/id"},
		{"a stored fact", func(b *RuleBook) { b.Pauses[0].Lines[0].Value = "lens-power" }, ""},
		{"a stored limit", func(b *RuleBook) { b.Pauses[0].Lines[0].Value = "bottle" }, ""},
		{"a stored value that does not exist", func(b *RuleBook) { b.Pauses[0].Lines[0].Value = "luck" }, "error choice pauses/team brief/lines/first/value"},
		{"item 20 of the safety checklist", func(b *RuleBook) { b.Pauses[0].Lines[0].WHO = []int{20} }, "error bounds pauses/team brief/lines/first/who"},
		{"two rules with one id", func(b *RuleBook) {
			b.Rules = []Rule{rule("r", Condition{}, addItem(readySaline)), rule("r", Condition{}, addItem(readySaline))}
		}, "error twice rules/r/id"},
		{"no source", full(func(r *Rule) { r.Source = "" }), "error empty rules/r/source"},
		{"no owner of a rule", full(func(r *Rule) { r.Owner = "" }), "error empty rules/r/owner"},
		{"no mark", full(func(r *Rule) { r.Mark = "" }), "error choice rules/r/mark"},
		{"no review", full(func(r *Rule) { r.Review = "" }), "error date rules/r/review"},
		{"30 February", full(func(r *Rule) { r.Review = "2030-02-30" }), "error date rules/r/review"},
		{"does nothing", func(b *RuleBook) { b.Rules = []Rule{rule("r", Condition{})} }, "error empty rules/r/do"},
		{"a question without a fact", full(func(r *Rule) { r.When = Condition{} }), "error contradiction rules/r/unknown"},
		{"a question of 21 words", full(func(r *Rule) { r.Unknown.Text = strings.TrimSpace(strings.Repeat("w ", 21)) }), "error long question rules/r/unknown/text"},
		{"a trailing zero, read as ten times as much", full(func(r *Rule) { r.Unknown.Text = "Is the dose 1.0 mg?" }), "error trailing zero rules/r/unknown/text"},
		{"an unknown factor", if_(when("shoe-size", cards.Is, "42")), "error no such factor rules/r/when/test"},
		{"a comparison the factor does not have", if_(when("white", cards.Below, "5")), "error comparison rules/r/when/test"},
		{"a value outside the bounds", if_(when("dilated-pupil", cards.Below, "50")), "error bounds rules/r/when/test"},
		{"an answer that does not exist", if_(when("white", cards.Is, "perhaps")), "error choice rules/r/when/test"},
		{"not known cannot be tested for", if_(when("white", cards.Is, cards.NotKnown)), "error choice rules/r/when/test"},
		{"two shapes at once", if_(Condition{Test: yes.Test, Any: []Condition{yes}}), "error condition rules/r/when"},
		{"an empty any", full(func(r *Rule) { r.When = Condition{Any: []Condition{}}; r.Unknown = nil }), "error condition rules/r/when/any"},
		{"nothing inside a part", if_(Condition{All: []Condition{yes, {}}}), "error condition rules/r/when/all/2"},
		{"a technique that does not exist", full(func(r *Rule) { r.When = Condition{Technique: []cards.Technique{"magic"}}; r.Unknown = nil }), "error choice rules/r/when/technique"},
		{"an action that does not exist", does(Action{Kind: "dance"}), "error choice rules/r/do/1/do"},
		{"add item without an item", does(Action{Kind: AddItem}), "error empty rules/r/do/1/item"},
		{"add item with a text", does(Action{Kind: AddItem, Item: &saline, Text: "x"}), "error not used rules/r/do/1/text"},
		{"an item without a name", does(addItem(cards.Item{Key: "x", Kind: "fluid", Quantity: 1, State: cards.Open})), "error empty rules/r/do/1/item/name"},
		{"no item at all", does(addItem(cards.Item{Key: "x", Name: "X", Kind: "fluid", State: cards.Open})), "error bounds rules/r/do/1/item/quantity"},
		{"a line", does(Action{Kind: AddLine, Pause: TimeOut, Line: oneLine}), ""},
		{"a line without a pause", does(Action{Kind: AddLine, Line: oneLine}), "error empty rules/r/do/1/pause"},
		{"a question", does(Action{Kind: AddQuestion, Pause: TimeOut, Line: oneLine}), ""},
		{"a caution without a weight", does(Action{Kind: AddCaution, Text: "mind"}), "error empty rules/r/do/1/weight"},
		{"a caution of another weight", does(Action{Kind: AddCaution, Text: "mind", Weight: "panic"}), "error choice rules/r/do/1/weight"},
		{"withhold by allergen", does(withhold(nil, "latex")), ""},
		{"withhold by key", does(Action{Kind: Withhold, Items: []cards.Key{"gloves"}}), ""},
		{"withhold nothing", does(Action{Kind: Withhold}), "error empty rules/r/do/1/items"},
		{"a substitute that is withheld", does(withhold(&chlorhexidine, "chlorhexidine")), "error contradiction rules/r/do/1/substitute"},
		{"an allergen that does not exist", does(withhold(nil, "nuts")), "error choice rules/r/do/1/allergens"},
		{"do not without items", does(Action{Kind: DoNotUse, Text: "never"}), "error empty rules/r/do/1/items"},
		{"raise without a trigger", does(Action{Kind: RaiseDrill}), "error empty rules/r/do/1/trigger"},
		{"raise what is no key", does(Action{Kind: RaiseDrill, Trigger: "Wound burn"}), "error key rules/r/do/1/trigger"},
		{"one key, two names", func(b *RuleBook) {
			other := readySaline
			other.Name = "Salt water"
			b.Rules = []Rule{rule("r", Condition{}, addItem(readySaline), addItem(other))}
		}, "caution two names rules"},
	} {
		book := plainBook()
		row.spoil(&book)
		want := []string{}
		if row.want != "" {
			want = []string{row.want}
		}
		if got := codesOf(CheckRuleBook(book)); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", row.name, got, want)
		}
	}
}

func TestConditionNestingIsBounded(t *testing.T) {
	c := when("white", cards.Is, cards.Yes)
	for range maxNesting + 1 {
		inner := c
		c = Condition{Not: &inner}
	}
	book := plainBook(asking(rule("r", c, addItem(saline)), TeamBrief, "White?"))
	if got := CheckRuleBook(book).Errors(); len(got) != 1 || got[0].Code != "condition" {
		t.Errorf("problems %v", got)
	}
}

// Every problem of a file names the line of the thing it is about.
func TestParseRuleBookNamesLines(t *testing.T) {
	book := plainBook(rule("good", Condition{}, addItem(readySaline)), asking(rule("bad", when("white", cards.Is, "perhaps"), Action{Kind: RaiseDrill}), TeamBrief, "White?"))
	b, err := json.MarshalIndent(book, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	lineOf := func(text string) int { return strings.Count(string(b[:strings.Index(string(b), text)]), "\n") + 1 }
	_, problems := ParseRuleBook(b)
	if len(problems) != 2 {
		t.Fatalf("problems %v", problems)
	}
	mustText(t, "a test", problems[0].Text, fmt.Sprintf("Line %d: Rule “bad”: “White cataract” has no answer “perhaps”. Choose one of: yes, no.", lineOf(`"test": {`)))
	mustText(t, "an action", problems[1].Text, fmt.Sprintf("Line %d: Rule “bad”, action 1 is “raise” and has no “trigger”. Write it.", lineOf(`"do": "raise"`)-1))
}

func TestParseRuleBookRefuses(t *testing.T) {
	for _, row := range []struct{ name, in, text string }{
		{"a misspelt field", "{\"title\":\"x\",\n\"rule\":[]}", "Line 2: the rule book has no field “rule”. Check the spelling or remove it."},
		{"a misspelt field inside", "{\"rules\":[\n{\"id\":\"a\",\n\"wen\":{}}]}", "Line 3: the rule book has no field “wen”. Check the spelling or remove it."},
		{"a number as text", "{\"rules\":[{\"do\":[{\"item\":{\"quantity\":\n\"2\"}}]}]}", "Line 2: “rules.do.item.quantity” is a text, but must be a whole number without quotation marks."},
		{"a condition twice", "{\"rules\":[{\"when\":{\"all\":[],\n\"all\":[]}}]}", "Line 2: “all” stands twice in one group. Keep one."},
		{"hostile nesting", strings.Repeat(`{"rules":[`, 40), "Line 1: the rule book is nested too deeply. Write it flatter."},
	} {
		_, problems := ParseRuleBook([]byte(row.in))
		if len(problems) != 1 || problems[0].Text != row.text {
			t.Errorf("%s: %q, want %q", row.name, problems, row.text)
		}
	}
}

func FuzzParseRuleBook(f *testing.F) {
	b, _ := json.Marshal(plainBook(asking(rule("r", when("white", cards.Is, cards.Yes), addItem(saline), withhold(&chlorhexidine, "iodine")), TeamBrief, "White?")))
	f.Add(b)
	f.Add([]byte(`{"rules":[{"when":{"not":{"not":{}}}}]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		book, problems := ParseRuleBook(b)
		if len(problems.Errors()) > 0 {
			return
		}
		if again := CheckRuleBook(book).Errors(); len(again) > 0 {
			t.Fatalf("parsed without errors, checked with %v", again)
		}
		if _, problems := Generate(Input{Card: plainCard(), Rules: book, Case: plainCase()}); len(problems) > 0 {
			t.Fatalf("a valid rule book gives no sheet: %v", problems)
		}
	})
}
