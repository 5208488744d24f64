package risk

import (
	"slices"
	"strings"
	"testing"

	"sideport/cards"
	"sideport/checklist"
)

func lineOf(t *testing.T, r Result, item string) Line {
	t.Helper()
	for _, l := range r.Lines {
		if l.Item == item {
			return l
		}
	}
	t.Fatalf("%s has no line %q", r.Model, item)
	return Line{}
}

// What is not known never reads as the reference level: unknown pupil and
// depth are not "large" and "normal".
func TestNotKnownGivesARange(t *testing.T) {
	f, g := with("dilated-pupil=not_known pupil-category=not_known chamber-depth=not_known")
	score := assessed(t, PointScore, f, g)
	if score.low.points != 0 || score.high.points != 2 {
		t.Errorf("%d to %d points, want 0 to 2", score.low.points, score.high.points)
	}
	for _, item := range []string{"small-pupil", "shallow-chamber"} {
		if l := lineOf(t, score, item); l.State != LineNotKnown || l.Effect != "0 to 1 point" || l.Level != "no or yes" {
			t.Errorf("%s: %+v", item, l)
		}
	}
	ratios := assessed(t, OddsRatios, f, g)
	l := lineOf(t, ratios, "pupil")
	if l.State != LineNotKnown || l.Effect != "× 1 to × 1.45" || l.Level != "large or medium or small" {
		t.Errorf("pupil: %+v", l)
	}
	if ratios.low.ratio.Cmp(rat("1")) != 0 || ratios.high.ratio.Cmp(rat("1.45")) != 0 {
		t.Errorf("ratio %v to %v", ratios.low.ratio, ratios.high.ratio)
	}
}

// With nothing known the range runs from the lightest to the heaviest the
// model can say, and the words say so.
func TestNothingKnown(t *testing.T) {
	for _, row := range []struct {
		id              ModelID
		group, estimate string
		known, notAsked int
	}{
		{PointScore, "low to high", "1.55 to 8", 0, 0},
		{NewZealand, "not high or high", "", 0, 0},
		{OddsRatios, "low to high", "0.27 to 94", 0, 2},
	} {
		r := assessed(t, row.id, checklist.Answers{}, nil)
		if r.Headline[0].Value != row.group || (row.estimate != "" && r.Headline[1].Value != row.estimate) {
			t.Errorf("%s: %v", row.id, r.Headline)
		}
		count := map[LineState]int{}
		for _, l := range r.Lines {
			count[l.State]++
			if len(l.Missing) == 0 || len(l.Because) > 0 {
				t.Errorf("%s: nothing is known, but %+v", row.id, l)
			}
		}
		if count[LineNotAsked] != row.notAsked || count[LineCounted]+count[LineNot] != row.known {
			t.Errorf("%s: %v", row.id, count)
		}
	}
}

func TestNotAskedIsToldFromNotKnown(t *testing.T) {
	for _, row := range []struct {
		about, changes, item string
		model                ModelID
		state                LineState
		missing              string
	}{
		{"an input nobody gave", "sex=", "sex", OddsRatios, LineNotAsked, "Sex: not asked"},
		{"an input answered not known", "sex=not_known", "sex", OddsRatios, LineNotKnown, "Sex: not known"},
		{"a fact answered not known", "capsule-plaque=not_known", "capsule-plaque", PointScore, LineNotKnown, "Posterior capsule plaque: not known"},
		{"half an item not asked", "vitreous-opacities=", "no-fundal-view", OddsRatios, LineNotAsked, "Vitreous opacities: not asked"},
		{"half an item not known", "loose-zonules=not_known", "pseudoexfoliation-or-phacodonesis", OddsRatios, LineNotKnown, "Loose zonules or a moving lens: not known"},
		{"a surgeon whose grade nobody gave", "surgeon-grade= trainee=yes", "surgeon-grade", OddsRatios, LineNotAsked, "Grade of the surgeon: not asked"},
	} {
		f, g := with(row.changes)
		l := lineOf(t, assessed(t, row.model, f, g), row.item)
		if l.State != row.state || !slices.Equal(l.Missing, []string{row.missing}) {
			t.Errorf("%s: %+v", row.about, l)
		}
	}
}

