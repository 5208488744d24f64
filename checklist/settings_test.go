package checklist

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sideport/cards"
)

// smallSetting is the unit's choice of a small pupil (published cut-offs: 3 to 5 mm).
func smallSetting(value string) Setting {
	return Setting{ID: "small-pupil", Label: "Dilated pupil is small below", Unit: "mm", Value: cards.MustQuantity(value), Min: cards.Whole(3), Max: cards.Whole(5),
		Source: "made up for a test", Mark: MarkPublished}
}

func belowSetting(id cards.Key) Condition {
	return Condition{Test: &cards.Test{Factor: "dilated-pupil", Op: cards.Below, Setting: id}}
}

// One figure of the unit decides every rule that compares with it, however deep it stands.
func TestRulesFollowTheUnitsSetting(t *testing.T) {
	below := belowSetting("small-pupil")
	for name, when := range map[string]Condition{
		"alone": below, "in all": {All: []Condition{below}}, "in any": {Any: []Condition{below}}, "twice denied": {Not: &Condition{Not: &below}},
	} {
		for value, holds := range map[string]bool{"4": false, "4.5": false, "5": true} {
			book := plainBook(rule("small", when, Action{Kind: AddCaution, Text: "Small pupil.", Weight: WeightCaution}))
			book.Settings = []Setting{smallSetting(value)}
			s := generated(t, plainCard(), book, plainCase("dilated-pupil=4.5"))
			if got := isSpecial(s, WeightCaution, "Small pupil."); got != holds {
				t.Errorf("%s, setting %s mm, pupil 4.5 mm: %v, want %v", name, value, got, holds)
			}
		}
	}
}

func TestTheReasonShowsSettingAndPublishedRange(t *testing.T) {
	book := plainBook(rule("small", belowSetting("small-pupil"), Action{Kind: AddCaution, Text: "Small pupil.", Weight: WeightCaution}))
	book.Settings = []Setting{smallSetting("5")}
	s := generated(t, plainCard(), book, plainCase("dilated-pupil=4.5"))
	mustText(t, "why", s.Special[0].Why[0].Text, "house rule: rule small (dilated pupil below 5 mm, the unit's setting, published 3 to 5 mm: 4.5 mm)")

	for _, row := range []struct {
		s    Setting
		want string
	}{
		{smallSetting("4"), "published 3 to 5 mm"},
		{Setting{Unit: "mm", Min: cards.Whole(26), Max: cards.Whole(26), Mark: MarkMemory}, "26 mm unconfirmed"},
		{Setting{Min: cards.Whole(3), Max: cards.Whole(3), Mark: MarkMemory}, "3 unconfirmed"},
	} {
		mustText(t, "range", row.s.ranged(), row.want)
	}
}

// A setting that is not there is never an answer: the rule asks.
func TestASettingThatIsMissingAnswersNothing(t *testing.T) {
	s := generated(t, plainCard(), plainBook(asking(rule("small", belowSetting("small-pupil"), Action{Kind: AddCaution, Text: "Small.", Weight: WeightCaution}), TeamBrief, "How wide?")), plainCase("dilated-pupil=4.5"))
	if len(s.Special) != 0 || !says(pauseOf(s, TeamBrief), "How wide?") {
		t.Errorf("special %q, team brief %q", specialsOf(s), textsOf(linesOf(s, TeamBrief)))
	}
}

func TestALineShowsASetting(t *testing.T) {
	book := plainBook(rule("pupil", when("white", cards.Is, cards.Yes), Action{Kind: AddLine, Pause: SignIn, Line: &ActionLine{Text: "How wide, and what is small?", Ask: RoleReader, Answer: RoleSurgeon, Value: "small-pupil"}}))
	book.Settings = []Setting{smallSetting("4")}
	lines := linesOf(generated(t, plainCard(), book, plainCase("white=yes")), SignIn)
	mustText(t, "stored", lines[1].Stored, "4 mm, the unit's setting, published 3 to 5 mm")
}

