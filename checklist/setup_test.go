package checklist

import (
	"slices"
	"strings"
	"testing"

	"sideport/cards"
)

func addItem(i cards.Item) Action { return Action{Kind: AddItem, Item: &i} }

func hooks(quantity int, state cards.State, counted bool, note string) cards.Item {
	return cards.Item{Key: "iris-hooks", Name: "Iris hooks", Kind: "consumable", Quantity: quantity, State: state, Counted: counted, Note: note}
}

// The same item stands once, with the largest quantity; open beats have ready;
// counted if any counts. Source: the unit's rule for merging, customary practice of laying out.
func TestSameItemOnce(t *testing.T) {
	for _, row := range []struct {
		name    string
		add     []Action
		want    SetupLine
		special bool
		reason  string
	}{
		{"nothing new", []Action{addItem(hooks(1, cards.HaveReady, false, ""))}, SetupLine{Quantity: 1, State: cards.HaveReady}, false, "house rule: rule r (always)"},
		{"open beats have ready", []Action{addItem(hooks(1, cards.Open, false, ""))}, SetupLine{Quantity: 1, State: cards.Open}, true, "house rule: rule r: open, not only have ready"},
		{"the larger quantity", []Action{addItem(hooks(5, cards.HaveReady, false, "")), addItem(hooks(2, cards.HaveReady, false, ""))}, SetupLine{Quantity: 5, State: cards.HaveReady}, true, "house rule: rule r: quantity 5"},
		{"counted if any counts", []Action{addItem(hooks(1, cards.HaveReady, true, ""))}, SetupLine{Quantity: 1, State: cards.HaveReady, Counted: true}, true, "house rule: rule r: counted"},
		{"both notes", []Action{addItem(hooks(1, cards.HaveReady, false, "five"))}, SetupLine{Quantity: 1, State: cards.HaveReady, Note: "five"}, true, "house rule: rule r"},
		{"all of it", []Action{addItem(hooks(5, cards.Open, true, ""))}, SetupLine{Quantity: 5, State: cards.Open, Counted: true}, true, "house rule: rule r: open, not only have ready, quantity 5 and counted"},
	} {
		s := generated(t, plainCard(), plainBook(rule("r", Condition{}, row.add...)), plainCase())
		got := setupOf(t, s, "iris-hooks")
		if got.Quantity != row.want.Quantity || got.State != row.want.State || got.Counted != row.want.Counted || got.Note != row.want.Note || got.Special != row.special {
			t.Errorf("%s: %+v", row.name, got)
		}
		if len(got.Why) < 2 || got.Why[0].From != FromCard || strings.TrimSuffix(row.reason, " (always)") != got.Why[1].Text {
			t.Errorf("%s: reasons %+v, want the card and %q", row.name, got.Why, row.reason)
		}
	}
}

func TestAddedItemsFollowTheCardsOwn(t *testing.T) {
	dye := cards.Item{Key: "dye", Name: "Capsule dye", Kind: "drug", Quantity: 1, State: cards.Open}
	ring := cards.Item{Key: "ring", Name: "Tension ring", Kind: "implant", Quantity: 1, State: cards.HaveReady}
	s := generated(t, plainCard(), plainBook(rule("a", Condition{}, addItem(ring)), rule("b", Condition{}, addItem(dye))), plainCase())
	var keys []cards.Key
	for _, l := range s.Setup {
		keys = append(keys, l.Key)
	}
	if want := []cards.Key{"speculum", "chopper", "iris-hooks", "iodine", "gloves", "ring", "dye"}; !slices.Equal(keys, want) {
		t.Errorf("order %v, want %v", keys, want)
	}
	if l := setupOf(t, s, "dye"); !l.Special || l.Why[0].ID != "b" {
		t.Errorf("added item: %+v", l)
	}
}

