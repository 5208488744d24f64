package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"sideport/cards"
	"sideport/checklist"
	"sideport/checklist/risk"
)

// The golden sheets are checked where they are made (checklist); here it is
// checked that the bridge adds nothing and loses nothing.

// card is a small valid card. The names are invented.
const card = `{"id":"anna-flip","title":"Flip","technique":"flip","owner":"anna","basics":{},"machine":{},` +
	`"items":[{"key":"spatula","name":"Spatula","kind":"instrument","quantity":1,"state":"open"}],` +
	`"phases":[{"key":"chop","name":"Chop","kind":"chop","limits":{"vacuum":"350"}}]}`

// answer is what comes back over the bridge.
type answer struct {
	OK    json.RawMessage `json:"ok"`
	Error *failure        `json:"error"`
}

func ask(t *testing.T, name, in string) answer {
	t.Helper()
	var a answer
	if err := json.Unmarshal(Call(name, []byte(in)), &a); err != nil {
		t.Fatalf("%s: the answer is not JSON: %v", name, err)
	}
	if (a.OK == nil) == (a.Error == nil) {
		t.Fatalf("%s: an answer is either ok or an error, got %+v", name, a)
	}
	return a
}

func get[T any](t *testing.T, name, in string) T {
	t.Helper()
	a := ask(t, name, in)
	if a.Error != nil {
		t.Fatalf("%s: %+v", name, *a.Error)
	}
	var v T
	if err := json.Unmarshal(a.OK, &v); err != nil {
		t.Fatalf("%s: %v in %s", name, err, a.OK)
	}
	return v
}

func TestCheckGivesProblemsViewAndTheBodyToKeep(t *testing.T) {
	got := get[struct {
		Problems []cards.Problem
		View     cards.View
		Body     json.RawMessage
	}](t, "check", `{"kind":"card","body":`+card+`}`)
	if got.Problems == nil || len(cards.Problems(got.Problems).Errors()) > 0 {
		t.Errorf("problems = %v, want a list without errors", got.Problems)
	}
	if len(got.View.Phases) != 1 || got.View.Phases[0].Values[0].Text() != "Vacuum 350 mmHg" {
		t.Errorf("the view lacks the limits of the one phase: %+v", got.View.Phases)
	}
	if string(got.Body) != card {
		t.Errorf("body = %s\nwant the canonical form %s", got.Body, card)
	}
}

func TestCheckNamesWhatIsWrong(t *testing.T) {
	got := get[struct{ Problems cards.Problems }](t, "check", `{"kind":"card","body":`+strings.Replace(card, `"350"`, `"3500"`, 1)+`}`)
	if len(got.Problems.Errors()) != 1 || got.Problems.Errors()[0].Path != "phases/chop/vacuum" {
		t.Errorf("errors = %v, want one at phases/chop/vacuum", got.Problems.Errors())
	}
}

func TestEveryKindIsChecked(t *testing.T) {
	rules, err := cards.Canonical(checklist.Starter())
	if err != nil {
		t.Fatal(err)
	}
	bodies := map[string]string{
		"card":   card,
		"case":   `{"id":"c1","list":"2026-11-25","position":1,"surgeon":"anna","card":"anna-flip","facts":{"eye":"left eye"}}`,
		"rules":  string(rules),
		"person": `{"id":"anna","name":"Anna","roles":["surgeon"]}`,
		"unit":   `{"name":"Unit","demo":true}`,
	}
	if len(bodies) != len(kinds) {
		t.Fatalf("%d kinds are tried, there are %d", len(bodies), len(kinds))
	}
	for kind, body := range bodies {
		got := get[struct{ Problems cards.Problems }](t, "check", `{"kind":"`+kind+`","body":`+body+`}`)
		if len(got.Problems.Errors()) > 0 {
			t.Errorf("%s: %v", kind, got.Problems.Errors())
		}
	}
}

