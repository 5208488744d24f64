package cards

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestBigChange(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"60", "60", ""}, {"60", "119", ""}, {"60", "31", ""}, {"", "60", ""}, {"60", "", ""},
		{"60", "120", "2 times as much"}, {"60", "30", "2 times less"}, {"40", "100", "2.5 times as much"}, {"30", "200", "about 6.667 times as much"},
		{"0.1", "1", "10 times as much; is a zero or the decimal point out of place?"},
		{"350", "35", "10 times less; is a zero or the decimal point out of place?"},
		{"0.5", "50", "100 times as much; is a zero or the decimal point out of place?"},
		{"0", "50", "from 0 to 50"}, {"50", "0", "from 50 to 0"}, {"-1.5", "1.5", "the sign changes"}, {"-1", "-3", "3 times as much"},
	} {
		got, ask := BigChange(MustQuantity(c.old), MustQuantity(c.new))
		if got != c.want || ask != (c.want != "") {
			t.Errorf("%q to %q: %q, %v; want %q", c.old, c.new, got, ask, c.want)
		}
	}
}

// A slip of the decimal point always asks and is named, both ways; the way back asks too.
func TestBigChangeLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 1_000_000_000).Draw(t, "millionths")
		m := rapid.Int64Range(1, 1_000_000_000).Draw(t, "other")
		for _, pair := range [][2]int64{{n, n * 10}, {n * 10, n}} {
			if words, ask := BigChange(FromMillionths(pair[0]), FromMillionths(pair[1])); !ask || !strings.Contains(words, "decimal point") {
				t.Fatalf("%v: %q", pair, words)
			}
		}
		_, there := BigChange(FromMillionths(n), FromMillionths(m))
		_, back := BigChange(FromMillionths(m), FromMillionths(n))
		if there != back || there != (n >= 2*m || m >= 2*n) {
			t.Fatalf("%d to %d asks %v, back %v", n, m, there, back)
		}
	})
}

// Every number of a card is asked about by the same rule, wherever it stands.
func TestLargeChanges(t *testing.T) {
	old := Card{
		Basics:  Basics{EyepieceLeft: MustQuantity("-1.5"), MainWidth: MustQuantity("2.2")},
		Machine: Machine{TipAngle: MustQuantity("30"), Profile: "6"},
		Drugs: []Drug{{Key: "cefuroxime", Name: "Cefuroxime", Strength: Measure{MustQuantity("10"), "mg/mL"},
			Dose: Measure{MustQuantity("1"), "mg"}, Volume: MustQuantity("0.1")}},
		Phases:   []Phase{{Key: "chop", Name: "Chop", Limits: Limits{Vacuum: MustQuantity("35"), Flow: MustQuantity("40")}}},
		Variants: []Variant{{Key: "dense", Title: "Dense", Phases: []PhaseChange{{Phase: "chop", Limits: Limits{Vacuum: MustQuantity("400")}}}}},
	}
	for _, c := range []struct {
		why    string
		change func(*Card)
		want   string // label: from → to (factor); "" when nothing is asked
	}{
		{"nothing", func(c *Card) {}, ""},
		{"less than double", func(c *Card) { c.Phases[0].Limits.Vacuum = MustQuantity("69") }, ""},
		{"a limit, ten times", func(c *Card) { c.Phases[0].Limits.Vacuum = MustQuantity("350") },
			"Chop: vacuum: 35 mmHg → 350 mmHg (10 times as much; is a zero or the decimal point out of place?)"},
		{"a limit to nothing", func(c *Card) { c.Phases[0].Limits.Flow = MustQuantity("0") }, "Chop: aspiration flow: 40 mL/min → 0 mL/min (from 40 to 0)"},
		{"a limit not stated any more", func(c *Card) { c.Phases[0].Limits.Flow = Quantity{} }, ""},
		{"a first entry", func(c *Card) { c.Phases[0].Limits.Bottle = MustQuantity("90") }, ""},
		{"a variant, half", func(c *Card) { c.Variants[0].Phases[0].Limits.Vacuum = MustQuantity("200") }, "Dense, Chop: vacuum: 400 mmHg → 200 mmHg (2 times less)"},
		{"the sign of an eyepiece", func(c *Card) { c.Basics.EyepieceLeft = MustQuantity("1.5") }, "Left eyepiece: -1.5 D → 1.5 D (the sign changes)"},
		{"the machine", func(c *Card) { c.Machine.TipAngle = MustQuantity("60") }, "Tip angle: 30 degrees → 60 degrees (2 times as much)"},
		{"words are no numbers", func(c *Card) { c.Machine.Profile = "60" }, ""},
		{"a strength", func(c *Card) { c.Drugs[0].Strength.Value = MustQuantity("100") },
			"Cefuroxime: strength: 10 mg/mL → 100 mg/mL (10 times as much; is a zero or the decimal point out of place?)"},
		{"the unit of a dose", func(c *Card) { c.Drugs[0].Dose.Unit = "micrograms" }, "Cefuroxime: dose: 1 mg → 1 micrograms (the unit changes)"},
		{"a volume", func(c *Card) { c.Drugs[0].Volume = MustQuantity("0.5") }, "Cefuroxime: volume: 0.1 mL → 0.5 mL (5 times as much)"},
		{"another drug", func(c *Card) { c.Drugs[0].Key = "other" }, ""},
	} {
		now := old
		now.Phases = append([]Phase(nil), old.Phases...)
		now.Drugs = append([]Drug(nil), old.Drugs...)
		now.Variants = []Variant{old.Variants[0]}
		now.Variants[0].Phases = append([]PhaseChange(nil), old.Variants[0].Phases...)
		c.change(&now)
		var got []string
		for _, l := range LargeChanges(old, now) {
			got = append(got, l.Label+": "+l.From+" → "+l.To+" ("+l.Factor+")")
		}
		if strings.Join(got, "; ") != c.want {
			t.Errorf("%s: %q, want %q", c.why, got, c.want)
		}
	}
}

