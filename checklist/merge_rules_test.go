package checklist

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sideport/cards"
)

// unitBook has a setting, two rules, of which one compares with the setting, a drill and a confirmed recipe.
func unitBook(edits ...func(*RuleBook)) RuleBook {
	compares := rule("small-pupil", Condition{Test: &cards.Test{Factor: "dilated-pupil", Op: cards.Below, Setting: "small-pupil"}},
		Action{Kind: AddCaution, Text: "Small pupil.", Weight: WeightCaution})
	b := plainBook(compares, rule("white", when("white", cards.Is, cards.Yes), Action{Kind: AddCaution, Text: "White.", Weight: WeightCaution}))
	b.Settings = []Setting{
		{ID: "small-pupil", Label: "Pupil is small below", Unit: "mm", Value: cards.Whole(5), Min: cards.Whole(3), Max: cards.Whole(5), Source: "made up for a test", Mark: MarkPublished},
		{ID: "long-eye", Label: "Eye is long from", Unit: "mm", Value: cards.Whole(26), Min: cards.Whole(26), Max: cards.Whole(26), Source: "made up for a test", Mark: MarkMemory},
	}
	b.Drills = []cards.Trigger{{Key: "capsule", Title: "Capsule torn", Seen: "a gap", Say: "stop", Source: "made up for a test"}}
	b.Parts.Recipes = []ConfirmedRecipe{{Recipe: "moxifloxacin-0-5", By: "the pharmacist", Date: "2027-01-31"}}
	for _, edit := range edits {
		edit(&b)
	}
	return b
}

func settingValue(id cards.Key, n int64) func(*RuleBook) {
	return func(b *RuleBook) {
		for i := range b.Settings {
			if b.Settings[i].ID == id {
				b.Settings[i].Value = cards.Whole(n)
			}
		}
	}
}

func ruleOwner(id, owner string) func(*RuleBook) {
	return func(b *RuleBook) {
		for i := range b.Rules {
			if b.Rules[i].ID == id {
				b.Rules[i].Owner = owner
			}
		}
	}
}

func withoutRule(id string) func(*RuleBook) {
	return func(b *RuleBook) {
		b.Rules = slices.DeleteFunc(b.Rules, func(r Rule) bool { return r.ID == id })
	}
}

func withoutSetting(id cards.Key) func(*RuleBook) {
	return func(b *RuleBook) {
		b.Settings = slices.DeleteFunc(b.Settings, func(s Setting) bool { return s.ID == id })
	}
}

func lineText(text string) func(*RuleBook) {
	return func(b *RuleBook) { b.Pauses[1].Lines[0].Text = text }
}

func extraLine(id string) func(*RuleBook) {
	return func(b *RuleBook) {
		b.Pauses[1].Lines = append(b.Pauses[1].Lines, ScriptLine{ID: id, Text: "What else?", Ask: RoleReader, Answer: RoleSurgeon, Source: "made up for a test"})
	}
}

func riskOn(by cards.PersonID) func(*RuleBook) {
	return func(b *RuleBook) { b.Parts.Risk = Switch{On: true, By: by, Date: "2027-02-01", PurposeRead: true} }
}

func rulesSwapped(b *RuleBook) { slices.Reverse(b.Rules) }

