package cards

import "testing"

type facts map[FactorID][]string

func (f facts) Fact(id FactorID) ([]string, bool) {
	v, known := f[id]
	if len(v) == 1 && v[0] == NotKnown {
		return nil, false
	}
	return v, known
}

func TestHolds(t *testing.T) {
	eye := facts{
		"dilated-pupil":   {"4.5"},
		"white":           {No},
		"brunescent":      {NotKnown},
		"allergies":       {"iodine", "latex"},
		"allergy-other":   {},
		"alpha-blocker":   {"tamsulosin"},
		"axial-length":    {"26"},
		"lens-power":      {"-3.5"},
		"chamber-from":    {"epithelium"},
		"cannot-lie-flat": {Yes},
	}
	cases := []struct {
		test Test
		want Truth
	}{
		{Test{Factor: "dilated-pupil", Op: Below, Value: "5"}, True},
		{Test{Factor: "dilated-pupil", Op: Below, Value: "4.5"}, False}, // the bound itself is not below it
		{Test{Factor: "dilated-pupil", Op: AtMost, Value: "4.5"}, True},
		{Test{Factor: "axial-length", Op: AtLeast, Value: "26"}, True}, // 26 mm counts as long (Narendran 2009, value from memory, unconfirmed)
		{Test{Factor: "axial-length", Op: Above, Value: "26"}, False},
		{Test{Factor: "lens-power", Op: Below, Value: "0"}, True}, // the sign counts
		{Test{Factor: "white", Op: Is, Value: Yes}, False},
		{Test{Factor: "white", Op: IsNot, Value: Yes}, True},
		{Test{Factor: "brunescent", Op: Is, Value: Yes}, Unknown},    // "not known" is not "no"
		{Test{Factor: "brunescent", Op: IsNot, Value: Yes}, Unknown}, // and not its opposite either
		{Test{Factor: "uveitis", Op: IsNot, Value: No}, Unknown},     // nobody asked
		{Test{Factor: "allergies", Op: Includes, Value: "latex"}, True},
		{Test{Factor: "allergies", Op: Includes, Value: "penicillin"}, False},
		{Test{Factor: "allergy-other", Op: IsNot, Value: None}, False}, // asked, nothing written
		{Test{Factor: "alpha-blocker", Op: IsNot, Value: No}, True},
	}
	for _, c := range cases {
		if got := c.test.Holds(eye); got != c.want {
			t.Errorf("%s: got %d, want %d", c.test, got, c.want)
		}
	}
}

func TestAllHold(t *testing.T) {
	eye := facts{"white": {Yes}, "brunescent": {No}}
	white, brunescent, uveitis := Test{Factor: "white", Op: Is, Value: Yes}, Test{Factor: "brunescent", Op: Is, Value: Yes}, Test{Factor: "uveitis", Op: Is, Value: No}
	for _, c := range []struct {
		name  string
		tests []Test
		want  Truth
	}{
		{"nothing asked holds", nil, True},
		{"one false decides", []Test{white, uveitis, brunescent}, False},
		{"not known without a false", []Test{white, uveitis}, Unknown},
		{"all true", []Test{white}, True},
	} {
		if got := AllHold(c.tests, eye); got != c.want {
			t.Errorf("%s: got %d, want %d", c.name, got, c.want)
		}
	}
}

// Ensure that every factor's own vocabulary is legal: comparisons exist, bounds are in order, options are unique.
func TestFactorVocabulary(t *testing.T) {
	seen := map[FactorID]bool{}
	for _, f := range Factors {
		if seen[f.ID] || !ValidKey(string(f.ID)) {
			t.Errorf("factor %q stands twice or is no key", f.ID)
		}
		seen[f.ID] = true
		if len(Ops[f.Kind]) == 0 {
			t.Errorf("factor %q has the kind %q, which has no comparison", f.ID, f.Kind)
		}
		if f.Kind == FactorNumber && (f.Min.Cmp(f.Max) >= 0 || f.Step.Millionths() <= 0 || f.Source == "") {
			t.Errorf("factor %q: bounds %s to %s step %s, source %q", f.ID, f.Min, f.Max, f.Step, f.Source)
		}
		if contains(f.Options, NotKnown) {
			t.Errorf("factor %q lists “not known” as an option of its own", f.ID)
		}
	}
}
