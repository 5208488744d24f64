package checklist

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"sideport/cards"
)

// Source: the project's reading pace of 2.3 words a second and 3 seconds an
// answer, a proposal without literature. Worked example: seven questions of
// twelve words are 84 words, 84 / 2.3 = 36.5, up to 37, and 21 for the answers.
func TestReadingTime(t *testing.T) {
	for _, row := range []struct{ words, answers, want int }{
		{84, 7, 58},
		{0, 0, 0},
		{23, 0, 10}, // exactly ten seconds
		{24, 0, 11}, // begun seconds count
		{1, 1, 4},
	} {
		if got := ReadingSeconds(row.words, row.answers); got != row.want {
			t.Errorf("%d words, %d answers: %d s, want %d", row.words, row.answers, got, row.want)
		}
	}
}

func TestPauseSaysWhenItPassesAMinute(t *testing.T) {
	twelve := strings.Repeat("word ", 12)
	for _, row := range []struct {
		lines int
		long  bool
	}{{7, false}, {8, true}} {
		book := plainBook()
		book.Pauses[1].Lines = nil
		for n := range row.lines {
			book.Pauses[1].Lines = append(book.Pauses[1].Lines, ScriptLine{ID: fmt.Sprint("l", n), Text: strings.TrimSpace(twelve), Ask: RoleReader, Answer: RoleSurgeon, Source: "made up"})
		}
		p := generated(t, plainCard(), book, plainCase()).Pauses[1]
		if p.Long != row.long || p.Words != 12*row.lines {
			t.Errorf("%d lines: %d words, %d s, long %v", row.lines, p.Words, p.Seconds, p.Long)
		}
	}
}

func textsOf(lines []PauseLine) []string {
	var out []string
	for _, l := range lines {
		out = append(out, l.Text)
	}
	return out
}

func TestAddedLinesFollowTheFixedOnesByWeight(t *testing.T) {
	line := func(text string) Action {
		return Action{Kind: AddLine, Pause: TimeOut, Line: &ActionLine{Text: text, Ask: RoleReader, Answer: RoleScrub}}
	}
	caution := func(w Weight) Action { return Action{Kind: AddCaution, Text: "Mind " + string(w), Weight: w} }
	s := generated(t, plainCard(), plainBook(
		rule("plain", Condition{}, line("plain?")),
		rule("caution", Condition{}, line("caution?"), caution(WeightCaution)),
		asking(rule("open", when("white", cards.Is, cards.Yes)), TimeOut, "white?"),
		rule("stop", Condition{}, caution(WeightStop), line("stop?")),
	), plainCase())
	want := []string{"What is the first thing?", "stop?", "white?", "caution?", "plain?"}
	if got := textsOf(linesOf(s, TimeOut)); !slices.Equal(got, want) {
		t.Errorf("time out: %q, want %q", got, want)
	}
	if got := specialsOf(s); !slices.Equal(got, []string{"stop: Mind stop", "caution: Mind caution"}) {
		t.Errorf("special %q", got)
	}
}

