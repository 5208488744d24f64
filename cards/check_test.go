package cards

import (
	"strings"
	"testing"
)

// plain is a small card without any problem. Its numbers are made up for the test.
func plain() Card {
	return Card{
		ID: "anna-chop", Title: "Horizontal chop", Technique: HorizontalChop, Owner: "anna",
		Machine: Machine{Irrigation: BottleHeight},
		Items: []Item{
			{Key: "horizontal-chopper", Name: "Horizontal chopper", Kind: "instrument", Quantity: 1, State: Open, Place: "front right"},
			{Key: "iris-hooks", Name: "Iris hooks", Kind: "consumable", Quantity: 5, State: HaveReady, Place: "room"},
		},
		Drugs: []Drug{{Key: "cefuroxime", Name: "Cefuroxime", Strength: measure("10", "mg/mL"), Dose: measure("1", "mg"),
			Volume: MustQuantity("0.1"), Route: "intracameral", State: Open, Allergens: []Allergen{"cephalosporin"}}},
		Phases: []Phase{
			{Key: "sculpt", Name: "Sculpt", Kind: Sculpt, Limits: Limits{Ultrasound: Longitudinal, Mode: Continuous, Power: Whole(50), PowerControl: Linear,
				Vacuum: Whole(60), Flow: Whole(25), Bottle: Whole(75)}},
			{Key: "chop", Name: "Chop", Kind: Chop, Limits: Limits{Ultrasound: Longitudinal, Mode: Burst, Power: Whole(30), BurstLength: Whole(30),
				Vacuum: Whole(350), Flow: Whole(35), Bottle: Whole(95)}},
			{Key: "cortex", Name: "Cortex", Kind: Cortex, Limits: Limits{Ultrasound: NoUltrasound, Vacuum: Whole(450), Flow: Whole(30), Bottle: Whole(85)}},
		},
		Steps:    []Step{{Key: "groove", Title: "Groove", Phase: "sculpt", Do: "One groove", Checkpoint: "The reflex brightens"}},
		Triggers: []Trigger{{Key: "small-pupil", Title: "Pupil comes down", Seen: "The pupil closes", Say: "Pupil", Scrub: []string{"Hand the hooks"}, Open: []Key{"iris-hooks"}}},
		Variants: []Variant{{Key: "dense", Title: "Dense nucleus", When: []Test{{Factor: NucleusGrade, Op: AtLeast, Value: "4"}},
			Phases: []PhaseChange{{"chop", Limits{Ultrasound: Longitudinal, Mode: Burst, Power: Whole(50), Vacuum: Whole(400), Flow: Whole(35), Bottle: Whole(100)}}}}},
		Fit:   []Fit{{SpeaksAgainst, Test{Factor: "loose-zonules", Op: Is, Value: Yes}, "The chopper pushes on the bag"}},
		Notes: "Warm the fluid.",
	}
}

func TestCheckPlain(t *testing.T) {
	if ps := Check(plain()); len(ps) > 0 {
		t.Errorf("a plain card has problems:\n%v", ps)
	}
}

