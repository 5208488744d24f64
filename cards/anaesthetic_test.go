package cards

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
)

// The two worked examples: 50 kg at 3 mg per kg, and 70 kg at 4.5 mg per kg with
// a most of 300 mg (labels named in AnaestheticLimits; sums by calculation).
func TestAnaestheticWorkedExamples(t *testing.T) {
	for _, c := range []struct{ in, limit, volume string }{
		{`{"amounts":[{"what":"Block","strength":"2 %","volume":"3"}],"weight":"50","limit":"3 mg per kg"}`, "150", "7.5"},
		{`{"amounts":[{"what":"Block","strength":"2 %","volume":"3"}],"weight":"70","limit":"4.5 mg per kg, at most 300 mg, plain"}`, "300", "15"},
	} {
		w := reckon(t, "lidocaine total", c.in)
		if result(t, w, "limit") != c.limit || result(t, w, "volume") != c.volume || result(t, w, "total") != "60" || len(w.Stops) > 0 {
			t.Errorf("%s: %+v", c.in, w)
		}
	}
}

// All lidocaine counts, whatever its strength, and the labels that disagree stand beside.
func TestAnaestheticCountsAll(t *testing.T) {
	in := `{"amounts":[{"what":"Gel","strength":"2 %","volume":"1"},{"what":"Intracameral","strength":"1 %","volume":"0.5"},{"what":"Sub-Tenon's","strength":"20 mg/mL","volume":"5"}],"weight":"40","limit":"3 mg per kg"}`
	w := reckon(t, "lidocaine total", in)
	if result(t, w, "total") != "125" || result(t, w, "over") != "5" || len(w.Stops) != 1 || !strings.Contains(w.Stops[0], "over the limit of 120 mg by 5 mg") {
		t.Errorf("%+v", w)
	}
	beside := strings.Join(w.Beside, "\n")
	for _, want := range []string{"3 mg per kg, here 120 mg", "4.5 mg per kg, at most 300 mg, here 180 mg", "7 mg per kg, at most 500 mg, here 280 mg", "at most 200 mg, here 200 mg"} {
		if !strings.Contains(beside, want) {
			t.Errorf("%q is not beside:\n%s", want, beside)
		}
	}
	if !strings.Contains(strings.Join(w.Cautions, "\n"), "Labels disagree. This is held against a national drug label: 3 mg per kg") {
		t.Errorf("%v", w.Cautions)
	}
}

func TestAnaestheticOwnLimit(t *testing.T) {
	for _, c := range []struct{ limit, most, held, beside string }{
		{"", "150", "This is held against the unit's own limit: 3 mg per kg, at most 150 mg.", "A national drug label: 3 mg per kg, here 180 mg."},
		// A label that is chosen holds, and the unit's own stands beside it.
		{"at most 200 mg, plain", "200", "This is held against a British-style label, without adrenaline: at most 200 mg.", "The unit's own limit: 3 mg per kg, at most 150 mg, here 150 mg."},
	} {
		w := reckon(t, "lidocaine total", `{"amounts":[{"what":"Block","strength":"2 %","volume":"5"}],"weight":"60","per_kg":"3","most":"150","limit":"`+c.limit+`"}`)
		if result(t, w, "limit") != c.most || !strings.Contains(w.Cautions[0], c.held) || !slices.Contains(w.Beside, c.beside) {
			t.Errorf("%s: %+v", c.limit, w)
		}
	}
}

// The screen fills in what the unit has set; checklist has the setting under this name and in this unit of measure.
func TestAnaestheticFieldNamesItsSetting(t *testing.T) {
	for _, c := range Calculations {
		for _, f := range c.Fields {
			if (f.Setting == "local-anaesthetic-limit") != (f.ID == "per_kg") || f.Setting != "" && f.Unit != "mg per kg" {
				t.Errorf("%s, %s is filled in from %q in %s", c.Name, f.ID, f.Setting, f.Unit)
			}
		}
	}
}

func TestAnaestheticRefuses(t *testing.T) {
	block := `"amounts":[{"what":"Block","strength":"2 %","volume":"5"}]`
	for _, c := range []struct{ name, in, path string }{
		{"no weight for a limit that needs it", `{` + block + `,"limit":"3 mg per kg"}`, "weight"},
		{"own limit without figures", `{` + block + `,"weight":"60"}`, "per_kg"},
		{"nothing given", `{"amounts":[],"limit":"at most 200 mg, plain"}`, "amounts"},
		{"a strength in units", `{"amounts":[{"what":"Block","strength":"5 units/mL","volume":"5"}],"limit":"at most 200 mg, plain"}`, "amounts/1/strength"},
		{"weight in pounds", `{` + block + `,"weight":"450","limit":"3 mg per kg"}`, "weight"},
	} {
		if _, ps := Reckon("lidocaine total", json.RawMessage(c.in)); len(ps) != 1 || ps[0].Path != c.path {
			t.Errorf("%s: %+v", c.name, ps)
		}
	}
}