// One finding settles an item of several, whatever is missing of the others.
func TestOneFindingIsEnough(t *testing.T) {
	for _, row := range []struct{ changes, item, effect string }{
		{"white=yes brunescent=not_known", "brunescent-or-white", "× 2.99"},
		{"fundal-view=no vitreous-opacities=", "no-fundal-view", "× 2.46"},
		{"pseudoexfoliation=yes loose-zonules=not_known", "pseudoexfoliation-or-phacodonesis", "× 2.92"},
		{"dilated-pupil=2.5 pupil-category=", "pupil", "× 1.45"},
		{"dilated-pupil=2.5 pupil-category=large", "pupil", "× 1.45"}, // the worse finding counts
		{"alpha-blocker=tamsulosin", "doxazosin", "× 1.51"},
		{"age-band=89", "age", "× 1.58"},
		{"axial-length=26", "axial-length", "× 1.47"},
	} {
		f, g := with(row.changes)
		if l := lineOf(t, assessed(t, OddsRatios, f, g), row.item); l.State != LineCounted || l.Effect != row.effect || l.Mark != "unconfirmed" {
			t.Errorf("%s: %+v", row.changes, l)
		}
	}
}

func TestSubstitutionsAreSaid(t *testing.T) {
	f, g := with("")
	for _, row := range []struct {
		model ModelID
		item  string
		says  string
	}{
		{OddsRatios, "doxazosin", "doxazosin; tamsulosin was not"},
		{OddsRatios, "diabetic-retinopathy", "Diabetic eye disease stands for it"},
		{OddsRatios, "pseudoexfoliation-or-phacodonesis", "Loose zonules"},
		{OddsRatios, "pupil", "no millimetres"},
		{PointScore, "phacodonesis", "Loose zonules"},
		{PointScore, "shallow-chamber", "from where"},
		{PointScore, "dense-cataract", "customary, approximate"},
		{PointScore, "other-risk", "Cannot lie flat"},
	} {
		if l := lineOf(t, assessed(t, row.model, f, g), row.item); !strings.Contains(l.Substituted, row.says) {
			t.Errorf("%s %s says %q, not %q", row.model, row.item, l.Substituted, row.says)
		}
	}
}

// The group stands first, the year last, the cautions with it.
func TestReadyToShow(t *testing.T) {
	a, _ := Assess(nothingWrong(), nothingGiven())
	for _, r := range a.Results {
		var ids []string
		for _, s := range r.Headline {
			ids = append(ids, s.ID)
		}
		want := []string{"group", "estimate", "score", "year"}
		if r.Model == NewZealand {
			want = []string{"group", "score", "year"}
		}
		if !slices.Equal(ids, want) {
			t.Errorf("%s shows %v, want %v", r.Model, ids, want)
		}
		if len(r.Cautions) == 0 || len(r.Working) == 0 || r.Source == "" || r.Population == "" || r.Reading == "" {
			t.Errorf("%s is not ready to show: %+v", r.Model, r)
		}
	}
	for _, c := range []string{CautionPopulation, CautionSensitivity, CautionAddsOnly} {
		if !slices.Contains(a.Cautions, c) {
			t.Errorf("%q is missing", c)
		}
	}
}