// A rule that adds what the card has among its drugs opens the drug and makes no second line.
func TestAddedItemJoinsTheDrug(t *testing.T) {
	more := cards.Item{Key: "cefuroxime", Name: "Cefuroxime", Kind: "drug", Quantity: 2, State: cards.Open}
	s := generated(t, plainCard(), plainBook(rule("a", Condition{}, addItem(more))), plainCase())
	if d := s.Drugs[0]; len(s.Drugs) != 1 || d.State != cards.Open || !d.Special || d.Note != "quantity 2" {
		t.Errorf("drugs %+v", s.Drugs)
	}
	if len(s.Setup) != len(plainCard().Items) {
		t.Errorf("the set-up list has a second line for the drug: %+v", s.Setup)
	}
}

func withhold(substitute *cards.Item, allergens ...cards.Allergen) Action {
	return Action{Kind: Withhold, Allergens: allergens, Substitute: substitute}
}

var (
	chlorhexidine = cards.Item{Key: "chlorhexidine", Name: "Chlorhexidine", Kind: "fluid", Quantity: 1, State: cards.Open, Allergens: []cards.Allergen{"chlorhexidine"}}
	moxifloxacin  = cards.Item{Key: "moxifloxacin", Name: "Moxifloxacin", Kind: "drug", Quantity: 1, State: cards.HaveReady, Allergens: []cards.Allergen{"quinolone"}}
	readySaline   = cards.Item{Key: "saline", Name: "Saline", Kind: "fluid", Quantity: 1, State: cards.HaveReady}
	saline        = cards.Item{Key: "saline", Name: "Saline", Kind: "fluid", Quantity: 1, State: cards.Open}
)

func allergic(to string) Condition { return when("allergies", cards.Includes, to) }

// What an allergy does to the set-up. That chlorhexidine may stand in for
// iodine, and moxifloxacin for cefuroxime, is published (a review of
// antisepsis before eye surgery; a 2013 order of antibiotics); the mechanics are the project's.
func TestAllergies(t *testing.T) {
	iodineRule := asking(rule("iodine", allergic("iodine"), withhold(&chlorhexidine, "iodine")), SignIn, "Allergic to iodine?")
	cefRule := asking(rule("cef", allergic("cephalosporin"), withhold(&moxifloxacin, "cephalosporin")), SignIn, "Allergic to iodine?")
	quinoloneRule := asking(rule("quin", allergic("quinolone"), withhold(&saline, "quinolone")), SignIn, "Allergic to iodine?")
	second := asking(rule("second", allergic("iodine"), withhold(&saline, "iodine")), SignIn, "Allergic to iodine?")
	for _, row := range []struct {
		name      string
		rules     []Rule
		allergies string
		key       cards.Key
		struck    Struck
		instead   string
		special   string
	}{
		{"no allergy", []Rule{iodineRule}, "none", "iodine", "", "", ""},
		{"the unit's substitute", []Rule{iodineRule}, "iodine", "iodine", StruckSubstituted, "Chlorhexidine",
			"caution: Withheld: Povidone-iodine (contains iodine). Set by the unit in its place: Chlorhexidine."},
		{"no substitute set", nil, "iodine", "iodine", StruckWithheld, "",
			"stop: Withheld: Povidone-iodine (contains iodine). Nothing is set in its place: ask what to use."},
		{"the safety net under the rules", nil, "latex", "gloves", StruckWithheld, "",
			"stop: Withheld: Latex gloves (contains latex). Nothing is set in its place: ask what to use."},
		{"the substitute is withheld too", []Rule{iodineRule}, "iodine,chlorhexidine", "iodine", StruckWithheld, "",
			"stop: Withheld: Povidone-iodine (contains iodine). Nothing is set in its place: ask what to use."},
		{"the substitute of the substitute", []Rule{cefRule, quinoloneRule}, "cephalosporin,quinolone", "cefuroxime", StruckSubstituted, "Saline",
			"caution: Withheld: Cefuroxime (contains cephalosporin). Set by the unit in its place: Saline."},
		{"two substitutes: somebody must say", []Rule{iodineRule, second}, "iodine", "iodine", StruckSubstituted, "Chlorhexidine or Saline",
			"stop: Withheld: Povidone-iodine (contains iodine). The unit has set Chlorhexidine and Saline in its place: somebody must say which."},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := generated(t, plainCard(), plainBook(row.rules...), plainCase("allergies="+row.allergies))
			struck, instead := struckOf(s, row.key)
			if struck != row.struck || instead != row.instead {
				t.Errorf("%s is %q, instead %q; want %q, %q", row.key, struck, instead, row.struck, row.instead)
			}
			if row.special != "" && !has(specialsOf(s), row.special) {
				t.Errorf("special for the case:\n%s\nwant\n%s", strings.Join(specialsOf(s), "\n"), row.special)
			}
		})
	}
}

