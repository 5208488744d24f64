package cards

import (
	"slices"
	"strings"
	"testing"
)

func codes(ps Problems) []string {
	out := []string{}
	for _, p := range ps {
		out = append(out, string(p.Level)+" "+p.Code+" "+p.Path)
	}
	return out
}

// More flow with no more irrigation lowers the pressure in the chamber
// (published lectures on fluidics; p = static pressure less resistance times flow).
func TestFlowRaisedWithIrrigationUnchanged(t *testing.T) {
	limits := func(flow, bottle, pressure string) Limits {
		return Limits{Flow: quantityOr(flow), Bottle: quantityOr(bottle), Pressure: quantityOr(pressure)}
	}
	for _, row := range []struct {
		name     string
		pump     Pump
		from, to Limits
		want     bool
	}{
		{"bottle unchanged", "peristaltic", limits("25", "80", ""), limits("35", "80", ""), true},
		{"bottle lowered", "peristaltic", limits("25", "80", ""), limits("35", "70", ""), true},
		{"bottle raised too", "peristaltic", limits("25", "80", ""), limits("35", "95", ""), false},
		{"flow the same", "peristaltic", limits("25", "80", ""), limits("25", "80", ""), false},
		{"flow lowered", "peristaltic", limits("35", "80", ""), limits("25", "80", ""), false},
		{"pressure unchanged", "peristaltic", limits("25", "", "55"), limits("26", "", "55"), true},
		{"pump not stated", "", limits("25", "80", ""), limits("35", "80", ""), true},
		{"a vacuum pump sets no flow", venturi, limits("25", "80", ""), limits("35", "80", ""), false},
		{"irrigation not stated", "peristaltic", limits("25", "", ""), limits("35", "80", ""), false},
		{"one by height, one by pressure", "peristaltic", limits("25", "80", ""), limits("35", "", "55"), false},
	} {
		if got := FlowRaised(Machine{Pump: row.pump}, row.from, row.to); got != row.want {
			t.Errorf("%s: %v, want %v", row.name, got, row.want)
		}
	}
}

func quantityOr(s string) Quantity {
	if s == "" {
		return Quantity{}
	}
	return MustQuantity(s)
}

