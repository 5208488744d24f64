package risk

import (
	"strings"
	"testing"

	"sideport/cards"
)

// FuzzAssess throws any words at any fact and input. Either there is a problem
// that says where, or every figure lies strictly between 0 and 100 %.
func FuzzAssess(f *testing.F) {
	f.Add("age-band=80 to 88\nwhite=yes\nsurgeon-grade=junior trainee")
	f.Add("dilated-pupil=2.999999\nchamber-depth=2.5\naxial-length=26")
	f.Add("dilated-pupil=1e9\nsex=\nglaucoma=not known")
	f.Add("nucleus-grade=9999999\nnucleus-grade=x\nfundal-view=No")
	f.Fuzz(func(t *testing.T, text string) {
		answers, given := facts{}, Given{}
		for line := range strings.Lines(text) {
			id, answer, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "=")
			put(answers, given, cards.FactorID(id), answer)
		}
		a, problems := Assess(answers, given)
		for _, p := range problems {
			if p.Text == "" || p.Path == "" || p.Level != cards.LevelError {
				t.Fatalf("a problem that says nothing: %+v", p)
			}
		}
		if (len(problems) > 0) != (a.Results == nil) {
			t.Fatalf("problems and results together, or neither: %v", problems)
		}
		for _, r := range a.Results {
			if r.low.p != nil && (r.low.p.Sign() <= 0 || r.high.p.Cmp(one) >= 0 || r.low.p.Cmp(r.high.p) > 0) {
				t.Fatalf("%s: %v to %v", r.Model, r.low.p, r.high.p)
			}
			if shown := r.Headline[1]; shown.ID == "estimate" && (strings.HasPrefix(shown.Value, "0 ") || strings.Contains(shown.Value, "100")) {
				t.Fatalf("%s shows %s", r.Model, shown.Text())
			}
			if r.low.points > r.high.points {
				t.Fatalf("%s: %d to %d points", r.Model, r.low.points, r.high.points)
			}
		}
	})
}
