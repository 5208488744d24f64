package cards

import (
	"encoding/json"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestDilutionTable(t *testing.T) {
	for _, row := range published(t, "dilutions.csv") {
		got, unit, ok := Dilute(MustStrength(row[0]), MustQuantity(row[1]), MustQuantity(row[2]))
		if !ok || unit != "mg" {
			t.Fatalf("%v: %s, %v", row, unit, ok)
		}
		agrees(t, row[4], times(got, ratThousand), row[3])
	}
}

// No drug is lost or gained: C1 × V1 = C2 × V2, and making up what Dilute gives
// needs the volumes it was given.
func TestDilutionKeepsTheDrug(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c1 := Strength{FromMillionths(rapid.Int64Range(1, 100_000_000).Draw(t, "percent")), "%"}
		take := FromMillionths(rapid.Int64Range(1, 100_000_000).Draw(t, "take"))
		add := FromMillionths(rapid.Int64Range(0, 500_000_000).Draw(t, "add"))
		before, _ := c1.perMillilitre()
		after, _, ok := Dilute(c1, take, add)
		if !ok || after.Cmp(before) > 0 {
			t.Fatalf("%s with %s and %s: %v", c1, take, add, after)
		}
		total := plus(ratio(take), ratio(add))
		if times(before, ratio(take)).Cmp(times(after, total)) != 0 {
			t.Fatalf("drug is lost: %s with %s and %s", c1, take, add)
		}
		tenth := Strength{FromMillionths(c1.Value.Millionths() * 10), "%"}
		if v, a, ok := MakeUp(tenth, c1, Whole(10)); !ok || v.Cmp(ratOne) != 0 || a.FloatString(0) != "9" {
			t.Fatalf("a tenth of %s is not 1 and 9: %v %v", tenth, v, a)
		}
	})
}

func TestMakeUpWorking(t *testing.T) {
	// Phenylephrine 1.5 % from 10 %, by calculation.
	w := reckon(t, "make up", `{"strength":"10 %","wanted":"1.5 %","volume":"10","syringe":"10"}`)
	if result(t, w, "take") != "1.5" || result(t, w, "add") != "8.5" || strings.Contains(strings.Join(w.Cautions, " "), "1 mL syringe") {
		t.Errorf("%+v", w)
	}
	// The same in 1 mL is what the published comparison warns of.
	w = reckon(t, "make up", `{"strength":"10 %","wanted":"1.5 %","volume":"1"}`)
	if result(t, w, "take") != "0.15" || result(t, w, "add") != "0.85" || !strings.Contains(strings.Join(w.Cautions, " "), "Do not mix in a 1 mL syringe") {
		t.Errorf("%+v", w)
	}
	w = reckon(t, "make up", `{"strength":"10 %","wanted":"0.5 %","volume":"1"}`)
	if !strings.Contains(strings.Join(w.Cautions, " "), "Less than 0.1 mL is drawn") {
		t.Errorf("no caution about drawing 0.05 mL: %v", w.Cautions)
	}
}

// 1 part and 3 parts of 10 % is 2.5 %; read as 1 in 3 it would be 3.33 % (Guthrie, Eye 2018, found 1:3 the least reliable).
func TestPartsWorking(t *testing.T) {
	w := reckon(t, "parts", `{"strength":"10 %","drug":"1","diluent":"3"}`)
	if result(t, w, "percent") != "2.5" || !strings.Contains(strings.Join(w.Cautions, " "), "1 in 3, which is about 33.33 mg/mL") {
		t.Errorf("%+v", w)
	}
}

func TestDilutionRefuses(t *testing.T) {
	for _, c := range []struct{ name, in, code, says string }{
		{"make up", `{"strength":"1 %","wanted":"2 %","volume":"10"}`, "stronger", "cannot make it stronger"},
		{"make up", `{"strength":"1 %","wanted":"5 units/mL","volume":"10"}`, "units", "same kind of unit"},
		{"make up", `{"strength":"10 %","wanted":"1:3","volume":"10"}`, "strength", "ambiguous"},
		{"dilute", `{"strength":"10 %","take":"1","add":"9","syringe":"5"}`, "too large", "does not fit into a syringe of 5 mL"},
		{"dilute", `{"strength":"10 %","take":"0","add":"9"}`, "bounds", "0.001 to 1000 mL"},
	} {
		w, ps := Reckon(c.name, json.RawMessage(c.in))
		if len(ps) != 1 || ps[0].Code != c.code || !strings.Contains(ps[0].Text, c.says) || len(w.Result) > 0 {
			t.Errorf("%s %s: %+v, result %v", c.name, c.in, ps, w.Result)
		}
	}
}
