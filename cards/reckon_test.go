package cards

import (
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"
)

var updateWorkings = flag.Bool("update-workings", false, "rewrite testdata/tables/workings.json; read the difference before you keep it")

// goldenWorking is one calculation of testdata/tables/workings.json.
type goldenWorking struct {
	Name     string          `json:"name"`
	In       json.RawMessage `json:"in"`
	Working  Working         `json:"working"`
	Problems Problems        `json:"problems,omitempty"`
}

// The same bytes natively and as WebAssembly: this test runs as both and holds
// the answers against one file. Every calculation is in it.
func TestWorkingsAreTheSameEverywhere(t *testing.T) {
	const path = "../testdata/tables/workings.json"
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var list []goldenWorking
	if err := json.Unmarshal(before, &list); err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for n := range list {
		list[n].Working, list[n].Problems = Reckon(list[n].Name, list[n].In)
		seen[list[n].Name] = true
	}
	after, err := json.MarshalIndent(list, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	after = append(after, '\n')
	if *updateWorkings {
		if err := os.WriteFile(path, after, 0o644); err != nil {
			t.Fatal(err)
		}
	} else if string(after) != string(before) {
		t.Errorf("%s: other workings (rewrite with -update-workings and read the difference)", path)
	}
	for _, c := range Calculations {
		if !seen[c.Name] {
			t.Errorf("%s is not in %s", c.Name, path)
		}
	}
}

// A screen can be built from the table alone.
func TestCalculationsAreComplete(t *testing.T) {
	names := map[string]bool{}
	for _, c := range Calculations {
		if names[c.Name] || c.Label == "" || len(c.Fields) == 0 {
			t.Errorf("%+v", c)
		}
		names[c.Name] = true
		completeFields(t, c.Name, c.Fields)
	}
}

func completeFields(t *testing.T, where string, fields []InputField) {
	ids := map[string]bool{}
	for _, f := range fields {
		at := where + "/" + f.ID
		if ids[f.ID] || f.ID == "" || f.Label == "" {
			t.Errorf("%s: twice or without a label", at)
		}
		ids[f.ID] = true
		switch f.Kind {
		case InputNumber:
			if f.Min.Cmp(f.Max) >= 0 {
				t.Errorf("%s: %s to %s", at, f.Min, f.Max)
			}
		case InputChoice:
			if len(f.Choices) < 2 {
				t.Errorf("%s: choices %v", at, f.Choices)
			}
		case InputRows:
			completeFields(t, at, f.Fields)
		case InputText, InputStrength, InputDate, InputScan:
		default:
			t.Errorf("%s: kind %q", at, f.Kind)
		}
	}
}

// Each says which field, what was given and what is wanted.
func TestReckonRefuses(t *testing.T) {
	for _, c := range []struct{ name, calculation, in, code, path, says string }{
		{"no such calculation", "lens power", `{}`, "no such calculation", "name", "lens power"},
		{"not JSON", "duty cycle", `on=6`, "json", "", "not a JSON object"},
		{"null", "duty cycle", `null`, "json", "", "not a JSON object"},
		{"field left out", "duty cycle", `{"on":"6"}`, "empty", "off", "Time off is not given. Write a number from 0 to 2000 ms."},
		{"field too many", "duty cycle", `{"on":"6","off":"10","of":"1"}`, "no such field", "of", "Take it away"},
		{"outside", "duty cycle", `{"on":"6","off":"5000"}`, "bounds", "off", "Time off 5000 ms is outside 0 to 2000 ms"},
		{"bare point", "duty cycle", `{"on":".5","off":"10"}`, "number", "on", "on both sides of the decimal point"},
		{"exponent", "duty cycle", `{"on":1e3,"off":"10"}`, "number", "on", "digits"},
		{"list for a number", "duty cycle", `{"on":[6],"off":"10"}`, "json", "on", "neither text nor a number"},
		{"unknown choice", "pressure units", `{"pressure":"1","unit":"bar"}`, "choice", "unit", "mmHg, kPa, cmH2O"},
		{"two lines", "recipe", `{"drug":"A\nB","ready":"1 %","final":"1 %"}`, "text", "drug", "Drug"},
		{"no day", "lens barcode", `{"scan":"17270228","today":"2027-02-29"}`, "date", "today", "2027-02-29"},
		{"rows that are no list", "recipe", `{"drug":"A","ready":"1 %","steps":{},"final":"1 %"}`, "json", "steps", "not a list"},
		{"a row that is no object", "recipe", `{"drug":"A","ready":"1 %","steps":[5],"final":"1 %"}`, "json", "steps/1", "not a JSON object"},
		{"too many rows", "recipe", `{"drug":"A","ready":"1 %","steps":[` + strings.Repeat(`{"take":"1","add":"1"},`, 20) + `{}],"final":"1 %"}`, "bounds", "steps", "more than 20 rows"},
		{"field of a row", "recipe", `{"drug":"A","ready":"1 %","steps":[{"take":"1"}],"final":"1 %"}`, "empty", "steps/1/add", "Add diluent is not given"},
		{"eye above the bottle", "pressure from height", `{"height":"20","eye_above":"30"}`, "bounds", "eye_above", "above the bottle by 10 cm"},
		{"no duty cycle where it is needed", "effective phaco time", `{"time":"60","power":"20","mean":"does not include the pauses"}`, "empty", "duty", "needed"},
	} {
		w, ps := Reckon(c.calculation, json.RawMessage(c.in))
		if len(w.Result) > 0 {
			t.Errorf("%s: a result %+v", c.name, w.Result)
		}
		found := false
		for _, p := range ps {
			found = found || p.Level == LevelError && p.Code == c.code && p.Path == c.path && strings.Contains(p.Text, c.says)
		}
		if !found {
			t.Errorf("%s: want %s at %q saying %q, got %+v", c.name, c.code, c.path, c.says, ps)
		}
	}
}

// A number may travel as a JSON number; all problems of an input are found at once.
func TestReckonReads(t *testing.T) {
	if w := reckon(t, "duty cycle", `{"on":6,"off":10.0}`); result(t, w, "duty_cycle") != "37.5" {
		t.Errorf("%+v", w.Result)
	}
	if _, ps := Reckon("duty cycle", json.RawMessage(`{"on":"x","off":"-1","way":"up"}`)); len(ps) != 3 {
		t.Errorf("%v", ps)
	}
}

// What the product writes keeps the rules it asks others to keep, and every
// working has a formula, a source and the line to check by hand.
func TestWorkingsAreWrittenSafely(t *testing.T) {
	b, err := os.ReadFile("../testdata/tables/workings.json")
	var list []goldenWorking
	if err != nil || json.Unmarshal(b, &list) != nil {
		t.Fatal(err)
	}
	for _, k := range list {
		w, ps := Reckon(k.Name, k.In)
		if len(ps.Errors()) > 0 {
			continue
		}
		if w.Formula == "" || w.Source == "" || w.Cautions[len(w.Cautions)-1] != CautionByHand {
			t.Errorf("%s: %+v", k.Name, w)
		}
		texts := append(append(append([]string{w.Source}, w.Stops...), w.Cautions...), w.Beside...)
		for _, s := range w.Result {
			texts = append(texts, s.Text())
		}
		for _, text := range texts {
			if ps := CheckWords("x", k.Name, text, false).Errors(); len(ps) > 0 {
				t.Errorf("%v", ps)
			}
		}
	}
}

func FuzzReckon(f *testing.F) {
	for _, c := range Calculations {
		f.Add(c.Name, `{"height":"65"}`)
	}
	f.Add("recipe", cefuroxime)
	f.Add("proportion", `{"events":"6","of":"13"}`)
	f.Add("toric rotation", `{"cornea":"2.5","lens":"2.5","planned":"175","found":"5"}`)
	f.Add("lidocaine total", `{"amounts":[{"what":"Block","strength":"2 %","volume":"3"}],"weight":"50","limit":"3 mg per kg"}`)
	f.Fuzz(func(t *testing.T, name, in string) {
		w, ps := Reckon(name, json.RawMessage(in))
		if len(ps.Errors()) > 0 && len(w.Result)+len(w.SyringeLabel) > 0 {
			t.Errorf("%s %q: errors and a result", name, in)
		}
		if len(ps.Errors()) == 0 && (len(w.Result) == 0 || w.Formula == "" || w.Source == "") {
			t.Errorf("%s %q: no result %+v", name, in, w)
		}
		a, err := json.Marshal(w)
		again, _ := Reckon(name, json.RawMessage(in))
		if b, _ := json.Marshal(again); err != nil || string(a) != string(b) {
			t.Errorf("%s %q: other bytes the second time, %v", name, in, err)
		}
	})
}