// Each row spoils one thing the unit says of itself.
func TestCheckSettingsPartsAndDrills(t *testing.T) {
	setting := func(spoil func(*Setting)) func(*RuleBook) {
		return func(b *RuleBook) { spoil(&b.Settings[0]) }
	}
	when := func(test cards.Test) func(*RuleBook) {
		return func(b *RuleBook) {
			b.Rules = append(b.Rules, asking(rule("r", Condition{Test: &test}, addItem(saline)), TeamBrief, "Which?"))
		}
	}
	risk := func(s Switch) func(*RuleBook) { return func(b *RuleBook) { b.Parts.Risk = s } }
	recipe := func(list ...ConfirmedRecipe) func(*RuleBook) { return func(b *RuleBook) { b.Parts.Recipes = list } }
	drill := func(spoil func(*cards.Trigger)) func(*RuleBook) {
		return func(b *RuleBook) { spoil(&b.Drills[0]) }
	}
	on := Switch{On: true, By: "wren", Date: "2026-11-25", PurposeRead: true}
	for _, row := range []struct {
		name  string
		spoil func(*RuleBook)
		want  []string
	}{
		{"nothing wrong", func(*RuleBook) {}, nil},
		{"a setting without a value", setting(func(s *Setting) { s.Value = cards.Quantity{} }), []string{"error empty settings/small-pupil/value"}},
		{"a setting without a source", setting(func(s *Setting) { s.Source = "" }), []string{"error empty settings/small-pupil/source"}},
		{"a setting with a mark of its own", setting(func(s *Setting) { s.Mark = "sure" }), []string{"error choice settings/small-pupil/mark"}},
		{"a range upside down", setting(func(s *Setting) { s.Min, s.Max = s.Max, s.Min }), []string{"error bounds settings/small-pupil/min"}},
		{"a value outside the published ones", setting(func(s *Setting) { s.Value = cards.Whole(6) }), []string{"caution outside settings/small-pupil/value"}},
		{"a value no pupil has", setting(func(s *Setting) { s.Value = cards.Whole(11) }), []string{"caution outside settings/small-pupil/value", "error bounds rules/small/when/test"}},
		{"another unit", setting(func(s *Setting) { s.Unit = "cm" }), []string{"error unit rules/small/when/test"}},
		{"a setting twice", func(b *RuleBook) { b.Settings = append(b.Settings, b.Settings[0]) }, []string{"error twice settings/small-pupil/id"}},
		{"a setting nobody uses", func(b *RuleBook) { b.Rules = nil }, []string{"caution not used settings/small-pupil/id"}},
		{"a setting that there is not", when(cards.Test{Factor: "dilated-pupil", Op: cards.Below, Setting: "tiny"}), []string{"error no such setting rules/r/when/test"}},
		{"a value and a setting", when(cards.Test{Factor: "dilated-pupil", Op: cards.Below, Value: "4", Setting: "small-pupil"}), []string{"error contradiction rules/r/when/test"}},
		{"a choice against a setting", when(cards.Test{Factor: "white", Op: cards.Is, Setting: "small-pupil"}), []string{"error comparison rules/r/when/test"}},
		{"a comparison numbers do not have", when(cards.Test{Factor: "dilated-pupil", Op: cards.Is, Setting: "small-pupil"}), []string{"error comparison rules/r/when/test"}},
		{"a factor that there is not", when(cards.Test{Factor: "mood", Op: cards.Below, Setting: "small-pupil"}), []string{"error no such factor rules/r/when/test"}},

		{"the risk part on", risk(on), nil},
		{"on without a name", risk(Switch{On: true, Date: on.Date, PurposeRead: true}), []string{"error empty parts/risk/by"}},
		{"on without a day", risk(Switch{On: true, By: on.By, PurposeRead: true}), []string{"error date parts/risk/date"}},
		{"on without having read", risk(Switch{On: true, By: on.By, Date: on.Date}), []string{"error empty parts/risk/purpose_read"}},
		{"off with a name", risk(Switch{By: on.By}), []string{"error contradiction parts/risk/on"}},
		{"a confirmed recipe", recipe(ConfirmedRecipe{"cefuroxime-50-mg", "the pharmacist", "2026-11-25"}), nil},
		{"a recipe that there is not", recipe(ConfirmedRecipe{"tea", "the pharmacist", "2026-11-25"}), []string{"error no such recipe parts/recipes/tea/recipe"}},
		{"a recipe twice", recipe(ConfirmedRecipe{"trypan-blue", "A", "2026-11-25"}, ConfirmedRecipe{"trypan-blue", "B", "2026-11-25"}), []string{"error twice parts/recipes/trypan-blue/recipe"}},
		{"a recipe nobody confirmed", recipe(ConfirmedRecipe{Recipe: "trypan-blue"}), []string{"error empty parts/recipes/trypan-blue/by", "error date parts/recipes/trypan-blue/date"}},

		{"a drill without a source", drill(func(t *cards.Trigger) { t.Source = "" }), []string{"error empty drills/burn/source"}},
		{"a drill that says nothing", drill(func(t *cards.Trigger) { t.Say = "" }), []string{"error empty drills/burn/say"}},
		{"a drill with an abbreviation", drill(func(t *cards.Trigger) { t.Say = "OD first" }), []string{"error eye drills/burn/say"}},
		{"a drill twice", func(b *RuleBook) { b.Drills = append(b.Drills, b.Drills[0]) }, []string{"error twice drills/burn/id"}},
		{"a drill that names a card", drill(func(t *cards.Trigger) { t.NextCard = "wren-flip" }), []string{"error contradiction drills/burn/next_card"}},
		{"a ring where the capsule is torn", drill(func(t *cards.Trigger) { t.Key, t.Open = "anterior-capsule-tear", []cards.Key{"capsular-tension-ring"} }), []string{"caution forbidden drills/anterior-capsule-tear/open"}},

		{"steps by a short word", func(b *RuleBook) { b.Rules[0].Do = []Action{{Kind: DoNotUse, Steps: []string{"cut"}}} }, []string{"error word rules/small/do/1/steps"}},
		{"steps by a key", func(b *RuleBook) { b.Rules[0].Do = []Action{{Kind: DoNotUse, Steps: []string{"first-groove"}}} }, []string{"error word rules/small/do/1/steps"}},
		{"steps to withhold", func(b *RuleBook) {
			b.Rules[0].Do = []Action{{Kind: Withhold, Allergens: []cards.Allergen{"latex"}, Steps: []string{"hydrodissect"}}}
		},
			[]string{"error not used rules/small/do/1/steps"}},
		{"opened in every case", func(b *RuleBook) {
			b.Rules[0].Do = []Action{addItem(readySaline)}
			b.Rules = append(b.Rules, rule("r", Condition{}, addItem(saline)))
		}, []string{"error no factor rules/r/do/1/item"}},
	} {
		book := plainBook(asking(rule("small", belowSetting("small-pupil"), addItem(saline)), TeamBrief, "How wide?"))
		book.Settings = []Setting{smallSetting("5")}
		book.Drills = []cards.Trigger{{Key: "burn", Title: "Wound burn", Seen: "the wound turns white", Say: "burn", Source: "made up for a test"}}
		row.spoil(&book)
		if got := codesOf(CheckRuleBook(book)); !slices.Equal(got, append([]string{}, row.want...)) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
}

// All eleven situations have a starter drill, and each says that it is a beginning.
func TestStarterDrills(t *testing.T) {
	want := []string{"anterior-capsule-tear", "chamber-unstable", "descemet-detachment", "iris-prolapse", "nucleus-dropping", "patient-collapse", "posterior-capsule-torn",
		"suprachoroidal-haemorrhage", "vitreous-forward", "wound-burn", "zonular-dialysis"}
	var got []string
	for _, d := range Starter().Drills {
		got = append(got, string(d.Key))
		if !strings.HasPrefix(d.Source, "Starter text for the unit to adopt or change.") {
			t.Errorf("%s: its source %q does not say that it is starter text", d.Key, d.Source)
		}
		if len(d.Surgeon) == 0 || len(d.Scrub) == 0 || len(d.Circulating) == 0 || d.NextStep == "" {
			t.Errorf("%s leaves out a role or what comes next", d.Key)
		}
	}
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("drills %v, want %v", got, want)
	}
	for _, r := range Starter().Rules {
		for _, a := range r.Do {
			if a.Kind == RaiseDrill && !has(got, string(a.Trigger)) {
				t.Errorf("%s raises %s, for which there is no drill", r.ID, a.Trigger)
			}
		}
	}
}