// A first entry has no old value beside it: it is held against the usual range
// of its phase, and asked about where a slip of the decimal point would explain it.
// Usual ranges: training texts, value from memory, unconfirmed.
func TestFirstEntriesOutByTenAreAsked(t *testing.T) {
	for _, c := range []struct {
		why   string
		kind  PhaseKind
		id    ParameterID
		value string
		asks  bool
	}{
		{"usual", Chop, "vacuum", "350", false}, {"a digit lost", Chop, "vacuum", "35", true}, {"a digit too many", Polish, "vacuum", "150", true},
		{"unusual, but no slip of ten", Chop, "vacuum", "200", false}, {"far beyond", Polish, "vacuum", "600", true}, {"next to nothing", Chop, "vacuum", "2", true},
		{"nothing at all", Sculpt, "flow", "0", true}, {"a phase without a usual range", "", "vacuum", "3", false}, {"no usual range", Chop, "burst_length", "2000", false},
		{"incision, ten times", "", "main_width", "22", true}, {"incision, usual", "", "main_width", "2.2", false}, {"not stated", Chop, "vacuum", "", false},
	} {
		p, _ := ParameterByID(c.id)
		if words, asks := FirstEntry(p, c.kind, MustQuantity(c.value)); asks != c.asks || asks != strings.Contains(words, "decimal point") {
			t.Errorf("%s: asks %v, %q", c.why, asks, words)
		}
	}
	to := Card{Phases: []Phase{{Key: "chop", Name: "Chop", Kind: Chop, Limits: Limits{Vacuum: MustQuantity("35")}}},
		Variants: []Variant{{Key: "dense", Title: "Dense", Phases: []PhaseChange{{Phase: "chop", Limits: Limits{Vacuum: MustQuantity("40")}}}}}}
	var got []string
	for _, l := range LargeChanges(Card{}, to) {
		got = append(got, l.Path+": "+l.From+" → "+l.To)
	}
	if want := "phases/chop/vacuum: not stated → 35 mmHg; variants/dense/chop/vacuum: not stated → 40 mmHg"; strings.Join(got, "; ") != want {
		t.Errorf("%q, want %q", got, want)
	}
	if again := LargeChanges(to, to); len(again) > 0 {
		t.Errorf("what was said to be meant is asked again: %v", again)
	}
}

// Where a change is asked about, the editor must find the field: the path is the one that Check uses.
func TestLargeChangesStandWhereTheProblemsDo(t *testing.T) {
	with := func(vacuum string) Card {
		return Card{Phases: []Phase{{Key: "chop", Name: "Chop", Kind: Chop, Limits: Limits{Vacuum: MustQuantity(vacuum)}}}}
	}
	large := LargeChanges(with("350"), with("3500"))
	if len(large) != 1 || !hasPath(Check(with("3500")).Errors(), large[0].Path) {
		t.Errorf("asked at %+v, refused at %v", large, Check(with("3500")).Errors())
	}
}

func hasPath(list Problems, path string) bool {
	for _, p := range list {
		if p.Path == path {
			return true
		}
	}
	return false
}

// TestIdentity holds what is taken for a patient's number or birthday. The
// numbers are invented.
func TestIdentity(t *testing.T) {
	for text, asks := range map[string]bool{
		"": false, "Vacuum up to 350 mmHg at 40 mL/min": false, "0.5 mL of 10 mg/mL": false, "Sits at 12 o'clock": false, "no digits at all": false,
		"born 1.2.1950": true, "1950-02-01": true, "01/02/50": true, "1 Feb 1950": true, "number 12345678": true, "485 777 3456": true,
	} {
		if got := len(Identity("note", "Note", text)) == 1; got != asks {
			t.Errorf("%q: warned is %v, want %v", text, got, asks)
		}
	}
}

// The texts of a card are looked at wherever they stand; a source may hold a year and a day.
func TestCheckFindsIdentityInEveryText(t *testing.T) {
	const text = "patient 12345678"
	c := Card{Title: text, Notes: text,
		Items: []Item{{Key: "a", Name: text, Note: text}}, Drugs: []Drug{{Key: "b", Name: "Drug", Prepared: text, Note: text}},
		Phases: []Phase{{Key: "chop", Name: "Chop", Note: text}}, Steps: []Step{{Key: "c", Title: text, Do: text, Checkpoint: text}},
		Triggers: []Trigger{{Key: "d", Title: text, Seen: text, Say: text, Surgeon: []string{text}, NextStep: text, Source: text}},
		Variants: []Variant{{Key: "e", Title: text, Note: text}}, Fit: []Fit{{Reason: text}}, Extra: []Section{{Title: "Own", Body: text}}}
	got := map[string]bool{}
	for _, p := range Check(c).Cautions() {
		if p.Code == CodeIdentity {
			got[p.Path] = true
		}
	}
	for _, path := range []string{"title", "notes", "items/a/name", "items/a/note", "drugs/b/prepared", "drugs/b/note", "phases/chop/note", "steps/c/title", "steps/c/do",
		"steps/c/checkpoint", "triggers/d/title", "triggers/d/seen", "triggers/d/say", "triggers/d", "triggers/d/next", "variants/e/title", "variants/e/note", "fit/1", "extra"} {
		if !got[path] {
			t.Errorf("nothing is said about %s", path)
		}
	}
	if got["triggers/d/source"] {
		t.Error("a source was taken for a patient")
	}
}