func TestMergeRuleBooks(t *testing.T) {
	comparing := func(b *RuleBook) {
		b.Rules = append(b.Rules, rule("long", Condition{Test: &cards.Test{Factor: "axial-length", Op: cards.AtLeast, Setting: "long-eye"}},
			Action{Kind: AddCaution, Text: "Long eye.", Weight: WeightCaution}))
	}
	full := func(from int) func(*RuleBook) {
		return func(b *RuleBook) {
			for n := range 4 {
				extraLine("line-" + string(rune('a'+from+n)))(b)
			}
		}
	}
	for _, row := range []struct {
		name             string
		head, mine, want RuleBook
		questions        []string
	}{
		{"two rules", unitBook(ruleOwner("white", "ben")), unitBook(ruleOwner("small-pupil", "anna")), unitBook(ruleOwner("white", "ben"), ruleOwner("small-pupil", "anna")), nil},
		{"a rule and a setting", unitBook(ruleOwner("white", "ben")), unitBook(settingValue("small-pupil", 4)), unitBook(ruleOwner("white", "ben"), settingValue("small-pupil", 4)), nil},
		{"one setting differently", unitBook(settingValue("small-pupil", 3)), unitBook(settingValue("small-pupil", 4)), unitBook(settingValue("small-pupil", 3)), []string{"settings/small-pupil"}},
		{"a rule deleted here and changed there", unitBook(withoutRule("white")), unitBook(ruleOwner("white", "ben")), unitBook(withoutRule("white")), []string{"rules/white"}},
		{"a line changed and another added in the same pause", unitBook(lineText("Which eye?")), unitBook(extraLine("second")), unitBook(lineText("Which eye?"), extraLine("second")), nil},
		{"one line differently", unitBook(lineText("Which eye?")), unitBook(lineText("Which side?")), unitBook(lineText("Which eye?")), []string{"pauses/sign in/first"}},
		{"the order here and a rule there", unitBook(rulesSwapped), unitBook(ruleOwner("white", "ben")), unitBook(rulesSwapped, ruleOwner("white", "ben")), nil},
		{"the risk part turned on by two people", unitBook(riskOn("anna")), unitBook(riskOn("ben")), unitBook(riskOn("anna")), []string{"parts/risk"}},
		{"a setting removed here and compared with there", unitBook(withoutSetting("long-eye")), unitBook(comparing), unitBook(withoutSetting("long-eye")),
			[]string{"rules/long", "rules/order", "settings/long-eye", "settings/order"}},
		{"more lines together than people listen to", unitBook(full(0), extraLine("x")), unitBook(full(4)), unitBook(full(0), extraLine("x")), []string{"pauses/sign in"}},
		{"nothing", unitBook(), unitBook(), unitBook(), nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, questions := MergeRuleBooks(unitBook(), row.head, row.mine)
			if diff := DiffRuleBooks(row.want, got); len(diff) > 0 {
				t.Errorf("merged differs from wanted: %q", diff)
			}
			var asked []string
			for _, q := range questions {
				asked = append(asked, q.Unit)
			}
			if !slices.Equal(asked, row.questions) {
				t.Errorf("questions %q, want %q", asked, row.questions)
			}
		})
	}
}

func TestAQuestionAboutARuleSaysBothSides(t *testing.T) {
	_, questions := MergeRuleBooks(unitBook(), unitBook(settingValue("small-pupil", 3)), unitBook(settingValue("small-pupil", 4)))
	if len(questions) != 1 || questions[0].Label != "Setting Pupil is small below" || !strings.Contains(questions[0].BaseText, "value: 5 mm") ||
		!strings.Contains(questions[0].HeadText, "value: 3 mm") || !strings.Contains(questions[0].MineText, "value: 4 mm") {
		t.Errorf("got %+v", questions)
	}
}

func TestWithoutABaseWhatDiffersIsAsked(t *testing.T) {
	got, questions := MergeRuleBooks(RuleBook{}, unitBook(), unitBook(settingValue("small-pupil", 4)))
	if len(questions) != 1 || questions[0].Unit != "settings/small-pupil" || len(DiffRuleBooks(got, unitBook())) > 0 {
		t.Errorf("got %q", unitsOf(questions))
	}
}