// baseSet is what every card of testdata/cards lists: what a room has for any case.
func baseSet(t *testing.T) []cards.Item {
	t.Helper()
	paths, err := filepath.Glob("../testdata/cards/*.md")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cards: %v", err)
	}
	var base []cards.Item
	for n, path := range paths {
		md, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		card, _ := cards.Parse(md)
		if n == 0 {
			base = card.Items
		}
		base = slices.DeleteFunc(base, func(i cards.Item) bool {
			return !slices.ContainsFunc(card.Items, func(other cards.Item) bool { return other.Key == i.Key })
		})
	}
	return base
}

// A drill that a fact raises opens nothing that is not in the room: what the
// starter drills open is in the set that every card has, or the rule that
// raises the drill brings it. The facts are those of every reviewed case.
func TestARuleThatRaisesADrillBringsWhatItOpens(t *testing.T) {
	paths, err := filepath.Glob("../testdata/cases/*.txtar")
	if err != nil {
		t.Fatal(err)
	}
	card, raised := trapCard(), map[cards.Key]bool{}
	card.Items = baseSet(t)
	for _, path := range paths {
		g := readGolden(t, path)
		if g.files["rules.json"] != nil {
			continue
		}
		in := g.input(t)
		in.Card, in.Case.Card, in.Case.Surgeon = card, card.ID, card.Owner
		sheet, problems := Generate(in)
		if len(problems) > 0 {
			t.Fatalf("%s: %v", path, problems)
		}
		for _, d := range sheet.Triggers {
			if !d.Raised {
				continue
			}
			raised[d.Trigger.Key] = true
			for _, o := range d.Opens {
				if _, there := setupLine(sheet, o.Key); !there {
					t.Errorf("%s: the drill %s opens %s, and no rule brings it", path, d.Trigger.Key, o.Key)
				}
			}
		}
	}
	if len(raised) < 9 {
		t.Errorf("only %v are raised by a case", raised)
	}
}