func TestRankSetsTheSurgeonsCardsAgainstTheCase(t *testing.T) {
	chop := strings.NewReplacer(`"anna-flip"`, `"anna-chop"`, `"Flip"`, `"Chop"`, `"flip"`, `"vertical chop"`).Replace(card)
	other := strings.Replace(card, `"anna"`, `"ben"`, 1)
	got := get[struct{ Ranked []checklist.Ranked }](t, "rank", `{"cards":[`+card+`,`+other+`,`+chop+`],"case":{"id":"","list":"","position":0,"surgeon":"anna","card":"","facts":{"nucleus-clinical":"4+"}}}`)
	if len(got.Ranked) != 2 || got.Ranked[0].Card != "anna-chop" || got.Ranked[0].Group != checklist.GroupFor || got.Ranked[1].Group != checklist.GroupAgainst {
		t.Errorf("ranked %+v, want the chop card before the flip card and nobody else's", got.Ranked)
	}
	if a := ask(t, "rank", `{"cards":[],"case":{"facts":{}}}`); string(a.OK) != `{"ranked":[]}` {
		t.Errorf("no cards: %s, want an empty list", a.OK)
	}
}

func TestGenerateGivesTheSheetsOwnBytes(t *testing.T) {
	book := checklist.Starter()
	rules, err := cards.Canonical(book)
	if err != nil {
		t.Fatal(err)
	}
	theCase := `{"id":"c1","list":"2026-11-25","position":1,"surgeon":"anna","card":"anna-flip","facts":{"eye":"right eye"}}`
	a := ask(t, "generate", `{"card":`+card+`,"card_revision":3,"rules":`+string(rules)+`,"rules_revision":2,"case":`+theCase+`}`)
	if a.Error != nil {
		t.Fatalf("%+v", *a.Error)
	}
	in := checklist.Input{CardRevision: 3, RulesRevision: 2, Rules: book}
	for from, to := range map[string]any{card: &in.Card, theCase: &in.Case} {
		if err := cards.Decode([]byte(from), to); err != nil {
			t.Fatal(err)
		}
	}
	sheet, problems := checklist.Generate(in)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	want, err := checklist.Canonical(sheet)
	if err != nil {
		t.Fatal(err)
	}
	if string(a.OK) != strings.TrimSpace(string(want)) {
		t.Errorf("over the bridge the sheet is\n%s\nwant\n%s", a.OK, want)
	}
}

func TestGenerateRefusesAnotherCard(t *testing.T) {
	a := ask(t, "generate", `{"card":`+card+`,"card_revision":1,"rules":{"title":"","owner":"","pauses":[],"rules":[]},"rules_revision":1,"case":{"id":"c1","list":"2026-11-25","position":1,"surgeon":"anna","card":"ben-chop"}}`)
	if a.Error == nil || a.Error.Code != "bad request" || len(a.Error.Problems) == 0 {
		t.Errorf("got %+v, want the problems that stop the sheet", a)
	}
}

func TestMergeJoinsDifferentUnitsAndAsksAboutOne(t *testing.T) {
	with := func(from, to string) string { return strings.Replace(card, from, to, 1) }
	in := func(head, mine string) string {
		return fmt.Sprintf(`{"kind":"card","base":%s,"head":%s,"mine":%s}`, card, head, mine)
	}
	type merged struct {
		Body      cards.Card
		Questions []cards.Question
	}
	both := get[merged](t, "merge", in(with(`"350"`, `"400"`), with(`"quantity":1`, `"quantity":2`)))
	if both.Questions == nil || len(both.Questions) != 0 {
		t.Errorf("different units merge without a question, got %v", both.Questions)
	}
	if both.Body.Items[0].Quantity != 2 || both.Body.Phases[0].Limits.Vacuum.String() != "400" {
		t.Errorf("a change was lost: %+v", both.Body)
	}
	one := get[merged](t, "merge", in(with(`"350"`, `"400"`), with(`"350"`, `"300"`)))
	if len(one.Questions) != 1 || one.Questions[0].Unit != "phases/chop" {
		t.Errorf("one unit changed differently is one question, got %v", one.Questions)
	}
}

func TestDiffSaysChangesInWords(t *testing.T) {
	got := get[struct{ Changes []string }](t, "diff", `{"kind":"card","from":`+card+`,"to":`+strings.Replace(card, `"350"`, `"400"`, 1)+`}`)
	if len(got.Changes) != 1 || !strings.Contains(got.Changes[0], "350") || !strings.Contains(got.Changes[0], "400") {
		t.Errorf("changes = %q, want one that names 350 and 400", got.Changes)
	}
	same := ask(t, "diff", `{"kind":"card","from":`+card+`,"to":`+card+`}`)
	if string(same.OK) != `{"changes":[]}` {
		t.Errorf("no change is an empty list, got %s", same.OK)
	}
}