func TestDiffRuleBooks(t *testing.T) {
	for _, row := range []struct {
		name string
		to   RuleBook
		want []string
	}{
		{"nothing", unitBook(), nil},
		{"a setting", unitBook(settingValue("small-pupil", 4)), []string{"Setting “Pupil is small below”, value: 5 mm → 4 mm"}},
		{"a condition", unitBook(func(b *RuleBook) { b.Rules[0].When = when("dilated-pupil", cards.Below, "4") }),
			[]string{"Rule “Rule small-pupil”, condition: Dilated pupil below the setting small pupil → Dilated pupil below 4 mm"}},
		{"an action more", unitBook(func(b *RuleBook) { b.Rules[1].Do = append(b.Rules[1].Do, Action{Kind: RaiseDrill, Trigger: "capsule"}) }),
			[]string{"Rule “Rule white”, action added: raise the drill capsule"}},
		{"a line", unitBook(lineText("Which eye?")), []string{"Sign in: line “What is the first thing?”, text: What is the first thing? → Which eye?"}},
		{"the order", unitBook(rulesSwapped), []string{"Rules in another order"}},
		{"a rule less", unitBook(withoutRule("white")), []string{"Rule “Rule white” removed"}},
		{"the risk part", unitBook(riskOn("anna")), []string{"Risk part: off → on, by anna, 2027-02-01, purpose read"}},
		{"a recipe", unitBook(func(b *RuleBook) { b.Parts.Recipes = nil }), []string{"Confirmed recipe “moxifloxacin 0 5” removed"}},
	} {
		if got := DiffRuleBooks(unitBook(), row.to); !slices.Equal(got, row.want) {
			t.Errorf("%s: got %q, want %q", row.name, got, row.want)
		}
	}
}

var bookEdits = []func(*rapid.T, *RuleBook){
	func(t *rapid.T, b *RuleBook) { b.Title = rapid.SampledFrom([]string{"A", "B", "C"}).Draw(t, "title") },
	func(t *rapid.T, b *RuleBook) {
		settingValue("small-pupil", rapid.Int64Range(3, 5).Draw(t, "value"))(b)
	},
	func(t *rapid.T, b *RuleBook) {
		withoutSetting(rapid.SampledFrom([]cards.Key{"small-pupil", "long-eye"}).Draw(t, "setting"))(b)
	},
	func(t *rapid.T, b *RuleBook) {
		ruleOwner(rapid.SampledFrom([]string{"white", "small-pupil", "a"}).Draw(t, "rule"), rapid.SampledFrom([]string{"anna", "ben"}).Draw(t, "owner"))(b)
	},
	func(t *rapid.T, b *RuleBook) {
		withoutRule(rapid.SampledFrom([]string{"white", "small-pupil"}).Draw(t, "rule"))(b)
	},
	func(t *rapid.T, b *RuleBook) {
		id := rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "id")
		if !slices.ContainsFunc(b.Rules, func(r Rule) bool { return r.ID == id }) {
			at := rapid.IntRange(0, len(b.Rules)).Draw(t, "at")
			b.Rules = slices.Insert(slices.Clone(b.Rules), at, rule(id, when("white", cards.Is, cards.Yes), Action{Kind: AddCaution, Text: id, Weight: WeightCaution}))
		}
	},
	func(t *rapid.T, b *RuleBook) {
		if len(b.Rules) > 0 { // no rules and an empty list are the same book
			b.Rules = rapid.Permutation(b.Rules).Draw(t, "moved")
		}
	},
	func(t *rapid.T, b *RuleBook) {
		lineText(rapid.SampledFrom([]string{"Which eye?", "Which side?"}).Draw(t, "text"))(b)
	},
	func(t *rapid.T, b *RuleBook) {
		id := rapid.SampledFrom([]string{"x", "y", "z"}).Draw(t, "line")
		if !slices.ContainsFunc(b.Pauses[1].Lines, func(l ScriptLine) bool { return l.ID == id }) {
			extraLine(id)(b)
		}
	},
	func(t *rapid.T, b *RuleBook) {
		riskOn(rapid.SampledFrom([]cards.PersonID{"anna", "ben"}).Draw(t, "by"))(b)
	},
	func(_ *rapid.T, b *RuleBook) { b.Parts = Parts{} },
}

// drawBook draws a book some parts of which were changed, added, deleted or moved.
func drawBook(t *rapid.T, from RuleBook, label string) RuleBook {
	b := cloned(from)
	for range rapid.IntRange(0, 4).Draw(t, label) {
		rapid.SampledFrom(bookEdits).Draw(t, label+" edit")(t, &b)
	}
	return b
}