// A drill that opens a suture opens what it is sewn with, and what a drill
// opens is closed until then (common practice, no source).
func TestStarterDrillsOpenSpares(t *testing.T) {
	openFromTheStart := map[cards.Key]bool{}
	for _, i := range baseSet(t) {
		openFromTheStart[i.Key] = i.State == cards.Open
	}
	for _, d := range Starter().Drills {
		for _, key := range d.Open {
			if openFromTheStart[key] && key != "toothed-forceps" {
				t.Errorf("%s opens %s, which is open from the start", d.Key, key)
			}
		}
		if slices.Contains(d.Open, "suture-10-0") && !(slices.Contains(d.Open, "needle-holder") && slices.Contains(d.Open, "tying-forceps")) {
			t.Errorf("%s opens a suture without needle holder and tying forceps", d.Key)
		}
	}
}

// What a calculation takes from the unit's settings is among them, in the same unit of measure.
func TestSettingsThatCalculationsAskFor(t *testing.T) {
	book := Starter()
	for _, c := range cards.Calculations {
		for _, f := range c.Fields {
			if f.Setting == "" {
				continue
			}
			if s, ok := book.Setting(f.Setting); !ok || s.Unit != f.Unit || s.Value.Cmp(f.Min) < 0 || s.Value.Cmp(f.Max) > 0 {
				t.Errorf("%s, %s is filled in from %s, which is %+v", c.Name, f.Label, f.Setting, s)
			}
		}
	}
}