func struckOf(s Sheet, key cards.Key) (Struck, string) {
	for _, l := range s.Setup {
		if l.Key == key {
			return l.Struck, l.Instead
		}
	}
	for _, d := range s.Drugs {
		if d.Key == key {
			return d.Struck, d.Instead
		}
	}
	return "no such line", ""
}

func TestSubstituteStandsOnTheListWithItsReason(t *testing.T) {
	r := asking(rule("iodine", allergic("iodine"), withhold(&chlorhexidine, "iodine")), SignIn, "Allergic to iodine?")
	s := generated(t, plainCard(), plainBook(r), plainCase("allergies=iodine"))
	l := setupOf(t, s, "chlorhexidine")
	if !l.Special || l.Struck != "" {
		t.Errorf("substitute %+v", l)
	}
	mustText(t, "reason", l.Why[0].Text, "house rule: rule iodine (allergies: iodine): instead of Povidone-iodine")
	if len(generated(t, plainCard(), plainBook(r), plainCase()).Setup) != len(plainCard().Items) {
		t.Error("the substitute stands on the list of a case without the allergy")
	}
}

func TestFreeTextAllergyIsReadAgainstLabels(t *testing.T) {
	s := generated(t, plainCard(), plainBook(), plainCase("allergy-other=nickel"))
	if !has(specialsOf(s), "stop: Read the labels against: nickel.") {
		t.Errorf("special %q", specialsOf(s))
	}
	if got := specialsOf(generated(t, plainCard(), plainBook(), plainCase("allergy-other=none"))); len(got) > 0 {
		t.Errorf("none written: %q", got)
	}
}

// "Do not use" beats open and have ready. Source: hydrodissection is avoided in
// a posterior polar cataract (Osher; Vasavada 2005).
func TestDoNotUseIsAConflict(t *testing.T) {
	card := plainCard()
	card.Items = append(card.Items, cards.Item{Key: "cannula", Name: "Hydrodissection cannula", Kind: "instrument", Quantity: 1, State: cards.Open})
	polar := asking(rule("polar", when("posterior-polar", cards.Is, cards.Yes),
		Action{Kind: DoNotUse, Items: []cards.Key{"cannula", "ring", "cefuroxime"}}), TeamBrief, "Posterior polar?")
	again := rule("open", Condition{}, addItem(cards.Item{Key: "cannula", Name: "Hydrodissection cannula", Kind: "instrument", Quantity: 2, State: cards.Open}))
	s := generated(t, card, plainBook(polar, again), plainCase("posterior-polar=yes"))
	if l := setupOf(t, s, "cannula"); l.Struck != StruckConflict || l.Quantity != 2 {
		t.Errorf("the cannula: %+v", l)
	}
	if struck, _ := struckOf(s, "cefuroxime"); struck != StruckConflict {
		t.Errorf("a drug is %q, want a conflict", struck)
	}
	want := []string{
		"stop: Hydrodissection cannula: do not use in this case. Somebody must answer for it or take it away.",
		"stop: Cefuroxime: do not use in this case. Somebody must answer for it or take it away.",
		"caution: The drill “Capsule rupture” opens Cefuroxime, which is struck out on this sheet (conflict). Agree on another way.",
	}
	slices.Sort(want)
	got := specialsOf(s)
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("special\n%s", strings.Join(got, "\n"))
	}
	if l := setupOf(t, generated(t, card, plainBook(polar), plainCase("posterior-polar=no")), "cannula"); l.Struck != "" {
		t.Errorf("without the fact: %+v", l)
	}
}