// Each row spoils a plain card in one way; the caution must name the place and the reason.
func TestRelationsOfACard(t *testing.T) {
	phases := func(c *Card, n int, l Limits) { c.Phases[n].Limits = l }
	for _, row := range []struct {
		name  string
		spoil func(*Card)
		want  []string
		says  string
	}{
		{"flow raised between phases", func(c *Card) { c.Phases[0].Limits.Bottle, c.Phases[1].Limits.Bottle = Whole(85), Whole(85) }, []string{"caution flow raised phases/chop/flow"}, "lowers the pressure in the chamber"},
		{"flow raised by a variant", func(c *Card) {
			c.Variants[0].Phases[0].Limits.Flow, c.Variants[0].Phases[0].Limits.Bottle = Whole(40), Whole(95)
		},
			[]string{"caution flow raised variants/dense/chop/flow"}, "that of the card itself (35 mL/min)"},
		{"low irrigation of a vitrectomy", func(c *Card) {
			c.Phases = append(c.Phases, Phase{Key: "vitrectomy", Name: "Vitrectomy", Kind: AnteriorVitrectomy, Limits: Limits{Flow: Whole(20), Bottle: Whole(40)}})
			c.Phases[2].Limits = Limits{Flow: Whole(15), Bottle: Whole(75)}
		}, []string{"caution unusual phases/cortex/flow"}, ""},
		{"a pump that stands still", func(c *Card) { c.Machine.Pump = "peristaltic"; phases(c, 0, Limits{Flow: Whole(0), Vacuum: Whole(60)}) },
			[]string{"caution unusual phases/sculpt/flow", "caution no flow phases/sculpt/flow"}, "builds no vacuum"},
		{"ultrasound chosen for cortex", func(c *Card) { phases(c, 2, Limits{Ultrasound: Torsional}) }, []string{"caution ultrasound phases/cortex/ultrasound"}, "works without ultrasound"},

		{"no second instrument", func(c *Card) { c.Items = c.Items[1:] }, []string{"caution second instrument items"}, "a horizontal chopper, but lists none"},
		{"second instrument unopened", func(c *Card) { c.Items[0].State = HaveReady }, []string{"caution second instrument items"}, "has it ready only"},
		{"vertical chopper on a horizontal card", func(c *Card) { c.Items[0].Key, c.Items[0].Name = "vertical-chopper", "Vertical chopper" }, []string{"caution other chopper items"}, "opens a vertical chopper, but not a horizontal chopper"},
		{"horizontal chopper on a vertical card", func(c *Card) { c.Technique = VerticalChop }, []string{"caution other chopper items"}, "opens a horizontal chopper, but not a vertical chopper"},
		{"both choppers on a vertical card", func(c *Card) {
			c.Technique = VerticalChop
			c.Items = append(c.Items, Item{Key: "sharp-chopper", Name: "Sharp chopper", Kind: "instrument", Quantity: 1, State: Open})
		}, []string{}, ""},
		{"chopper for divide and conquer", func(c *Card) { c.Technique = DivideAndConquer }, []string{}, ""},
		{"nothing for divide and conquer", func(c *Card) { c.Technique = DivideAndConquer; c.Items = c.Items[1:] }, []string{"caution second instrument items"}, "Divide and conquer is done with a nucleus rotator or a spatula"},
		{"stop and chop without a chopper", func(c *Card) { c.Technique = StopAndChop; c.Items = c.Items[1:] }, []string{"caution second instrument items"}, "a chopper"},
		{"a card just begun", func(c *Card) { c.Items, c.Triggers = nil, nil }, []string{}, ""},

		{"ring in the drill of an anterior tear", func(c *Card) {
			c.Items = append(c.Items, Item{Key: "capsular-tension-ring", Name: "Capsular tension ring", Kind: "implant", Quantity: 1, State: HaveReady})
			c.Triggers[0].Key, c.Triggers[0].Open = "anterior-capsule-tear", []Key{"capsular-tension-ring"}
		}, []string{"caution forbidden triggers/anterior-capsule-tear/open"}, "must not go into a torn capsule"},
		{"ring in the drill of a dialysis", func(c *Card) {
			c.Items = append(c.Items, Item{Key: "capsular-tension-ring", Name: "Capsular tension ring", Kind: "implant", Quantity: 1, State: HaveReady})
			c.Triggers[0].Key, c.Triggers[0].Open = "zonular-dialysis", []Key{"capsular-tension-ring"}
		}, []string{}, ""},
		{"a drug that does not say what it is", func(c *Card) { c.Drugs[0].Allergens = nil }, []string{"caution untagged drugs/cefuroxime/allergens"}, "Mark it as containing cephalosporin"},
		{"a variant against a setting of the unit", func(c *Card) {
			c.Variants[0].When[0] = Test{Factor: "dilated-pupil", Op: Below, Setting: "small-pupil"}
		},
			[]string{"error setting variants/dense/when"}, "Write the value"},
	} {
		t.Run(row.name, func(t *testing.T) {
			c := plain()
			row.spoil(&c)
			found := Check(c)
			if got := codes(found); !slices.Equal(got, row.want) {
				t.Fatalf("%v, want %v", got, row.want)
			}
			if !strings.Contains(found.Error(), row.says) {
				t.Errorf("%s does not say %q", found.Error(), row.says)
			}
			for _, p := range found.Cautions() {
				if p.Source == "" {
					t.Errorf("caution without a source: %s", p.Text)
				}
			}
		})
	}
}

// Generic names and what they belong to: common knowledge of the trade, no source.
func TestAllergensByName(t *testing.T) {
	for name, want := range map[string][]Allergen{
		"Povidone-iodine 5 %":            {"iodine"},
		"Aqueous chlorhexidine":          {"chlorhexidine"},
		"Latex gloves":                   {"latex"},
		"Latex-free gloves":              nil,
		"Gloves without latex":           nil,
		"Cefuroxime":                     {"cephalosporin"},
		"Cefazolin":                      {"cephalosporin"},
		"Amoxicillin":                    {"penicillin"},
		"Moxifloxacin":                   {"quinolone"},
		"Levofloxacin drops":             {"quinolone"},
		"Acetazolamide":                  {"sulfonamide"},
		"Sulfacetamide drops":            {"sulfonamide"},
		"Proxymetacaine 0.5 % drops":     {"local anaesthetic"},
		"Lidocaine 2 %":                  {"local anaesthetic"},
		"Tape":                           {"sticking plaster"},
		"Lipid 20 %":                     {"egg or soya"},
		"Propofol":                       {"egg or soya"},
		"Phenylephrine":                  nil,
		"Balanced salt solution":         nil,
		"Acetylcholine":                  nil,
		"Lidocaine with povidone-iodine": {"iodine", "local anaesthetic"},
	} {
		if got := UntaggedAllergens(name, nil); !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
		if got := UntaggedAllergens(name, want); len(got) > 0 {
			t.Errorf("%s, tagged: %v", name, got)
		}
	}
}

// One parser and one renderer serve every call, several at a time.
func TestNotesAreRenderedSideBySide(t *testing.T) {
	const md = "### Words\n\nI say *up* for vacuum.\n\n| a | b |\n| - | - |\n| 1 | ~~2~~ |\n"
	want := RenderNotes(md)
	done := make(chan string)
	for range 8 {
		go func() {
			got := want
			for range 50 {
				if html := RenderNotes(md); html != want {
					got = html
				}
			}
			done <- got
		}()
	}
	for range 8 {
		if got := <-done; got != want {
			t.Errorf("another text beside others:\n%s\nwant\n%s", got, want)
		}
	}
}