func TestBigChangesAreNamedWithTheirFields(t *testing.T) {
	theCase := `{"id":"c1","list":"2026-11-25","position":1,"surgeon":"anna","card":"anna-flip","facts":{"eye":"left eye","lens-power":"2.5"}}`
	for _, c := range []struct{ kind, from, old, new, path string }{
		{"card", card, `"350"`, `"35"`, "phases/chop/vacuum"},
		{"case", theCase, `"2.5"`, `"-2.5"`, "facts/lens-power"},
	} {
		got := get[struct{ Changes []cards.LargeChange }](t, "big_changes", `{"kind":"`+c.kind+`","from":`+c.from+`,"to":`+strings.Replace(c.from, c.old, c.new, 1)+`}`)
		if len(got.Changes) != 1 || got.Changes[0].Path != c.path || got.Changes[0].Factor == "" {
			t.Errorf("%s: %+v, want one change at %s", c.kind, got.Changes, c.path)
		}
	}
	for vacuum, want := range map[string]int{"350": 0, "35": 1} {
		begun := strings.Replace(card, `"350"`, `"`+vacuum+`"`, 1)
		got := get[struct{ Changes []cards.LargeChange }](t, "big_changes", `{"kind":"card","from":{},"to":`+begun+`}`)
		if len(got.Changes) != want {
			t.Errorf("a card begun from nothing with %s mmHg: %+v, want %d", vacuum, got.Changes, want)
		}
	}
	if a := ask(t, "big_changes", `{"kind":"unit","from":{"name":"A"},"to":{"name":"B"}}`); string(a.OK) != `{"changes":[]}` {
		t.Errorf("a kind without numbers: %s, want an empty list", a.OK)
	}
}

func TestIdentityIsFoundInAReason(t *testing.T) {
	if got := get[struct{ Problems cards.Problems }](t, "identity", `{"label":"Reason","text":"asked by 12345678"}`); len(got.Problems) != 1 {
		t.Errorf("%v, want one caution", got.Problems)
	}
	if a := ask(t, "identity", `{"label":"Reason","text":"agreed with the team"}`); string(a.OK) != `{"problems":[]}` {
		t.Errorf("%s, want an empty list", a.OK)
	}
}

func TestFormatAndParseAreEachOthersInverse(t *testing.T) {
	md := get[struct{ Markdown string }](t, "format", `{"card":`+card+`}`)
	in, err := json.Marshal(md)
	if err != nil {
		t.Fatal(err)
	}
	got := get[struct {
		Card     json.RawMessage
		Problems cards.Problems
	}](t, "parse", strings.Replace(string(in), "Markdown", "markdown", 1))
	if string(got.Card) != card || len(got.Problems.Errors()) > 0 {
		t.Errorf("card = %s (%v)\nwant %s", got.Card, got.Problems, card)
	}
}

func TestBadRequestsAreRefused(t *testing.T) {
	tests := []struct{ why, name, in string }{
		{"no such call", "save", `{}`},
		{"not JSON", "check", `{`},
		{"an unknown field", "check", `{"kind":"card","body":{},"force":true}`},
		{"no such kind", "check", `{"kind":"patient","body":{}}`},
		{"a misspelt field in the card", "check", `{"kind":"card","body":{"titel":"x"}}`},
		{"no body", "check", `{"kind":"card"}`},
		{"a merge without a base", "merge", `{"kind":"card","base":null,"head":` + card + `,"mine":` + card + `}`},
		{"a merge of what is decided as a whole", "merge", `{"kind":"unit","base":{},"head":{},"mine":{}}`},
		{"two requests in one", "parse", `{"markdown":""}{"markdown":""}`},
	}
	for _, tt := range tests {
		if a := ask(t, tt.name, tt.in); a.Error == nil || a.Error.Code != "bad request" || a.Error.Text == "" {
			t.Errorf("%s: got %s %+v, want bad request with a text", tt.why, a.OK, a.Error)
		}
	}
}

func TestAPanicIsAnErrorAndTheNextCallWorks(t *testing.T) {
	calls["panic"] = func([]byte) ([]byte, error) { panic("on purpose") }
	defer delete(calls, "panic")
	a := ask(t, "panic", `{}`)
	if a.Error == nil || a.Error.Code != "internal" || strings.Contains(a.Error.Text, "on purpose") {
		t.Errorf("got %+v, want an internal error without its insides", a)
	}
	if a := ask(t, "check", `{"kind":"card","body":`+card+`}`); a.Error != nil {
		t.Errorf("the call after a panic: %+v", *a.Error)
	}
}