// An allergy and a conflict on one thing: both stops stand.
func TestConflictHidesNoAllergy(t *testing.T) {
	r := rule("r", Condition{}, Action{Kind: DoNotUse, Items: []cards.Key{"iodine"}, Text: "not in this eye."})
	s := generated(t, plainCard(), plainBook(r), plainCase("allergies=iodine"))
	for _, want := range []string{"stop: Povidone-iodine: not in this eye.", "stop: Withheld: Povidone-iodine (contains iodine). Nothing is set in its place: ask what to use."} {
		if !has(specialsOf(s), want) {
			t.Errorf("missing %q in %q", want, specialsOf(s))
		}
	}
	if struck, _ := struckOf(s, "iodine"); struck != StruckConflict {
		t.Errorf("struck %q", struck)
	}
}

// A step of the card that must not be done is a conflict that names the step.
// Words: as people write them; a word that is denied is not done.
func TestDoNotUseStrikesSteps(t *testing.T) {
	for _, row := range []struct {
		step cards.Step
		want bool
	}{
		{cards.Step{Key: "hydrodissection", Title: "Hydrodissection"}, true},
		{cards.Step{Key: "hydrodissection", Title: "Free the nucleus"}, true}, // renamed, the key stays
		{cards.Step{Key: "free", Title: "Free the nucleus", Do: "Hydrodissect in one wave."}, true},
		{cards.Step{Key: "free", Title: "Cortical-cleaving hydrodissection"}, true},
		{cards.Step{Key: "say-it", Title: "Say it", Do: "“No hydrodissection in this eye.”"}, false},
		{cards.Step{Key: "free", Title: "Free the nucleus", Do: "Never hydrodissect."}, false},
		{cards.Step{Key: "free", Title: "Free the nucleus", Do: "No wave of fluid, then hydrodissection."}, true},
		{cards.Step{Key: "delineation", Title: "Hydrodelineation", Do: "From the inside."}, false},
	} {
		card := plainCard()
		card.Steps = []cards.Step{row.step}
		s := generated(t, card, plainBook(rule("polar", when("posterior-polar", cards.Is, cards.Yes), Action{Kind: DoNotUse, Steps: []string{"hydrodissect"}, Text: "no hydrodissection."})), plainCase("posterior-polar=yes"))
		want := []string(nil)
		if row.want {
			want = []string{"stop: Step “" + row.step.Title + "” of the card: no hydrodissection."}
		}
		if got := specialsOf(s); !slices.Equal(got, want) {
			t.Errorf("%+v: special %q, want %q", row.step, got, want)
		}
		if struck := s.Steps[0].Struck == StruckConflict; struck != row.want || struck && s.Steps[0].Why[0].ID != "polar" {
			t.Errorf("%+v: %+v", row.step, s.Steps[0])
		}
	}
	card := plainCard()
	card.Steps = []cards.Step{{Key: "hydrodissection", Title: "Hydrodissection"}}
	s := generated(t, card, plainBook(rule("polar", when("posterior-polar", cards.Is, cards.Yes), Action{Kind: DoNotUse, Steps: []string{"hydrodissect"}})), plainCase("posterior-polar=no"))
	if len(s.Special) > 0 || s.Steps[0].Struck != "" {
		t.Errorf("without the factor: %+v", s.Special)
	}
}
