package checklist

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sideport/cards"
)

// techniqueCard is a card of nothing but its technique and second instrument.
func techniqueCard(t cards.Technique) cards.Card {
	card := cards.Card{ID: cards.CardID("wren-" + cards.Slug(string(t))), Title: string(t), Technique: t, Owner: "wren"}
	if t == cards.VerticalChop {
		card.Items = []cards.Item{{Key: "vertical-chopper", Name: "Vertical chopper", Kind: "instrument", Quantity: 1, State: cards.Open}}
	}
	return card
}

func allTechniques() []cards.Card {
	var out []cards.Card
	for _, t := range []cards.Technique{cards.DivideAndConquer, cards.StopAndChop, cards.HorizontalChop, cards.VerticalChop, cards.Flip} {
		out = append(out, techniqueCard(t))
	}
	return out
}

func rankedFor(t testing.TB, technique cards.Technique, facts ...string) Ranked {
	t.Helper()
	list := RankCards([]cards.Card{techniqueCard(technique)}, plainCase(facts...))
	if len(list) != 1 {
		t.Fatalf("%d cards ranked, want 1", len(list))
	}
	return list[0]
}

// What is customarily said of the techniques, from teaching: common practice,
// no source, unless the row names one. Grades: 3+ is grade 3 (customary correspondence).
func TestWhatSpeaksForAndAgainstATechnique(t *testing.T) {
	for _, row := range []struct {
		name      string
		technique cards.Technique
		facts     []string
		group     FitGroup
		says      string
	}{
		{"vertical chop, 3+", cards.VerticalChop, []string{"nucleus-clinical=3+"}, GroupFor, "holds on the tip"},
		{"vertical chop, 4+", cards.VerticalChop, []string{"nucleus-clinical=4+"}, GroupFor, "holds on the tip"},
		{"vertical chop, soft", cards.VerticalChop, []string{"nucleus-clinical=1+", "posterior-subcapsular=no", "trainee=no", "guttata=no"}, GroupAgainst, "does not hold"},
		{"vertical chop, posterior subcapsular", cards.VerticalChop, []string{"posterior-subcapsular=yes"}, GroupAgainst, "often soft"},
		{"vertical chop, learner", cards.VerticalChop, []string{"trainee=yes"}, GroupAgainst, "sharp second instrument"},
		{"vertical chop, dense, learner", cards.VerticalChop, []string{"nucleus-clinical=3+", "trainee=yes"}, GroupMixed, "learner"},
		{"horizontal chop, soft", cards.HorizontalChop, []string{"nucleus-clinical=1+"}, GroupFor, "soft and hard"},
		{"horizontal chop, hard", cards.HorizontalChop, []string{"nucleus-clinical=4+"}, GroupFor, "soft and hard"},
		{"horizontal chop, small pupil", cards.HorizontalChop, []string{"dilated-pupil=4.5"}, GroupAgainst, "rim on the far side can tear"},
		{"horizontal chop, learner: a blunt tip", cards.HorizontalChop, []string{"trainee=yes"}, GroupUnknown, ""},
		{"divide and conquer, learner", cards.DivideAndConquer, []string{"trainee=yes"}, GroupFor, "usual choice for a learner"},
		{"divide and conquer, small pupil", cards.DivideAndConquer, []string{"dilated-pupil=4.5"}, GroupAgainst, "hides"},
		{"divide and conquer, grade 4: Park 2013", cards.DivideAndConquer, []string{"nucleus-clinical=4+"}, GroupAgainst, "more ultrasound"},
		{"stop and chop, grade 4: Park 2013", cards.StopAndChop, []string{"nucleus-clinical=4+", "posterior-polar=no"}, GroupMixed, "more ultrasound"},
		{"stop and chop, grade 3: no difference at lower grades", cards.StopAndChop, []string{"nucleus-clinical=3+"}, GroupFor, "one groove"},
		{"chop under a weak cornea: Guedes 2024", cards.HorizontalChop, []string{"guttata=yes"}, GroupFor, "no groove"},
		{"flip, soft", cards.Flip, []string{"nucleus-clinical=1+"}, GroupFor, "little power"},
		{"flip, firm", cards.Flip, []string{"nucleus-clinical=3+"}, GroupAgainst, "firm"},
		{"posterior polar, in the bag", cards.StopAndChop, []string{"posterior-polar=yes"}, GroupAgainst, "nothing between the tip"},
		{"nothing answered", cards.VerticalChop, nil, GroupUnknown, "holds on the tip"},
		{"everything answered, nothing speaks", cards.Flip, []string{"nucleus-clinical=2+"}, GroupNeither, ""},
	} {
		r := rankedFor(t, row.technique, row.facts...)
		said := ""
		for _, l := range slices.Concat(r.For, r.Against, r.Unknown) {
			said += l.Reason + "\n"
			if l.Source == "" || l.Mark == "" {
				t.Errorf("%s: %q has no source or no mark", row.name, l.Reason)
			}
		}
		if r.Group != row.group || !strings.Contains(said, row.says) {
			t.Errorf("%s: %q saying\n%swant %q saying %q", row.name, r.Group, said, row.group, row.says)
		}
	}
}

