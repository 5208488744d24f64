package checklist

import (
	"slices"
	"testing"

	"sideport/cards"
)

// A fixed line that shows the stored allergies after the answer asks for them
// already: the net under the rule book must not ask a second time.
func TestFixedLineAsksForAllergies(t *testing.T) {
	book := plainBook()
	book.Pauses[1].Lines[0].Value = "allergies"
	lines := linesOf(generated(t, plainCard(), book, plainCase("allergies=")), SignIn)
	if len(lines) != 1 || lines[0].Stored != cards.NotKnown {
		t.Errorf("sign in %+v, want the fixed line alone, with allergies not known", lines)
	}
}

// No INR is asked for before it is known whether there is an anticoagulant:
// two rules then ask for one fact, and ask once.
func TestAFactThatDependsOnAnotherIsAskedAfterIt(t *testing.T) {
	warfarin := when("anticoagulant", cards.Is, "warfarin")
	book := plainBook(
		asking(rule("anticoagulant", warfarin), TeamBrief, "Which anticoagulant?"),
		asking(rule("inr", Condition{All: []Condition{warfarin, when("inr", cards.Above, "3")}}), TeamBrief, "Which INR?"))
	for facts, want := range map[string][]string{"anticoagulant=": {"Which anticoagulant?"}, "anticoagulant=warfarin": {"Which INR?"}, "anticoagulant=no": {}} {
		if got := textsOf(linesOf(generated(t, plainCard(), book, plainCase(facts)), TeamBrief)[1:]); !slices.Equal(got, want) {
			t.Errorf("%s: team brief asks %q, want %q", facts, got, want)
		}
	}
}

// A line that is shared by several rules asks for the facts of each: a third
// rule that lacks one of them asks nothing new.
func TestASharedQuestionCountsForEachOfItsFacts(t *testing.T) {
	s := generated(t, plainCard(), plainBook(
		asking(rule("white", when("white", cards.Is, cards.Yes)), TeamBrief, "White, and how wide?"),
		asking(rule("pupil", when("dilated-pupil", cards.Below, "5")), TeamBrief, "White, and how wide?"),
		asking(rule("tiny", when("dilated-pupil", cards.Below, "3")), TeamBrief, "How wide?"),
	), plainCase("white=", "dilated-pupil="))
	lines := linesOf(s, TeamBrief)[1:]
	if len(lines) != 1 || len(lines[0].Why) != 3 {
		t.Errorf("team brief asks %q", textsOf(lines))
	}
}

// A variant that cannot be told is asked about once: by the rule that asks
// for the same fact, if there is one.
func TestVariantIsNotAskedAboutTwice(t *testing.T) {
	card := plainCard()
	card.Variants = []cards.Variant{{Key: "small", Title: "Small pupil", When: []cards.Test{{Factor: "dilated-pupil", Op: cards.Below, Value: "4"}}, Note: "slowly"}}
	for _, row := range []struct {
		name  string
		rules []Rule
		want  string
	}{
		{"no rule asks", nil, "Does the variant “Small pupil” apply?"},
		{"a rule asks", []Rule{asking(rule("pupil", when("dilated-pupil", cards.Below, "5")), TeamBrief, "How wide?")}, "How wide?"},
	} {
		s := generated(t, card, plainBook(row.rules...), plainCase("dilated-pupil="))
		lines := linesOf(s, TeamBrief)[1:]
		if len(lines) != 1 || lines[0].Text != row.want || lines[0].Why[len(lines[0].Why)-1].From != FromVariant {
			t.Errorf("%s: team brief asks %+v", row.name, lines)
		}
	}
}

func TestALineOfARuleShowsItsStoredValue(t *testing.T) {
	line := func(value string) RuleBook {
		return plainBook(rule("axis", Condition{}, Action{Kind: AddLine, Pause: LensCheck, Line: &ActionLine{Text: "Which axis?", Ask: RoleReader, Answer: RoleSurgeon, Value: value}}))
	}
	lines := linesOf(generated(t, plainCard(), line("toric-axis"), plainCase("toric=yes", "toric-axis=95")), LensCheck)
	if got := lines[1].Stored; got != "95 degrees" {
		t.Errorf("stored %q, want 95 degrees", got)
	}
	if problems := CheckRuleBook(line("shoe-size")); len(problems) != 1 || problems[0].Code != "choice" {
		t.Errorf("a stored value that there is not: %v", problems)
	}
}

func TestARuleThatSaysWhyNobodyNeedAskIsLeftAlone(t *testing.T) {
	silent := rule("silent", when("white", cards.Is, cards.Yes), addItem(saline))
	silent.Unasked = "seen at the slit lamp in any case"
	s := generated(t, plainCard(), plainBook(silent), plainCase("white="))
	if lines := linesOf(s, TeamBrief); len(lines) != 1 {
		t.Errorf("team brief asks %q", textsOf(lines))
	}
	both := asking(silent, TeamBrief, "White?")
	if problems := CheckRuleBook(plainBook(both)); len(problems) != 1 || problems[0].Path != "rules/silent/unasked" {
		t.Errorf("a question beside a reason for not asking: %v", problems)
	}
}
