package cards

import (
	"encoding/json"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Every starter recipe comes out at the strength and dose written on it, is not
// confirmed, says who must confirm it, and keeps the rules of writing.
func TestStarterRecipes(t *testing.T) {
	seen := map[Key]bool{}
	for _, r := range StarterRecipes() {
		w, ps := CheckRecipe(r)
		if len(ps) > 0 {
			t.Errorf("%s: %v", r.ID, ps)
		}
		if seen[r.ID] || !ValidKey(string(r.ID)) || r.Confirmed || !strings.Contains(r.Mark, "For the unit's pharmacist to confirm") {
			t.Errorf("%s: twice %v, confirmed %v, mark %q", r.ID, seen[r.ID], r.Confirmed, r.Mark)
		}
		seen[r.ID] = true
		cautions := strings.Join(w.Cautions, "\n")
		for _, want := range []string{cautionPrepared, forPharmacist} {
			if !strings.Contains(cautions, want) {
				t.Errorf("%s lacks %q", r.ID, want)
			}
		}
		for _, text := range append([]string{r.Title, r.Note, r.Mark}, append(w.Steps, w.Cautions...)...) {
			if ps := CheckWords("x", string(r.ID), text, false); len(ps) > 0 {
				t.Errorf("%v", ps)
			}
		}
	}
	if len(seen) < 15 {
		t.Errorf("only %d recipes", len(seen))
	}
}

// What the recipes give, each by the source named in it.
func TestRecipesGive(t *testing.T) {
	want := map[Key]string{
		"cefuroxime-750-mg": "1", "cefuroxime-250-mg": "1", "cefuroxime-250-mg-large": "1", "cefuroxime-50-mg": "1",
		"moxifloxacin-0-5": "0.5", "moxifloxacin-0-1": "0.1", "moxifloxacin-0-15": "0.15",
		"phenylephrine-from-2-5": "9", "phenylephrine-from-10": "9", "carbachol": "0.05", "acetylcholine": "5",
		"lidocaine-intracameral": "5", "trypan-blue": "0.06",
	}
	for _, r := range StarterRecipes() {
		if mg, has := want[r.ID]; has {
			w, _ := CheckRecipe(r)
			if got := result(t, w, "dose"); got != mg {
				t.Errorf("%s gives %s mg, want %s", r.ID, got, mg)
			}
			delete(want, r.ID)
		}
	}
	for id := range want {
		t.Errorf("there is no recipe %s", id)
	}
}

const cefuroxime = `{"drug":"Cefuroxime","vial":"750","vial_unit":"mg","steps":[{"add":"7.5","diluent":"saline","syringe":"10"},{"take":"1","add":"9","syringe":"10"}],"final":"10 mg/mL","give":"0.1","dose":"1","dose_unit":"mg"}`

func TestRecipeWorking(t *testing.T) {
	w := reckon(t, "recipe", cefuroxime)
	steps := []string{"Step 1: 750 mg + 7.5 mL saline = 100 mg/mL", "Step 2: 1 mL of 100 mg/mL + 9 mL diluent = 10 mL of 10 mg/mL", "Given: 0.1 mL × 10 mg/mL = 1 mg"}
	if strings.Join(w.Steps, "\n") != strings.Join(steps, "\n") {
		t.Errorf("steps:\n%s", strings.Join(w.Steps, "\n"))
	}
	if label := strings.Join(w.SyringeLabel, "|"); label != "Cefuroxime|10 mg per mL|Time made up: ________" {
		t.Errorf("label %s", label)
	}
}

// Each recipe has one slip. The first two are the published harms: 9 mg in
// 0.1 mL given to 13 eyes, and a 50 mg vial used as 50 mg/mL.
func TestRecipeFinds(t *testing.T) {
	for _, c := range []struct{ name, in, code, path, says string }{
		{"second step missing", `{"drug":"Cefuroxime","vial":"750","vial_unit":"mg","steps":[{"add":"7.5"}],"final":"10 mg/mL","give":"0.1","dose":"1","dose_unit":"mg"}`,
			"missing step", "final", "100 mg/mL, but 10 mg/mL is meant: 10 times too much"},
		{"only the dose is written", `{"drug":"Cefuroxime","vial":"750","vial_unit":"mg","steps":[{"add":"7.5"}],"give":"0.1","dose":"1","dose_unit":"mg"}`,
			"missing step", "dose", "10 mg, but 1 mg is meant"},
		{"50 mg vial as 50 mg/mL", `{"drug":"Cefuroxime","ready":"50 mg/mL","final":"10 mg/mL","give":"0.1"}`, "missing step", "final", "5 times too much"},
		{"dose out by ten", strings.Replace(cefuroxime, `"dose":"1"`, `"dose":"10"`, 1), "ten times", "dose", "1 mg, but 10 mg is meant: 10 times too little"},
		{"strength after a step out by ten", strings.Replace(cefuroxime, `"take":"1","add":"9"`, `"take":"1","add":"9","reach":"1 mg/mL"`, 1), "ten times", "steps/2/reach", "10 times too much"},
		{"diluent out by ten", strings.Replace(cefuroxime, `"add":"7.5"`, `"add":"75"`, 1), "too large", "steps/1/syringe", "75 mL does not fit"},
		{"wrong volume", strings.Replace(cefuroxime, `"add":"9"`, `"add":"4"`, 1), "strength", "final", "20 mg/mL, but 10 mg/mL is meant: 2 times too much"},
		{"more than there is", strings.Replace(cefuroxime, `"take":"1"`, `"take":"8"`, 1), "takes more", "steps/2/take", "only 7.5 mL"},
		{"powder taken by volume", strings.Replace(cefuroxime, `{"add":"7.5"`, `{"take":"1","add":"7.5"`, 1), "contradiction", "steps/1/take", "all of it"},
		{"powder without a step", `{"drug":"Cefuroxime","vial":"50","vial_unit":"mg","final":"10 mg/mL"}`, "missing step", "steps", "dissolves"},
		{"powder without a unit", `{"drug":"Cefuroxime","vial":"50","steps":[{"add":"5"}],"final":"10 mg/mL"}`, "empty", "vial_unit", "no unit"},
		{"no start", `{"drug":"Cefuroxime","final":"10 mg/mL"}`, "empty", "vial", "starts from"},
		{"two starts", `{"drug":"Cefuroxime","vial":"50","vial_unit":"mg","ready":"1 %","steps":[{"add":"5"}],"final":"10 mg/mL"}`, "contradiction", "vial", "Keep the one"},
		{"nothing to check", `{"drug":"Cefuroxime","ready":"1 %"}`, "empty", "final", "nothing can be checked"},
		{"ready solution without a volume", `{"drug":"Moxifloxacin","ready":"0.5 %","steps":[{"add":"7"}],"final":"1.5 mg/mL"}`, "empty", "steps/1/take", "how much is taken"},
		{"ambiguous ratio", `{"drug":"Phenylephrine","ready":"1:3","final":"1.5 mg/mL"}`, "strength", "ready", "ambiguous"},
		{"units and mg", `{"drug":"Hyaluronidase","vial":"1500","vial_unit":"units","steps":[{"add":"10"}],"final":"150 mg/mL"}`, "units", "final", "same kind of unit"},
		{"dose without a volume", `{"drug":"Moxifloxacin","ready":"0.5 %","dose":"500","dose_unit":"micrograms"}`, "empty", "give", "volume given is not written"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w, ps := Reckon("recipe", json.RawMessage(c.in))
			if len(w.Result)+len(w.SyringeLabel) > 0 {
				t.Errorf("a wrong recipe has a result: %+v", w)
			}
			for _, p := range ps {
				if p.Level == LevelError && p.Code == c.code && p.Path == c.path && strings.Contains(p.Text, c.says) {
					return
				}
			}
			t.Errorf("want %s at %s saying %q, got %+v", c.code, c.path, c.says, ps)
		})
	}
}