// Order of ultrasound used: divide and conquer at least as much as stop and
// chop, and that at least as much as chop without a groove. The direction is
// that of Guedes 2024 (nine studies: ultrasound time 51.16 s less with chop
// than with divide and conquer, 95 per cent interval 2.79 to 99.4 s) and of
// Park 2013 (grade 4: chop less than both grooving techniques).
func TestOrderOfUltrasound(t *testing.T) {
	var got []cards.Technique
	for _, use := range UltrasoundOrder {
		got = append(got, use.Techniques...)
	}
	want := []cards.Technique{cards.DivideAndConquer, cards.StopAndChop, cards.VerticalChop, cards.HorizontalChop}
	if !slices.Equal(got, want) {
		t.Errorf("order %v, want %v", got, want)
	}
	for technique, words := range map[cards.Technique]string{cards.DivideAndConquer: "the most ultrasound", cards.StopAndChop: "no more ultrasound than divide and conquer", cards.VerticalChop: "the least ultrasound", cards.HorizontalChop: "the least ultrasound"} {
		remarks := rankedFor(t, technique).Remarks
		if !slices.ContainsFunc(remarks, func(r FitRemark) bool {
			return strings.Contains(r.Text, words) && strings.Contains(r.Source, "Guedes") && strings.Contains(r.Source, "Park")
		}) {
			t.Errorf("%s: no remark says %q with its source: %v", technique, words, remarks)
		}
	}
}

// What a technique is, whatever the case: common practice, no source.
func TestRemarksOnTechniques(t *testing.T) {
	for technique, words := range map[cards.Technique][]string{
		cards.DivideAndConquer: {"two grooves at right angles, four quadrants", "slowest", "usual first technique", "half the tip occluded, low vacuum, continuous", "fully occluded, high vacuum", "last piece has nothing between"},
		cards.StopAndChop:      {"one groove", "halves are chopped", "last piece"},
		cards.HorizontalChop:   {"no groove", "unseen", "far side can tear", "last piece"},
		cards.VerticalChop:     {"no groove", "sharp", "last piece"},
	} {
		said := ""
		for _, r := range rankedFor(t, technique).Remarks {
			said += strings.ToLower(r.Text) + "\n"
		}
		for _, w := range words {
			if !strings.Contains(said, w) {
				t.Errorf("%s: no remark says %q in\n%s", technique, w, said)
			}
		}
	}
}

func titlesOf(list []Ranked) []string {
	var out []string
	for _, r := range list {
		out = append(out, r.Title+": "+string(r.Group))
	}
	return out
}

func TestRankingPutsTheFewestReasonsAgainstFirst(t *testing.T) {
	for _, row := range []struct {
		facts []string
		want  []string
	}{
		{[]string{"nucleus-clinical=4+", "dilated-pupil=7", "trainee=no", "guttata=no", "posterior-subcapsular=no", "posterior-polar=no"},
			[]string{"horizontal chop: speaks for", "vertical chop: speaks for", "stop and chop: mixed", "divide and conquer: speaks against", "flip: speaks against"}},
		{[]string{"nucleus-clinical=1+", "dilated-pupil=7", "trainee=yes", "guttata=no", "posterior-subcapsular=no", "posterior-polar=no"},
			[]string{"divide and conquer: speaks for", "flip: speaks for", "horizontal chop: speaks for", "stop and chop: speaks neither way", "vertical chop: speaks against"}},
	} {
		if got := titlesOf(RankCards(allTechniques(), plainCase(row.facts...))); !slices.Equal(got, row.want) {
			t.Errorf("%v:\n got %q\nwant %q", row.facts, got, row.want)
		}
	}
}

// The surgeon's own reasons stand first and need no source; other surgeons' cards are not ranked.
func TestRankingKeepsToTheSurgeonsOwnCards(t *testing.T) {
	own, other := techniqueCard(cards.Flip), techniqueCard(cards.Flip)
	own.Fit = []cards.Fit{{Speaks: cards.SpeaksAgainst, When: cards.Test{Factor: "white", Op: cards.Is, Value: cards.Yes}, Reason: "no reflex"}}
	other.ID, other.Owner = "lark-flip", "lark"
	list := RankCards([]cards.Card{other, own}, plainCase("white=yes", "nucleus-clinical=1+"))
	if len(list) != 1 || list[0].Card != own.ID || list[0].Against[0].Reason != "no reflex" || list[0].Against[0].Source != "" {
		t.Errorf("ranked %+v", list)
	}
	if none := RankCards(nil, plainCase()); none == nil || len(none) != 0 {
		t.Errorf("no cards: %v, want an empty list", none)
	}
}

// Answering a fact never turns a reason into its opposite, and the order of the cards given does not matter.
func TestRankingLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCase(t, "case")
		list := rapid.Permutation(allTechniques()).Draw(t, "cards")
		got := RankCards(list, c)
		if again := RankCards(allTechniques(), c); !slices.Equal(titlesOf(got), titlesOf(again)) {
			t.Fatalf("%v in one order, %v in another", titlesOf(got), titlesOf(again))
		}
		for _, id := range sortedKeys(c.Facts) {
			less := c
			less.Facts = map[cards.FactorID]Value{}
			for other, v := range c.Facts {
				if other != id {
					less.Facts[other] = v
				}
			}
			for _, r := range RankCards(list, less) {
				n := slices.IndexFunc(got, func(x Ranked) bool { return x.Card == r.Card })
				if has(scales, id) {
					continue // another scale may then give the grade
				}
				for _, l := range slices.Concat(r.For, r.Against) {
					if !slices.Contains(got[n].For, l) && !slices.Contains(got[n].Against, l) {
						t.Fatalf("without %s %q counts, with it it does not", id, l.Reason)
					}
				}
			}
		}
	})
}

// scales are the entries that the nucleus grade is reckoned from.
var scales = []cards.FactorID{"nucleus-locs", "nucleus-clinical", "brunescent"}