func TestTheSameQuestionStandsOnce(t *testing.T) {
	pupil := func(id, below, text string, pause PauseID) Rule {
		return asking(rule(id, when("dilated-pupil", cards.Below, below)), pause, text)
	}
	for _, row := range []struct {
		name  string
		rules []Rule
		want  []string
	}{
		{"the same words", []Rule{pupil("a", "5", "How wide?", TeamBrief), asking(rule("b", when("white", cards.Is, cards.Yes)), TeamBrief, "How wide?")}, []string{"How wide? a b"}},
		{"the same fact in other words", []Rule{pupil("a", "5", "How wide?", TeamBrief), pupil("b", "3", "Small pupil?", TeamBrief)}, []string{"How wide? a b"}},
		{"the same fact at another pause", []Rule{pupil("a", "5", "How wide?", TeamBrief), pupil("b", "3", "Small pupil?", SignIn)}, []string{"How wide? a", "Small pupil? b"}},
		{"another fact", []Rule{pupil("a", "5", "How wide?", TeamBrief), asking(rule("b", when("white", cards.Is, cards.Yes)), TeamBrief, "White?")}, []string{"How wide? a", "White? b"}},
	} {
		var got []string
		for _, p := range generated(t, plainCard(), plainBook(row.rules...), plainCase()).Pauses {
			for _, l := range p.Lines[1:] {
				text := l.Text
				for _, w := range l.Why {
					text += " " + w.ID
				}
				got = append(got, text)
			}
		}
		if !slices.Equal(got, row.want) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
}

// Unanswered allergies are asked at sign in whatever the rules say; a rule that asks takes the place of the net.
func TestAllergiesNotKnownAreAsked(t *testing.T) {
	own := asking(rule("a", allergic("latex")), SignIn, "Allergic to what?")
	for _, row := range []struct {
		name  string
		rules []Rule
		facts string
		want  []string
	}{
		{"nobody answered", nil, "allergies=", []string{"Any allergy: iodine, latex, antibiotics, local anaesthetic, plaster?"}},
		{"answered not known", nil, "allergies=not known", []string{"Any allergy: iodine, latex, antibiotics, local anaesthetic, plaster?"}},
		{"a rule asks", []Rule{own}, "allergies=", []string{"Allergic to what?"}},
		{"none", []Rule{own}, "allergies=none", nil},
	} {
		s := generated(t, plainCard(), plainBook(row.rules...), plainCase(row.facts))
		if got := textsOf(linesOf(s, SignIn)[1:]); !slices.Equal(got, row.want) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
}

// A rule without a question of its own still gets one asked: not known never passes for no.
func TestSomebodyAsksForEveryMissingFact(t *testing.T) {
	silent := rule("silent", Condition{All: []Condition{when("white", cards.Is, cards.Yes), when("dilated-pupil", cards.Below, "5")}}, addItem(saline))
	s := generated(t, plainCard(), plainBook(silent), plainCase())
	brief := linesOf(s, TeamBrief)
	if len(brief) != 2 || brief[1].Expect != "each by its value, or not known: white cataract, dilated pupil" || !brief[1].Question {
		t.Fatalf("team brief %+v", brief)
	}
	asked := asking(rule("pupil", when("dilated-pupil", cards.Below, "3")), SignIn, "How wide?")
	s = generated(t, plainCard(), plainBook(silent, asked), plainCase())
	if got := linesOf(s, TeamBrief)[1].Expect; got != "each by its value, or not known: white cataract" {
		t.Errorf("a fact that is asked elsewhere is asked again: %q", got)
	}
	s = generated(t, plainCard(), plainBook(silent), plainCase("white=no"))
	if got := linesOf(s, TeamBrief); len(got) != 1 {
		t.Errorf("nothing is missing: %+v", got)
	}
}

func TestManyAddedLinesAreKeptAndPointedOut(t *testing.T) {
	var rules []Rule
	for n := range maxAdded + 1 {
		rules = append(rules, rule(fmt.Sprint("r", n), Condition{}, Action{Kind: AddLine, Pause: SignOut, Line: &ActionLine{Text: fmt.Sprint("line ", n), Ask: RoleReader, Answer: RoleScrub}}))
	}
	s := generated(t, plainCard(), plainBook(rules...), plainCase())
	if got := len(linesOf(s, SignOut)); got != 1+len(rules) {
		t.Errorf("sign out has %d lines, want %d", got, 1+len(rules))
	}
	if want := "caution: Sign out has 6 added lines, more than the 5 people listen to; none was left out. Read them all."; !has(specialsOf(s), want) {
		t.Errorf("special %q", specialsOf(s))
	}
}

func TestStoredValues(t *testing.T) {
	card := plainCard()
	byPressure := plainCard()
	byPressure.Machine.Irrigation = cards.IrrigationForce
	for n := range byPressure.Phases {
		l := &byPressure.Phases[n].Limits
		l.Bottle, l.Pressure = cards.Quantity{}, cards.Whole(55)
	}
	bare := plainCard()
	bare.Phases, bare.Steps = nil, nil
	for _, row := range []struct {
		name, value string
		card        cards.Card
		facts       []string
		want        string
	}{
		{"the eye", "eye", card, nil, "right eye"},
		{"a power", "lens-power", card, []string{"lens-power=21.50"}, "21.5 D"},
		{"a power nobody gave", "lens-power", card, nil, "not known"},
		{"an axis", "toric-axis", card, []string{"toric=yes", "toric-axis=90"}, "90 degrees"},
		{"an axis without a toric lens", "toric-axis", card, []string{"toric=no"}, "does not apply (toric lens: no)"},
		{"an axis of nobody knows what", "toric-axis", card, nil, "not known"},
		{"allergies", "allergies", card, nil, "none"},
		{"bottle height", "bottle", card, nil, "Sculpt: bottle height 75 cm"},
		{"bottle height of a machine with pressure", "bottle", byPressure, nil, "Sculpt: irrigation pressure 55 mmHg"},
		{"a limit that is not stated", "power", card, nil, "Sculpt: not stated on the card"},
		{"no phases", "vacuum", bare, nil, "the card has no phases"},
		{"no value", "", card, nil, ""},
	} {
		book := plainBook()
		book.Pauses[2].Lines[0].Value = row.value
		s := generated(t, row.card, book, plainCase(row.facts...))
		mustText(t, row.name, linesOf(s, TimeOut)[0].Stored, row.want)
	}
}
