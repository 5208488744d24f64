package checklist

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"sideport/cards"
)

func document(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile("../docs/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// jsonBlocks are the JSON examples of a document, in order.
func jsonBlocks(text string) []string {
	var out []string
	for _, m := range regexp.MustCompile("(?s)```json\n(.*?)```").FindAllStringSubmatch(text, -1) {
		out = append(out, m[1])
	}
	return out
}

func strictly(t *testing.T, text string, v any) {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
}

func TestCaseExampleOfTheDocumentIsACase(t *testing.T) {
	c, problems := ParseCase([]byte(jsonBlocks(document(t, "sheet-format.md"))[0]))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if c.Position != 3 || !slices.Equal(c.Facts["allergies"], Value{"iodine", "latex"}) {
		t.Errorf("the example reads as %+v", c)
	}
}

func TestSheetExampleOfTheDocumentIsASheet(t *testing.T) {
	example := jsonBlocks(document(t, "sheet-format.md"))[1]
	var s Sheet
	strictly(t, example, &s)
	again, err := Canonical(s)
	if err != nil {
		t.Fatal(err)
	}
	var compact bytes.Buffer
	if err := json.Compact(&compact, []byte(example)); err != nil {
		t.Fatal(err)
	}
	if got, want := strings.TrimSpace(string(again)), compact.String(); got != want {
		t.Errorf("the example is not what is written:\n%s\nwant\n%s", want, got)
	}
}

func TestSheetDocumentNamesEveryField(t *testing.T) {
	example := jsonBlocks(document(t, "sheet-format.md"))[1]
	// Fields of the card's own parts are described with the card; the others all occur in the example.
	skipped := []reflect.Type{reflect.TypeFor[cards.Trigger](), reflect.TypeFor[Case]()}
	for _, field := range jsonFields(reflect.TypeFor[Sheet](), skipped) {
		if !strings.Contains(example, `"`+field+`":`) {
			t.Errorf("the sheet's field %q does not occur in the example", field)
		}
	}
}

// jsonFields are the names of all JSON fields of a type and of the types in it.
func jsonFields(t reflect.Type, skipped []reflect.Type) []string {
	for t.Kind() == reflect.Slice || t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct || slices.Contains(skipped, t) {
		return nil
	}
	var out []string
	for i := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		if name != "" {
			out = append(append(out, name), jsonFields(t.Field(i).Type, skipped)...)
		}
	}
	return out
}

func TestCaseDocumentListsEveryFactor(t *testing.T) {
	text := document(t, "sheet-format.md")
	for _, f := range cards.Factors {
		if row := factorRow(f); !f.Derived && !strings.Contains(text, row+"\n") {
			t.Errorf("the document lacks the row\n%s", row)
		}
	}
}

func factorRow(f cards.Factor) string {
	answers := strings.Join(f.Options, " · ")
	switch f.Kind {
	case cards.FactorNumber:
		answers = f.Min.String() + " to " + f.Max.String()
	case cards.FactorSet:
		answers = "any of: " + answers
	case cards.FactorText:
		answers = "a few words"
	}
	return fmt.Sprintf("| `%s` %s | %s | %s |", f.ID, f.Label, answers, f.Unit)
}

// The rule book's document shows fixed lines, a rule, conditions and actions
// in that order; each is put into the starter book and must be accepted.
func TestExamplesOfTheRuleBookDocumentAreAccepted(t *testing.T) {
	blocks := jsonBlocks(document(t, "rule-book.md"))
	if len(blocks) != 7 {
		t.Fatalf("%d examples, want a line, a setting, a rule, a condition, the actions, a drill and the parts", len(blocks))
	}
	var line ScriptLine
	var rule Rule
	book := Starter()
	book.Settings, book.Drills = make([]Setting, 1), make([]cards.Trigger, 1)
	strictly(t, blocks[0], &line)
	strictly(t, blocks[1], &book.Settings[0])
	strictly(t, blocks[2], &rule)
	nested, acting := rule, rule
	nested.When, acting.Do = Condition{}, nil
	strictly(t, blocks[3], &nested.When)
	strictly(t, blocks[4], &acting.Do)
	strictly(t, blocks[5], &book.Drills[0])
	strictly(t, blocks[6], &book.Parts)
	nested.ID, acting.ID = "nested", "acting"
	for n := range book.Pauses { // only the example's own setting is in the book
		for i := range book.Pauses[n].Lines {
			book.Pauses[n].Lines[i].Value = ""
		}
	}
	book.Pauses[3].Lines = []ScriptLine{line}
	book.Rules = []Rule{rule, nested, acting}
	for _, p := range CheckRuleBook(book) {
		t.Errorf("%s: %s", p.Path, p.Text)
	}
}

func TestRuleBookDocumentShowsEveryAction(t *testing.T) {
	var actions []Action
	strictly(t, jsonBlocks(document(t, "rule-book.md"))[4], &actions)
	var shown []ActionKind
	for _, a := range actions {
		shown = append(shown, a.Kind)
	}
	for _, kind := range actionKinds {
		if !slices.Contains(shown, kind) {
			t.Errorf("the document shows no example of %q", kind)
		}
	}
}

// schemaPart is what the tests below need of the JSON Schema.
type schemaPart struct {
	Enum                 []string              `json:"enum"`
	Required             []string              `json:"required"`
	Properties           map[string]schemaPart `json:"properties"`
	AdditionalProperties *bool                 `json:"additionalProperties"`
	Defs                 map[string]schemaPart `json:"$defs"`
	Schema               string                `json:"$schema"`
	Minimum, Maximum     int
	Items                *schemaPart `json:"items"`
	MaxLength            int         `json:"maxLength"`
	Pattern              string      `json:"pattern"`
}

// UnmarshalJSON reads a part; "false" stands for a field that may not be given.
func (s *schemaPart) UnmarshalJSON(b []byte) error {
	type plain schemaPart
	if string(b) == "false" || string(b) == "true" {
		return nil
	}
	return json.Unmarshal(b, (*plain)(s))
}

func ruleBookSchema(t *testing.T) schemaPart {
	t.Helper()
	var s schemaPart
	if err := json.Unmarshal([]byte(document(t, "rule-book.schema.json")), &s); err != nil {
		t.Fatal(err)
	}
	return s
}

func words[T ~string](list []T) []string {
	out := make([]string, len(list))
	for n, v := range list {
		out[n] = string(v)
	}
	return out
}

func TestSchemaChoicesAreThoseOfTheProgram(t *testing.T) {
	var factors, ops []string
	for _, f := range cards.Factors {
		factors = append(factors, string(f.ID))
	}
	for _, list := range cards.Ops {
		ops = append(ops, words(list)...)
	}
	want := map[string][]string{
		"pauseId": words(PauseIDs), "role": Roles, "factor": factors, "op": sortedOnce(ops), "actionKind": words(actionKinds),
		"mark":      words([]Mark{MarkPublished, MarkMemory, MarkPractice}),
		"weight":    words([]Weight{WeightCaution, WeightStop}),
		"technique": cards.Choices["technique"], "itemKind": cards.Choices["item kind"], "state": cards.Choices["state"],
		"place": cards.Choices["place"], "allergen": cards.Choices["allergen"],
	}
	for name, part := range ruleBookSchema(t).Defs {
		if part.Enum == nil {
			continue
		}
		got, known := slices.Clone(part.Enum), slices.Clone(want[name])
		slices.Sort(got)
		slices.Sort(known)
		if !slices.Equal(got, known) {
			t.Errorf("%s: the schema allows %v, the program %v", name, got, known)
		}
		delete(want, name)
	}
	for name := range want {
		t.Errorf("the schema has no choice %s", name)
	}
}

func TestSchemaFieldsAreThoseOfTheProgram(t *testing.T) {
	s := ruleBookSchema(t)
	for name, typ := range map[string]reflect.Type{
		"": reflect.TypeFor[RuleBook](), "pauseScript": reflect.TypeFor[PauseScript](), "scriptLine": reflect.TypeFor[ScriptLine](),
		"rule": reflect.TypeFor[Rule](), "condition": reflect.TypeFor[Condition](), "test": reflect.TypeFor[cards.Test](),
		"question": reflect.TypeFor[ScriptQuestion](), "action": reflect.TypeFor[Action](), "actionLine": reflect.TypeFor[ActionLine](),
		"item": reflect.TypeFor[cards.Item](), "setting": reflect.TypeFor[Setting](), "drill": reflect.TypeFor[cards.Trigger](),
		"parts": reflect.TypeFor[Parts](), "switch": reflect.TypeFor[Switch](), "confirmedRecipe": reflect.TypeFor[ConfirmedRecipe](),
	} {
		part := s
		if name != "" {
			part = s.Defs[name]
		}
		var got, want []string
		for field := range part.Properties {
			got = append(got, field)
		}
		for i := range typ.NumField() {
			field, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
			want = append(want, field)
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s: the schema has the fields %v, the program %v", name, got, want)
		}
		if part.AdditionalProperties == nil || *part.AdditionalProperties {
			t.Errorf("%s: the schema takes fields that the program refuses", name)
		}
	}
	if who := s.Defs["scriptLine"].Properties["who"].Items; who.Minimum != 1 || who.Maximum != lastWHOItem {
		t.Errorf("the schema takes the WHO items %d to %d", who.Minimum, who.Maximum)
	}
	if q := s.Defs["item"].Properties["quantity"]; q.Minimum != 1 || q.Maximum != maxQuantity {
		t.Errorf("the schema takes the quantities %d to %d", q.Minimum, q.Maximum)
	}
	if s.Schema != "https://json-schema.org/draft/2020-12/schema" {
		t.Errorf("the schema is of the dialect %q", s.Schema)
	}
}

func TestSchemaKeysAreThoseOfTheProgram(t *testing.T) {
	key := ruleBookSchema(t).Defs["key"]
	pattern := regexp.MustCompile(key.Pattern)
	for _, s := range []string{"a", "iris-hooks", "suture-10-0", "", "-a", "a-", "a--b", "A", "a b", "é", strings.Repeat("a", 60), strings.Repeat("a", 61)} {
		if got := pattern.MatchString(s) && len(s) <= key.MaxLength; got != cards.ValidKey(s) {
			t.Errorf("key %q: the schema says %v, the program %v", s, got, cards.ValidKey(s))
		}
	}
}
