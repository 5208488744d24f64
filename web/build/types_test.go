package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"sideport/cards"
	"sideport/checklist"
)

// Types as the domain uses them, one of each sort.
type (
	testWord  string
	testInner struct {
		Name string `json:"name"`
	}
	testOuter struct {
		testBase
		Text   string                     `json:"text"`
		Number int                        `json:"number,omitempty"`
		Amount cards.Quantity             `json:"amount,omitzero"`
		Words  []testWord                 `json:"words"`
		Inner  *testInner                 `json:"inner,omitempty"`
		Facts  map[string]checklist.Value `json:"facts"`
		Raw    json.RawMessage            `json:"raw"`
		Left   string                     `json:"-"`
	}
	testBase struct {
		On bool `json:"on"`
	}
	testUnnamed struct{ Text string }
)

func TestGoTypesBecomeTypeScript(t *testing.T) {
	w := &typeWriter{constants: map[string][]string{"testWord": {"open", "have ready"}}, done: map[string]reflect.Type{}, out: map[string]string{}}
	if got := w.ref(reflect.TypeFor[testOuter]()); got != "testOuter" || w.err != nil {
		t.Fatalf("got %s, %v", got, w.err)
	}
	want := strings.Join([]string{
		"export interface testOuter {",
		"  on: boolean;",
		"  text: string;",
		"  number?: number;",
		"  amount?: Quantity;",
		"  words: testWord[];",
		"  inner?: testInner;",
		"  facts: Record<string, string | string[]>;",
		"  raw: unknown;",
		"}", "",
	}, "\n")
	if w.out["testOuter"] != want {
		t.Errorf("got\n%s\nwant\n%s", w.out["testOuter"], want)
	}
	if got, want := w.out["testWord"], "export type testWord = \"open\" | \"have ready\";\n"; got != want {
		t.Errorf("got %s want %s", got, want)
	}
	if got, want := w.out["Quantity"], "export type Quantity = string;\n"; got != want {
		t.Errorf("got %s want %s", got, want)
	}
}

func TestAFieldWithoutANameIsRefused(t *testing.T) {
	w := &typeWriter{done: map[string]reflect.Type{}, out: map[string]string{}}
	w.ref(reflect.TypeFor[testUnnamed]())
	if w.err == nil || !strings.Contains(w.err.Error(), "Text has no json name") {
		t.Errorf("got %v", w.err)
	}
}

func TestConstantsAreReadFromTheSources(t *testing.T) {
	constants, err := typedConstants(filepath.Join("..", "..", "cards"), filepath.Join("..", "..", "checklist"))
	if err != nil {
		t.Fatal(err)
	}
	if got := constants["Level"]; !reflect.DeepEqual(got, []string{"error", "caution"}) {
		t.Errorf("Level = %q", got)
	}
	if _, err := typedConstants(t.TempDir()); err == nil {
		t.Error("a folder without sources is taken for one without constants")
	}
}

func TestTablesAreWrittenWhole(t *testing.T) {
	b, err := vocabularyTS()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range cards.Factors {
		if !strings.Contains(string(b), `"label":`+quote(f.Label)) {
			t.Errorf("the factor %s is missing", f.ID)
		}
	}
	for name := range cards.Choices {
		if !strings.Contains(string(b), quote(string(name))+":[") {
			t.Errorf("the choice %s is missing", name)
		}
	}
	if strings.Contains(string(b), `\u003c`) {
		t.Error("signs are escaped as for HTML")
	}
}

func TestVendoredTablesAgree(t *testing.T) {
	b, err := os.ReadFile(filepath.Join("..", "app", "tsconfig.json"))
	if err != nil {
		t.Fatal(err)
	}
	var config struct {
		CompilerOptions struct{ Paths map[string][]string }
	}
	if err := json.Unmarshal(b, &config); err != nil {
		t.Fatal(err)
	}
	if len(config.CompilerOptions.Paths) != len(vendored) {
		t.Errorf("app/tsconfig.json names %d libraries, web/build %d", len(config.CompilerOptions.Paths), len(vendored))
	}
	for name, path := range vendored {
		types := config.CompilerOptions.Paths[name]
		if len(types) != 1 {
			t.Errorf("app/tsconfig.json does not say where the types of %s are", name)
			continue
		}
		for _, p := range []string{filepath.Join("..", path), filepath.Join("..", "app", types[0])} {
			if _, err := os.Stat(p); err != nil {
				t.Error(err)
			}
		}
	}
}
