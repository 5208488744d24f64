package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"sideport/cards"
	"sideport/checklist"
	"sideport/checklist/risk"
)

// Every label, choice, group and help of the tables that the screens are made of has its German.
func TestEveryWordOfTheVocabularyHasItsGerman(t *testing.T) {
	g := readToldGerman(t)
	for name, table := range map[string]any{
		"parameters": cards.Parameters, "factors": withoutIDs(t, cards.Factors), "ops": cards.Ops, "pauses": checklist.PauseIDs,
		"roles": checklist.Roles, "people": cards.PersonRoles, "choices": cards.Choices,
		"groups": []checklist.FitGroup{checklist.GroupFor, checklist.GroupMixed, checklist.GroupAgainst, checklist.GroupUnknown, checklist.GroupNeither},
		"struck": []checklist.Struck{checklist.StruckWithheld, checklist.StruckSubstituted, checklist.StruckConflict, checklist.StruckLeftOut},
	} {
		t.Run(name, func(t *testing.T) { g.checkRead(t, jsonOf(t, table), "") })
	}
	for _, choices := range cards.Choices { // as they are listed in a problem
		g.checkRead(t, []any{"Choose one of: " + strings.Join(choices, ", ") + "."}, "")
	}
}

// withoutIDs leaves out the fields of a factor by which programs find it.
func withoutIDs(t *testing.T, factors any) any {
	t.Helper()
	rows := jsonOf(t, factors).([]any)
	for _, row := range rows {
		for _, field := range []string{"kind", "only_with", "min", "max"} {
			delete(row.(map[string]any), field)
		}
	}
	return rows
}

// The calculators, as they are laid out and as every kept working of testdata/tables comes out, and the starter recipes.
func TestEveryWordOfACalculationHasItsGerman(t *testing.T) {
	g := readToldGerman(t)
	g.checkRead(t, withoutNames(t, cards.Calculations), "")
	g.checkRead(t, jsonOf(t, cards.StarterRecipes()), "")
	kept, err := os.ReadFile(filepath.Join("..", "..", "testdata", "tables", "workings.json"))
	if err != nil {
		t.Fatal(err)
	}
	var list []struct {
		Name string          `json:"name"`
		In   json.RawMessage `json:"in"`
	}
	if err := json.Unmarshal(kept, &list); err != nil || len(list) == 0 {
		t.Fatalf("%d workings: %v", len(list), err)
	}
	for _, k := range list {
		working, problems := cards.Reckon(k.Name, k.In)
		g.checkRead(t, []any{jsonOf(t, working), jsonOf(t, problems)}, strings.Join(readTexts(jsonOf(t, k.In), ""), "\n"))
	}
	for _, r := range cards.StarterRecipes() {
		working, _ := cards.CheckRecipe(r)
		g.checkRead(t, jsonOf(t, working), "")
	}
}

// withoutNames leaves out the names of calculations and of fields, by which programs find them.
func withoutNames(t *testing.T, v any) any {
	t.Helper()
	rows := jsonOf(t, v).([]any)
	for _, row := range rows {
		row := row.(map[string]any)
		delete(row, "name")
		if fields, there := row["fields"].([]any); there {
			dropNames(fields)
		}
	}
	return rows
}

func dropNames(fields []any) {
	for _, f := range fields {
		f := f.(map[string]any)
		for _, field := range []string{"name", "kind", "setting"} {
			delete(f, field)
		}
		if rows, there := f["fields"].([]any); there {
			dropNames(rows)
		}
	}
}

// The risk part: its purpose, its inputs and tables, and every golden assessment.
func TestEveryWordOfTheRiskPartHasItsGerman(t *testing.T) {
	g := readToldGerman(t)
	g.checkRead(t, []any{risk.Purpose, jsonOf(t, risk.Inputs), jsonOf(t, risk.Tables())}, "")
	paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", "risk", "*.txt"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no assessments: %v", err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txt"), func(t *testing.T) {
			archive, err := txtar.ParseFile(path)
			if err != nil {
				t.Fatal(err)
			}
			facts, given := answersOf(string(archive.Files[0].Data))
			derived, _ := checklist.Derive(checklist.Case{Facts: facts})
			assessment, problems := risk.Assess(derived, given)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			g.checkRead(t, jsonOf(t, assessment), "")
		})
	}
}

// answersOf reads "factor: answer" lines; those of the risk part alone are given apart.
func answersOf(text string) (map[cards.FactorID]checklist.Value, risk.Given) {
	facts, given := map[cards.FactorID]checklist.Value{}, risk.Given{}
	for _, line := range strings.Split(text, "\n") {
		id, answer, ok := strings.Cut(line, ": ")
		switch {
		case !ok:
		case slices.ContainsFunc(risk.Inputs, func(in risk.Input) bool { return string(in.ID) == id }):
			given[cards.FactorID(id)] = answer
		default:
			facts[cards.FactorID(id)] = checklist.Value{answer}
		}
	}
	return facts, given
}