// cloned copies a book by way of its JSON form, so that no edit reaches another book.
func cloned(b RuleBook) RuleBook {
	var out RuleBook
	if err := cards.Decode(rawJSON(b), &out); err != nil {
		panic(err)
	}
	return out
}

func bookBytes(b RuleBook) string { return string(rawJSON(b)) }

// The laws of merging, over drawn histories of one rule book; those of cards.Merge.
func TestMergeRuleBooksLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := drawBook(t, unitBook(), "base")
		head, mine := drawBook(t, base, "head"), drawBook(t, base, "mine")
		bookLaw(t, "merge(b, x, b) = x", base, head, base, head)
		bookLaw(t, "merge(b, b, x) = x", base, base, mine, mine)
		bookLaw(t, "merge(b, x, x) = x", base, mine, mine, mine)
		ab, qab := MergeRuleBooks(base, head, mine)
		ba, qba := MergeRuleBooks(base, mine, head)
		mirroredQuestions(t, qab, qba)
		if len(qab) == 0 && bookBytes(ab) != bookBytes(ba) {
			t.Fatalf("swapped sides differ\n%s\n%s", bookBytes(ab), bookBytes(ba))
		}
		if again, qs := MergeRuleBooks(base, ab, mine); len(qab) == 0 && (len(qs) > 0 || bookBytes(again) != bookBytes(ab)) {
			t.Fatalf("merging twice changes the book\n%s\n%s\n%q", bookBytes(ab), bookBytes(again), unitsOf(qs))
		}
		nothingUnwritten(t, ab, base, head, mine)
		if seen := append(CheckRuleBook(head).Errors(), CheckRuleBook(mine).Errors()...); newError(ab, seen) {
			t.Fatalf("an error that neither side had: %v", CheckRuleBook(ab).Errors())
		}
	})
}

func bookLaw(t *rapid.T, name string, base, head, mine, want RuleBook) {
	if got, qs := MergeRuleBooks(base, head, mine); bookBytes(got) != bookBytes(want) || len(qs) > 0 {
		t.Fatalf("%s broken\ngot  %s\nwant %s\nquestions %q", name, bookBytes(got), bookBytes(want), unitsOf(qs))
	}
}

func mirroredQuestions(t *rapid.T, ab, ba []cards.Question) {
	if len(ab) != len(ba) {
		t.Fatalf("questions differ when sides are swapped: %q and %q", unitsOf(ab), unitsOf(ba))
	}
	for _, a := range ab {
		n := slices.IndexFunc(ba, func(b cards.Question) bool { return b.Unit == a.Unit })
		if n < 0 || ba[n].Label != a.Label || string(ba[n].Head) != string(a.Mine) || string(ba[n].Mine) != string(a.Head) || string(ba[n].Base) != string(a.Base) {
			t.Fatalf("question %s is not mirrored in %q", a.Unit, unitsOf(ba))
		}
	}
}

// nothingUnwritten: every part of the result is a part of one of the three books, once.
func nothingUnwritten(t *rapid.T, got RuleBook, from ...RuleBook) {
	once := map[string]bool{}
	for _, p := range bookParts(got) {
		if once[p.unit] {
			t.Fatalf("%s stands twice", p.unit)
		}
		once[p.unit] = true
		if strings.HasSuffix(p.unit, "/order") || strings.HasPrefix(p.unit, "pauses/") {
			continue // pauses are looked at line by line
		}
		if !slices.ContainsFunc(from, func(b RuleBook) bool { x, ok := byUnit(b)[p.unit]; return ok && string(x.json()) == string(p.json()) }) {
			t.Fatalf("%s is in none of the books: %s", p.unit, p.json())
		}
	}
	for _, l := range got.lines(SignIn) {
		if !slices.ContainsFunc(from, func(b RuleBook) bool {
			return slices.ContainsFunc(b.lines(SignIn), func(x ScriptLine) bool { return string(rawJSON(x)) == string(rawJSON(l)) })
		}) {
			t.Fatalf("a line nobody wrote: %s", rawJSON(l))
		}
	}
}
