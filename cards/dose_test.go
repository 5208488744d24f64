package cards

import "testing"

func measure(value, unit string) Measure { return Measure{MustQuantity(value), Unit(unit)} }

// Each row is an arithmetic identity (1 % = 10 mg/mL) applied to a strength
// and a volume from a published recipe.
func TestDoseOf(t *testing.T) {
	cases := []struct {
		source   string
		strength Measure
		volume   string
		unit     Unit
		want     string
	}{
		{"cefuroxime 10 mg/mL, 0.1 mL is 1 mg (ESCRS multicentre trial, JCRS 2007)", measure("10", "mg/mL"), "0.1", "mg", "1"},
		{"moxifloxacin 0.5 %, 0.1 mL is 500 micrograms (published pharmacokinetic abstract)", measure("0.5", "%"), "0.1", "micrograms", "500"},
		{"moxifloxacin 0.1 %, 0.1 mL is 100 micrograms (Arbisser 2008)", measure("0.1", "%"), "0.1", "micrograms", "100"},
		{"phenylephrine 1.5 %, 0.6 mL is 9 mg (Lorente, Ophthalmology 2012)", measure("1.5", "%"), "0.6", "mg", "9"},
		{"lidocaine 1 %, 0.5 mL is 5 mg (trial of 162 eyes; mg by calculation)", measure("1", "%"), "0.5", "mg", "5"},
		{"trypan blue 0.06 %, 0.1 mL is 0.06 mg (value from memory, unconfirmed)", measure("0.06", "%"), "0.1", "mg", "0.06"},
		{"adrenaline 1 microgram/mL, 500 mL is 0.5 mg (identity)", measure("1", "micrograms/mL"), "500", "mg", "0.5"},
		{"hyaluronidase 15 units/mL, 5 mL is 75 units (identity)", measure("15", "units/mL"), "5", "units", "75"},
	}
	for _, c := range cases {
		got, ok := DoseOf(c.strength, MustQuantity(c.volume), c.unit)
		if !ok || got.String() != c.want {
			t.Errorf("%s: got %q, %v", c.source, got, ok)
		}
	}
}

func TestDoseOfRefuses(t *testing.T) {
	for _, c := range []struct {
		name     string
		strength Measure
		volume   Quantity
		unit     Unit
	}{
		{"units are not milligrams", measure("15", "units/mL"), Whole(1), "mg"},
		{"drops have no volume", measure("5", "%"), Whole(1), "drops"},
		{"no volume stated", measure("5", "%"), Quantity{}, "mg"},
		{"no strength stated", Measure{}, Whole(1), "mg"},
		{"finer than a quantity holds", measure("0.000001", "micrograms/mL"), MustQuantity("0.1"), "mg"},
		{"larger than a quantity holds", measure("900000000", "mg/mL"), Whole(900_000_000), "mg"},
	} {
		if got, ok := DoseOf(c.strength, c.volume, c.unit); ok {
			t.Errorf("%s: got %q, want a refusal", c.name, got)
		}
	}
}
