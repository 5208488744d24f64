package checklist

import (
	"strings"
	"testing"

	"sideport/cards"
)

// Source: customary correspondence of the clinical grade, LOCS III opalescence
// and the five grades (trade teaching; no agreed conversion; value from memory, unconfirmed).
func TestNucleusGradeFollowsTheCustomaryCorrespondence(t *testing.T) {
	for entry, want := range map[string]string{
		"nucleus-clinical=trace": "1", "nucleus-clinical=1+": "1", "nucleus-clinical=2+": "2", "nucleus-clinical=3+": "3", "nucleus-clinical=4+": "4",
		"nucleus-locs=0.1": "1", "nucleus-locs=1.9": "1",
		"nucleus-locs=2": "2", "nucleus-locs=2.9": "2",
		"nucleus-locs=3": "3", "nucleus-locs=3.9": "3",
		"nucleus-locs=4": "4", "nucleus-locs=4.9": "4",
		"nucleus-locs=5": "5", "nucleus-locs=6.9": "5",
		"brunescent=yes": "5",
	} {
		a, cautions := Derive(plainCase(entry))
		if got := a.answer(cards.NucleusGrade); got != want || len(cautions) > 0 {
			t.Errorf("%s: grade %q with %v, want %q", entry, got, cautions, want)
		}
		f, _ := cards.FactorByID(cards.NucleusGrade)
		if !strings.Contains(a.factText(f), "approximate") {
			t.Errorf("%s: %q does not say that it is approximate", entry, a.factText(f))
		}
	}
}

func TestTwoNucleusScales(t *testing.T) {
	for _, row := range []struct {
		name  string
		facts []string
		want  string
		code  string
	}{
		{"the higher grade counts", []string{"nucleus-locs=3.2", "nucleus-clinical=4+"}, "4", ""},
		{"two grades apart is pointed out", []string{"nucleus-locs=2.5", "nucleus-clinical=4+"}, "4", "nucleus scales"},
		{"brunescent beside a low scale", []string{"nucleus-locs=3", "brunescent=yes"}, "5", "nucleus scales"},
		{"not brunescent says nothing about the grade", []string{"nucleus-locs=3", "brunescent=no"}, "3", ""},
		{"a scale that is not known is not used", []string{"nucleus-locs=not known", "nucleus-clinical=2+"}, "2", ""},
		{"nothing entered is not known", []string{"brunescent=no"}, "", ""},
	} {
		a, cautions := Derive(plainCase(row.facts...))
		code := ""
		if len(cautions) > 0 {
			code = cautions[0].Code
		}
		if got := a.answer(cards.NucleusGrade); got != row.want || code != row.code {
			t.Errorf("%s: grade %q, caution %q; want %q, %q", row.name, got, code, row.want, row.code)
		}
	}
}

func TestFactsAreReadAsWords(t *testing.T) {
	for entry, want := range map[string]string{
		"lens-power=-2.5":          "minus 2.5 D", // a hyphen before a power is easily overlooked
		"lens-power=21.5":          "21.5 D",
		"allergies=none":           "none",
		"allergies=latex,iodine":   "iodine, latex", // the order of entry never shows
		"allergies=not known":      "not known",
		"dilated-pupil=4.50":       "4.5 mm", // no trailing zero
		"alpha-blocker=tamsulosin": "tamsulosin",
	} {
		id, _, _ := strings.Cut(entry, "=")
		f, _ := cards.FactorByID(cards.FactorID(id))
		a, _ := Derive(plainCase(entry))
		if got := a.factText(f); got != want {
			t.Errorf("%s reads %q, want %q", entry, got, want)
		}
	}
}

func notKnownIDs(facts ...string) map[cards.FactorID]bool {
	a, _ := Derive(plainCase(facts...))
	out := map[cards.FactorID]bool{}
	for _, l := range a.notKnown() {
		out[l.Factor] = true
	}
	return out
}

func TestNotKnownListsWhatIsWorthAsking(t *testing.T) {
	for _, row := range []struct {
		facts  string
		factor cards.FactorID
		listed bool
	}{
		{"anticoagulant=no", "inr", false}, // no INR without an anticoagulant
		{"anticoagulant=warfarin", "inr", true},
		{"toric=no", "toric-axis", false},
		{"toric=yes", "toric-axis", true},
		{"diabetes=not known", "diabetes", true}, // an answer, and still not known
		{"diabetes=no", "diabetes", false},
		{"diabetes=no", "glaucoma", true},
		{"nucleus-locs=3", "nucleus-clinical", false}, // one scale is enough
		{"diabetes=no", "nucleus-clinical", true},
		{"diabetes=no", "allergy-other", false}, // free text is not asked for
		{"diabetes=no", cards.NucleusGrade, false},
	} {
		if got := notKnownIDs(row.facts)[row.factor]; got != row.listed {
			t.Errorf("with %s: %s listed as not known is %v, want %v", row.facts, row.factor, got, row.listed)
		}
	}
}