// One bad answer is one problem that names it; no model gets to read it as "no".
func TestBadAnswers(t *testing.T) {
	for _, row := range []struct{ about, changes, path, says string }{
		{"a word outside the options", "glaucoma=perhaps", "facts/glaucoma", "yes, no"},
		{"an empty answer", "white=", "facts/white", "no answer"},
		{"a number out of bounds", "axial-length=100", "facts/axial-length", "14 to 40 mm"},
		{"no number", "dilated-pupil=wide", "facts/dilated-pupil", "not a number"},
		{"an age band that is none", "age-band=85", "facts/age-band", "80 to 88"},
		{"a grade outside the options", "surgeon-grade=professor", "given/surgeon-grade", "junior trainee, not known"},
		{"a sex outside the options", "sex=m", "given/sex", "female, male"},
	} {
		f, g := with(row.changes)
		a, problems := Assess(f, g)
		if len(problems) != 1 || problems[0].Path != row.path || !strings.Contains(problems[0].Text, row.says) || problems[0].Level != cards.LevelError || a.Results != nil {
			t.Errorf("%s: %+v", row.about, problems)
		}
	}
	g := nothingGiven()
	g["glaucoma"], g["shoe-size"] = "yes", "43"
	_, problems := Assess(nothingWrong(), g)
	if len(problems) != 2 || problems[0].Path != "given/glaucoma" || problems[1].Path != "given/shoe-size" {
		t.Errorf("strangers among the inputs: %+v", problems)
	}
}

// The answers of a case go in as they are, the grade reckoned from them too.
func TestAnswersOfACase(t *testing.T) {
	c := checklist.Case{Facts: map[cards.FactorID]checklist.Value{
		"nucleus-clinical": {"4+"}, "pseudoexfoliation": {"yes"}, "loose-zonules": {"no"}, "allergies": {"iodine", "latex"}}}
	answers, _ := checklist.Derive(c)
	r := assessed(t, PointScore, answers, nil)
	if lineOf(t, r, "dense-cataract").State != LineCounted || r.low.points != 6 || r.Lowest != RankHigh {
		t.Errorf("%d points, %s: %+v", r.low.points, r.Lowest, r.Lines)
	}
}

// Every fact a model reads exists and can be answered as its tests expect; no
// input has the name of a fact; no fact is read by two items of one model, so
// that the ends of the ranges can be reached together.
func TestModelsReadWhatCanBeAnswered(t *testing.T) {
	for _, m := range Models {
		read := map[cards.FactorID]string{}
		for _, it := range m.Items {
			for _, id := range it.factors() {
				if other := read[id]; other != "" {
					t.Errorf("%s: %s is read by %s and %s", m.ID, id, other, it.ID)
				}
				read[id] = it.ID
			}
			for _, l := range it.Levels {
				for _, test := range l.When {
					answerable(t, m, test)
				}
			}
		}
	}
	for _, in := range Inputs {
		if _, fact := cards.FactorByID(in.ID); fact || !modelsRead(in.ID) {
			t.Errorf("the input %s is a fact of the case, or nothing reads it", in.ID)
		}
	}
}

func answerable(t *testing.T, m Model, test cards.Test) {
	t.Helper()
	if in, ok := inputByID(test.Factor); ok {
		if !slices.Contains(in.Options, test.Value) {
			t.Errorf("%s: %s cannot be answered %q", m.ID, in.ID, test.Value)
		}
		return
	}
	f, ok := cards.FactorByID(test.Factor)
	if !ok || !slices.Contains(cards.Ops[f.Kind], test.Op) || (f.Kind == cards.FactorChoice && !slices.Contains(f.Options, test.Value)) {
		t.Errorf("%s: %s cannot be tested", m.ID, test)
	}
}

// A table holds no figure of one case: it is the same whatever was assessed.
func TestTablesAreWhole(t *testing.T) {
	ids := map[string]bool{}
	for _, tab := range Tables() {
		if ids[tab.ID] || tab.Title == "" || tab.Source == "" || len(tab.Rows) == 0 {
			t.Errorf("table %q is not whole, or stands twice", tab.ID)
		}
		ids[tab.ID] = true
		for _, row := range tab.Rows {
			if len(row) != len(tab.Columns) {
				t.Errorf("%s: a row of %d cells under %d columns: %v", tab.ID, len(row), len(tab.Columns), row)
			}
		}
	}
	for _, c := range narendran.ratioTable().Rows {
		if strings.Contains(c[2].Text, "reference") || c[0].Text == "Average of the series" {
			continue
		}
		if c[2].Mark != checklist.MarkMemory {
			t.Errorf("%v must be marked unconfirmed", c)
		}
	}
}