func FuzzCall(f *testing.F) {
	f.Add("check", `{"kind":"card","body":`+card+`}`)
	f.Add("merge", `{"kind":"card","base":`+card+`,"head":`+card+`,"mine":`+card+`}`)
	f.Add("parse", `{"markdown":"# Flip"}`)
	f.Fuzz(func(t *testing.T, name, in string) {
		if a := ask(t, name, in); a.Error != nil && a.Error.Code == "internal" {
			t.Errorf("%s %s: %s", name, in, a.Error.Text)
		}
	})
}

func TestCalculationsComeWithTheUnitsRecipes(t *testing.T) {
	type shown struct {
		Calculations []cards.Calculation
		Recipes      []recipe
	}
	off := get[shown](t, "calculations", `{"parts":{}}`)
	if len(off.Calculations) != len(cards.Calculations) || len(off.Recipes) != len(cards.StarterRecipes()) {
		t.Fatalf("%d calculations and %d recipes", len(off.Calculations), len(off.Recipes))
	}
	for _, r := range off.Recipes {
		if r.Confirmed != nil || len(r.Working.Result) == 0 {
			t.Errorf("%s: nobody confirmed it and its chain has a result, got %+v", r.ID, r)
		}
	}
	on := get[shown](t, "calculations", `{"parts":{"recipes":[{"recipe":"`+string(off.Recipes[0].ID)+`","by":"the pharmacist","date":"2027-01-31"}]}}`)
	if by := on.Recipes[0].Confirmed; by == nil || by.By != "the pharmacist" || on.Recipes[1].Confirmed != nil {
		t.Errorf("confirmed: %+v, %+v, want the first alone", on.Recipes[0].Confirmed, on.Recipes[1].Confirmed)
	}
}

// 0.1 mL of 10 mg/mL holds 1 mg, by definition of the unit.
func TestReckonGivesTheWorkingOrWhatIsWrong(t *testing.T) {
	type reckoned struct {
		Working  cards.Working
		Problems cards.Problems
	}
	good := get[reckoned](t, "reckon", `{"name":"dose in a volume","in":{"strength":"10 mg/mL","volume":"0.1"}}`)
	if good.Problems == nil || len(good.Problems) > 0 || len(good.Working.Result) == 0 || good.Working.Result[0].Value != "1" || good.Working.Result[0].Unit != "mg" {
		t.Errorf("got %+v", good)
	}
	bad := get[reckoned](t, "reckon", `{"name":"dose in a volume","in":{"strength":"1:3","volume":"0.1"}}`)
	if len(bad.Problems.Errors()) == 0 || len(bad.Working.Result) > 0 {
		t.Errorf("got %+v, want a problem and no result", bad)
	}
}

func TestTheRiskPartAnswersOnlyWhereItIsOn(t *testing.T) {
	in := func(parts string) string {
		return `{"parts":` + parts + `,"case":{"id":"c1","list":"2026-11-25","position":1,"surgeon":"anna","card":"anna-flip","facts":{"eye":"left eye","white":"yes"}},"given":{"sex":"female"}}`
	}
	for _, parts := range []string{`{}`, `{"risk":{"on":false}}`, `{"risk":{"on":true,"by":"anna","date":"2027-01-31"}}`} {
		if a := ask(t, "risk", in(parts)); a.Error == nil || !strings.Contains(a.Error.Text, "off") {
			t.Errorf("with the parts %s: got %s %+v, want a refusal", parts, a.OK, a.Error)
		}
	}
	on := get[risk.Assessment](t, "risk", in(`{"risk":{"on":true,"by":"anna","date":"2027-01-31","purpose_read":true}}`))
	if len(on.Results) != len(risk.Models) || len(on.Cautions) == 0 {
		t.Errorf("got %+v", on)
	}
	wrong := ask(t, "risk", strings.Replace(in(`{"risk":{"on":true,"purpose_read":true}}`), `"female"`, `"yes"`, 1))
	if wrong.Error == nil || len(wrong.Error.Problems) != 1 || wrong.Error.Problems[0].Path != "given/sex" {
		t.Errorf("a misspelt input: got %s %+v", wrong.OK, wrong.Error)
	}
}