// Each case spoils one thing and names the problem's level, code and path.
func TestCheckFinds(t *testing.T) {
	cases := []struct {
		name  string
		spoil func(*Card)
		want  string
		says  string // part of the sentence: the thing, the figure and the mend
	}{
		{"vacuum beyond the atmosphere", func(c *Card) { c.Phases[1].Limits.Vacuum = Whole(760) },
			"error bounds phases/chop/vacuum", "Chop: vacuum 760 mmHg is outside 0 to 700 mmHg"},
		{"power above 100", func(c *Card) { c.Phases[0].Limits.Power = Whole(101) }, "error bounds phases/sculpt/power", "0 to 100 %"},
		{"finer than can be set", func(c *Card) { c.Phases[0].Limits.Flow = MustQuantity("25.01") }, "error fine phases/sculpt/flow", "steps of 0.1 mL/min"},
		{"power while off", func(c *Card) { c.Phases[2].Limits.Power = Whole(5) }, "error contradiction phases/cortex/power", "ultrasound is off"},
		{"pulse rate without pulse", func(c *Card) { c.Phases[0].Limits.PulseRate = Whole(40) }, "error contradiction phases/sculpt/pulse_rate", "Choose pulse"},
		{"bottle and pressure", func(c *Card) { c.Machine.Irrigation = ""; c.Phases[0].Limits.Pressure = Whole(50) },
			"error contradiction phases/sculpt/pressure", "Keep the one"},
		{"bottle on a pressure machine", func(c *Card) { c.Machine.Irrigation = IrrigationForce }, "error contradiction phases/sculpt/bottle", "Write the pressure"},
		{"dose out by ten", func(c *Card) { c.Drugs[0].Dose = measure("10", "mg") },
			"error dose drugs/cefuroxime/dose", "10 mg/mL times 0.1 mL is 1 mg"}, // 1 mg in 0.1 mL: ESCRS multicentre trial, JCRS 2007
		{"missing dilution step", func(c *Card) { c.Drugs[0].Strength = measure("100", "mg/mL") },
			"error dose drugs/cefuroxime/dose", "is 10 mg"}, // 750 mg in 7.5 mL is 100 mg/mL, ten times too strong to inject 0.1 mL
		{"step without its phase", func(c *Card) { c.Steps[0].Phase = "flip" }, "error no such phase steps/groove/phase", "Add the phase"},
		{"same item twice", func(c *Card) { c.Items[1].Key = "horizontal-chopper" }, "error twice items/horizontal-chopper", "twice"},
		{"no quantity", func(c *Card) { c.Items[0].Quantity = 0 }, "error bounds items/horizontal-chopper/quantity", "1 to 99"},
		{"own technique without a name", func(c *Card) { c.Technique = TechniqueOwn }, "error empty technique_name", "Write it"},
		{"impossible date", func(c *Card) { c.Review = "2027-02-29" }, "error date review", "2027-03-31"},
		{"unknown factor", func(c *Card) { c.Variants[0].When[0].Factor = "mood" }, "error no such factor variants/dense/when", "mood"},
		{"comparison of a yes or no", func(c *Card) { c.Fit[0].When.Op = AtLeast }, "error comparison fit/1", "“is”"},
		{"condition outside the scale", func(c *Card) { c.Variants[0].When[0].Value = "6" }, "error bounds variants/dense/when", "1 to 5"},
		{"variant that changes nothing", func(c *Card) { c.Variants[0].Phases = nil }, "error empty variants/dense", "remove it"},

		{"kept section with the name of a part", func(c *Card) { c.Extra = []Section{{Title: "Phases", Body: "x"}} }, "error known section extra", "another title"},
		{"kept section twice", func(c *Card) { c.Extra = []Section{{Title: "Parking", Body: "x"}, {Title: "Parking", Body: "y"}} }, "error twice extra", "Join the two"},

		// Order of vacuum over the phases: published teaching of the phases; ranges: value from memory, unconfirmed.
		{"sculpting above chopping", func(c *Card) { c.Phases[0].Limits.Vacuum = Whole(400) }, "caution relation phases/sculpt/vacuum", "not below chop vacuum 350 mmHg"},
		{"unusual vacuum shows the range", func(c *Card) { c.Phases[1].Limits.Vacuum = Whole(120) }, "caution unusual phases/chop/vacuum", "usual range 250 to 600 mmHg"},
		{"ultrasound while aspirating cortex", func(c *Card) { c.Phases[2].Limits = Limits{Power: Whole(10)} }, "caution ultrasound phases/cortex/power", "without ultrasound"},
		{"groove cut with pulses", func(c *Card) { c.Phases[0].Limits.Mode = Pulse }, "caution sculpt mode phases/sculpt/mode", "continuous"},
		{"drill opens what is not there", func(c *Card) { c.Triggers[0].Open = []Key{"pupil-ring"} }, "caution not ready triggers/small-pupil/open", "Add it as have ready"},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			c := plain()
			tc.spoil(&c)
			for _, p := range Check(c) {
				if string(p.Level)+" "+p.Code+" "+p.Path == tc.want && strings.Contains(p.Text, tc.says) {
					if p.Level == LevelCaution && p.Source == "" {
						t.Errorf("caution without a source: %s", p.Text)
					}
					return
				}
			}
			t.Errorf("want %q saying %q, got:\n%+v", tc.want, tc.says, Check(c))
		})
	}
}

// Ensure that usual ranges lie inside the hard bounds and every figure names its source.
func TestParameterVocabulary(t *testing.T) {
	for _, p := range Parameters {
		if p.Min.Cmp(p.Max) >= 0 || p.Step.Millionths() <= 0 || p.Source == "" || p.Label == "" {
			t.Errorf("%s: bounds %s to %s, step %s, source %q", p.ID, p.Min, p.Max, p.Step, p.Source)
		}
		for _, r := range p.Usual {
			if r.Min.Cmp(p.Min) < 0 || r.Max.Cmp(p.Max) > 0 || r.Min.Cmp(r.Max) > 0 || r.Source == "" {
				t.Errorf("%s in %s: usual %s to %s, bounds %s to %s, source %q", p.ID, r.Phase, r.Min, r.Max, p.Min, p.Max, r.Source)
			}
		}
	}
}

// The hard bound of the irrigation pressure is the static pressure of the
// highest bottle: 150 cm of water is 110.3 mmHg (1 cmH2O = 98.0665 Pa and
// 1 mmHg = 133.322387415 Pa; NIST SP 811 appendix B.8).
func TestPressureBoundIsTheHighestBottle(t *testing.T) {
	bottle, _ := ParameterByID("bottle")
	pressure, _ := ParameterByID("pressure")
	mmHg := float64(bottle.Max.Millionths()) / 1e6 * 98.0665 / 133.322387415
	if got := float64(pressure.Max.Millionths()) / 1e6; got > mmHg || mmHg-got > 1 {
		t.Errorf("pressure bound %g mmHg, static pressure of the highest bottle %g mmHg", got, mmHg)
	}
}

// Every parameter of the vocabulary says of a value outside its bounds, or
// finer than can be set, which field it is, what was written and what can be.
func TestEveryParameterNamesFieldValueAndBounds(t *testing.T) {
	for _, p := range Parameters {
		step := p.Step.Millionths() / 10
		for code, q := range map[string]Quantity{"bounds": FromMillionths(p.Max.Millionths() + step), "fine": FromMillionths(p.Min.Millionths() + step/10)} {
			k := &checker{}
			k.number("here", "", p.ID, q, "")
			if len(k.found) != 1 || k.found[0].Code != code || k.found[0].Path != "here" || !strings.HasPrefix(k.found[0].Text, p.Label+" "+withUnit(q, p.Unit)+" is ") {
				t.Errorf("%s, %s: %v", p.ID, code, k.found)
			}
			if code == "bounds" && !strings.Contains(k.found[0].Text, p.Min.String()+" to "+withUnit(p.Max, p.Unit)) {
				t.Errorf("%s: %q does not say what can be", p.ID, k.found[0].Text)
			}
		}
		k := &checker{}
		if k.number("here", "", p.ID, FromMillionths(p.Min.Millionths()-step), ""); len(k.found) != 1 || k.found[0].Code != "bounds" {
			t.Errorf("%s below its bounds: %v", p.ID, k.found)
		}
	}
}
