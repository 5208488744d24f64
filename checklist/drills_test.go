package checklist

import (
	"slices"
	"testing"

	"sideport/cards"
)

func TestRaisedDrillsComeFirst(t *testing.T) {
	r := rule("capsule", Condition{}, Action{Kind: RaiseDrill, Trigger: "capsule"})
	s := generated(t, plainCard(), plainBook(r), plainCase())
	if s.Triggers[0].Trigger.Key != "capsule" || !s.Triggers[0].Raised || s.Triggers[0].Why[1].ID != "capsule" {
		t.Errorf("first drill %+v", s.Triggers[0])
	}
	if s.Triggers[1].Trigger.Key != "small-pupil" || s.Triggers[1].Raised {
		t.Errorf("second drill %+v", s.Triggers[1])
	}
}

func TestRaisedDrillThatTheCardDoesNotHave(t *testing.T) {
	r := rule("burn", Condition{}, Action{Kind: RaiseDrill, Trigger: "wound-burn"})
	s := generated(t, plainCard(), plainBook(r), plainCase())
	want := []string{"caution: A house rule raises the drill “wound burn”, which neither the card nor the unit has. Agree on it at the team brief."}
	if got := specialsOf(s); !slices.Equal(got, want) {
		t.Errorf("special %q, want %q", got, want)
	}
}

// What a drill opens is looked up on the sheet, not on the card: a rule may have brought it, an allergy taken it.
func TestDrillsOpenWhatTheSheetHas(t *testing.T) {
	card := plainCard()
	card.Triggers = []cards.Trigger{{Key: "capsule", Title: "Capsule rupture", Seen: "chamber deepens", Say: "capsule", Open: []cards.Key{"cefuroxime", "vitrector"}}}
	vitrector := cards.Item{Key: "vitrector", Name: "Anterior vitrector", Kind: "instrument", Quantity: 1, State: cards.HaveReady}
	for _, row := range []struct {
		name    string
		rules   []Rule
		facts   string
		opens   []Opens
		special []string
	}{
		{"not on the sheet", nil, "white=no", []Opens{{"cefuroxime", "Cefuroxime", cards.HaveReady}, {"vitrector", "vitrector", ""}},
			[]string{"caution: The drill “Capsule rupture” opens vitrector, which is not on this sheet. Have it ready or agree on another way."}},
		{"brought by a rule", []Rule{rule("r", Condition{}, addItem(vitrector))}, "white=no",
			[]Opens{{"cefuroxime", "Cefuroxime", cards.HaveReady}, {"vitrector", "Anterior vitrector", cards.HaveReady}}, nil},
		{"taken by an allergy", []Rule{rule("r", Condition{}, addItem(vitrector))}, "allergies=cephalosporin",
			[]Opens{{"cefuroxime", "Cefuroxime", ""}, {"vitrector", "Anterior vitrector", cards.HaveReady}},
			[]string{"stop: Withheld: Cefuroxime (contains cephalosporin). Nothing is set in its place: ask what to use.",
				"caution: The drill “Capsule rupture” opens Cefuroxime, which is struck out on this sheet (withheld). Agree on another way."}},
	} {
		s := generated(t, card, plainBook(row.rules...), plainCase(row.facts))
		if got := s.Triggers[0].Opens; !slices.Equal(got, row.opens) {
			t.Errorf("%s: opens %+v", row.name, got)
		}
		if got := specialsOf(s); !slices.Equal(got, row.special) {
			t.Errorf("%s: special %q", row.name, got)
		}
	}
}

// The unit's drill serves where the card has none of the key; a card's own goes first.
func TestTheUnitsDrillServesWhereTheCardHasNone(t *testing.T) {
	book := plainBook(rule("burn", Condition{}, Action{Kind: RaiseDrill, Trigger: "wound-burn"}))
	book.Drills = []cards.Trigger{
		{Key: "capsule", Title: "Capsule rupture of the unit", Seen: "x", Say: "x", Source: "made up"},
		{Key: "wound-burn", Title: "Wound burn", Seen: "the wound turns white", Say: "burn", Open: []cards.Key{"speculum", "suture-10-0"}, Source: "made up"},
		{Key: "collapse", Title: "Collapse", Seen: "x", Say: "x", Open: []cards.Key{"suture-10-0", "trolley"}, Source: "made up"},
	}
	s := generated(t, plainCard(), book, plainCase())
	var got []string
	for _, d := range s.Triggers {
		got = append(got, d.Trigger.Title+" ("+string(d.Why[0].From)+")")
	}
	if want := []string{"Wound burn (unit drill)", "Pupil comes down (card)", "Capsule rupture (card)", "Collapse (unit drill)"}; !slices.Equal(got, want) {
		t.Errorf("drills %q, want %q", got, want)
	}
	if opens := s.Triggers[0].Opens; !slices.Equal(opens, []Opens{{"speculum", "Lid speculum", cards.Open}, {"suture-10-0", "suture 10 0", ""}}) {
		t.Errorf("opens %+v", opens)
	}
	// Of what is not there only the raised drill speaks; the other says it where it stands.
	want := []string{"caution: The drill “Wound burn” opens suture 10 0, which is not on this sheet. Have it ready or agree on another way."}
	if got := specialsOf(s); !slices.Equal(got, want) {
		t.Errorf("special %q, want %q", got, want)
	}
}