func TestTheRiskTablesNeedNoCase(t *testing.T) {
	got := get[struct {
		Purpose string
		Inputs  []risk.Input
		Tables  []risk.Table
	}](t, "risk_tables", `{}`)
	if got.Purpose != risk.Purpose || len(got.Inputs) != len(risk.Inputs) || len(got.Tables) != len(risk.Tables()) {
		t.Errorf("got %+v", got)
	}
}

func TestTrialSaysWhatAChangeOfTheRulesDoes(t *testing.T) {
	from, to := checklist.Starter(), checklist.Starter()
	for n := range to.Settings {
		if to.Settings[n].ID == "small-pupil" {
			to.Settings[n].Value = cards.Whole(4)
		}
	}
	in := func(from, to checklist.RuleBook) string {
		f, err := cards.Canonical(from)
		if err != nil {
			t.Fatal(err)
		}
		x, err := cards.Canonical(to)
		if err != nil {
			t.Fatal(err)
		}
		return `{"from":` + string(f) + `,"to":` + string(x) + `,"cases":[{"card":` + card + `,"case":{"id":"c1","list":"2026-11-25","position":1,"surgeon":"anna","card":"anna-flip","facts":{"eye":"left eye","dilated-pupil":"4.5"}}}]}`
	}
	type trials struct{ Trials []checklist.Trial }
	changed := get[trials](t, "trial", in(from, to))
	if len(changed.Trials) != 1 || changed.Trials[0].Case != "c1" || len(changed.Trials[0].Changes) == 0 {
		t.Errorf("got %+v, want lines that change", changed)
	}
	if same := get[trials](t, "trial", in(from, from)); same.Trials[0].Changes == nil || len(same.Trials[0].Changes) > 0 {
		t.Errorf("got %+v, want an empty list", same)
	}
}

// Seven questions of twelve words take 58 seconds at the stated pace (checklist/reading.go).
func TestReadingReckonsTheTimeOfAPause(t *testing.T) {
	line := `"one two three four five six seven eight nine ten eleven twelve"`
	got := get[struct{ Pauses []checklist.Reading }](t, "reading", `{"pauses":[[`+strings.Repeat(line+",", 6)+line+`],[]]}`)
	if len(got.Pauses) != 2 || got.Pauses[0] != (checklist.Reading{Words: 84, Seconds: 58, Most: 9}) || got.Pauses[1].Seconds != 0 {
		t.Errorf("got %+v", got)
	}
}

func TestRuleBooksMergePartByPart(t *testing.T) {
	base, head, mine := checklist.Starter(), checklist.Starter(), checklist.Starter()
	head.Settings[0].Value, mine.Rules[0].Owner = cards.Whole(4), "Anna"
	text := func(b checklist.RuleBook) string {
		out, err := cards.Canonical(b)
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	}
	got := get[struct {
		Body      checklist.RuleBook
		Questions []cards.Question
	}](t, "merge", `{"kind":"rules","base":`+text(base)+`,"head":`+text(head)+`,"mine":`+text(mine)+`}`)
	if len(got.Questions) > 0 || got.Body.Settings[0].Value.String() != "4" || got.Body.Rules[0].Owner != "Anna" {
		t.Errorf("questions %v, setting %s, owner %s", got.Questions, got.Body.Settings[0].Value, got.Body.Rules[0].Owner)
	}
}

// Ensure that the remembered rule book never answers for another: the sheet
// depends on the bytes of its own call, whatever was asked before.
func TestEverySheetComesFromItsOwnRules(t *testing.T) {
	one, other := checklist.Starter(), checklist.Starter()
	other.Pauses[1].Lines[0].Text = "Which eye is it today?"
	theCase := `{"id":"c1","list":"2026-11-25","position":1,"surgeon":"anna","card":"anna-flip","facts":{"eye":"right eye"}}`
	sheet := func(book checklist.RuleBook) string {
		rules, err := cards.Canonical(book)
		if err != nil {
			t.Fatal(err)
		}
		a := ask(t, "generate", `{"card":`+card+`,"card_revision":3,"rules":`+string(rules)+`,"rules_revision":2,"case":`+theCase+`}`)
		return string(a.OK)
	}
	first := sheet(one)
	if second := sheet(other); !strings.Contains(second, "Which eye is it today?") || strings.Contains(first, "Which eye is it today?") {
		t.Error("a sheet was made from the rules of another call")
	}
	for range 2 { // read anew after the other book, then remembered
		if sheet(one) != first {
			t.Error("the same call gave another sheet the second time")
		}
	}
}