func TestRecipeWarns(t *testing.T) {
	for _, c := range []struct{ name, in, says string }{
		{"1 mL syringe", `{"drug":"Phenylephrine","ready":"2.5 %","steps":[{"take":"0.6","add":"0.4","syringe":"1"}],"final":"1.5 %"}`, "Do not mix in a 1 mL syringe"},
		{"no syringe named, 1 mL made", `{"drug":"Phenylephrine","ready":"2.5 %","steps":[{"take":"0.6","add":"0.4"}],"final":"1.5 %"}`, "Do not mix in a 1 mL syringe"},
		{"less than 0.1 mL", `{"drug":"Phenylephrine","ready":"10 %","steps":[{"take":"0.05","add":"4.95"}],"final":"0.1 %"}`, "less than 0.1 mL"},
		{"powder volume", cefuroxime, "volume of the powder itself is not counted"},
	} {
		if w := reckon(t, "recipe", c.in); !strings.Contains(strings.Join(w.Cautions, "\n"), c.says) {
			t.Errorf("%s: %v", c.name, w.Cautions)
		}
	}
}

// Rounded strengths pass: 0.5 mL of 1 mg/mL in 500 mL is 0.999 micrograms/mL
// and written as 1. A slip by ten anywhere in the chain never does.
func TestRecipeSlipsAreFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		take := rapid.Int64Range(1, 5).Draw(t, "take")
		parts := rapid.Int64Range(1, 20).Draw(t, "parts")
		vial := rapid.Int64Range(1, 1000).Draw(t, "vial")
		r := Recipe{Drug: "Drug", Vial: Measure{Whole(vial), "mg"}, Give: MustQuantity("0.1"),
			Steps: []RecipeStep{{Add: Whole(10)}, {Take: Whole(take), Add: Whole(take * parts)}}}
		final := over(ratio(Whole(vial)), times(ratio(Whole(10)), plus(ratOne, ratio(Whole(parts)))))
		q, err := ParseQuantity(rounded(times(final, ratThousand), 3))
		if err != nil || q.Millionths() < 100_000 {
			return
		}
		r.Final = Strength{q, "micrograms/mL"}
		if _, ps := CheckRecipe(r); len(ps) > 0 {
			t.Fatalf("a right recipe is refused: %v", ps)
		}
		slip := r
		switch rapid.IntRange(0, 2).Draw(t, "slip") {
		case 0:
			slip.Vial.Value = Whole(vial * 10)
		case 1:
			slip.Final.Value = FromMillionths(q.Millionths() * 10)
		case 2:
			slip.Steps = r.Steps[:1]
		}
		if _, ps := CheckRecipe(slip); len(ps.Errors()) == 0 {
			t.Fatalf("the slip is not found: %+v", slip)
		}
	})
}

func TestRecipeTravelsAsJSON(t *testing.T) {
	for _, r := range StarterRecipes() {
		b, err := json.Marshal(r)
		var back Recipe
		if err != nil || json.Unmarshal(b, &back) != nil {
			t.Fatalf("%s: %v", b, err)
		}
		if again, _ := json.Marshal(back); string(again) != string(b) {
			t.Errorf("%s comes back as %s", b, again)
		}
	}
}
