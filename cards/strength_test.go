package cards

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestStrengthTable(t *testing.T) {
	for _, row := range published(t, "strengths.csv") {
		s, err := ParseStrength(row[0])
		if err != nil {
			t.Errorf("%s: %v", row[0], err)
			continue
		}
		mg, unit, ok := s.PerMillilitre()
		if !ok || unit != "mg" {
			t.Errorf("%s: %s, %v", row[0], unit, ok)
		}
		agrees(t, row[0], times(mg, ratThousand), row[1])
	}
}

func TestDoseTable(t *testing.T) {
	for _, row := range published(t, "doses.csv") {
		mg, _ := MustStrength(row[0]).perMillilitre()
		agrees(t, row[3], times(times(mg, ratio(MustQuantity(row[1]))), ratThousand), row[2])
	}
}

func TestParseStrength(t *testing.T) {
	good := map[string]string{
		"10 mg/mL": "10 mg/mL", "10mg/mL": "10 mg/mL", "10 mg per mL": "10 mg/mL", " 0.50 % ": "0.5 %", "1 microgram/mL": "1 micrograms/mL",
		"15 units/mL": "15 units/mL", "1:1000": "1:1000", "1:10 000": "1:10,000", "1:1,000,000": "1:1,000,000", "1: 10000": "1:10,000",
	}
	for in, want := range good {
		if s, err := ParseStrength(in); err != nil || s.String() != want {
			t.Errorf("%q reads as %q, %v; want %q", in, s, err, want)
		}
	}
	bad := []struct {
		in   string
		want error
	}{
		{"1:3", ErrStrengthAmbiguous},    // 1 part and 3 parts, or 1 in 3: mixed both ways in practice (Guthrie, Eye 2018)
		{"1:1", ErrStrengthAmbiguous},    // likewise
		{"1:99", ErrStrengthAmbiguous},   // still read as parts
		{"1:10,00", ErrStrengthSyntax},   // a group of two
		{"1:1.000", ErrStrengthSyntax},   // a point between groups
		{"1:", ErrStrengthSyntax},        // no n
		{"10", ErrStrengthSyntax},        // no unit
		{"mg/mL", ErrStrengthSyntax},     // no number
		{"10 µg/mL", ErrStrengthSyntax},  // micro is spelled
		{"10 mcg/mL", ErrStrengthSyntax}, // likewise
		{".5 %", ErrQuantityPoint},       // reads as 5
		{"0 %", ErrStrengthZero},         // nothing in it
		{"-1 %", ErrStrengthZero},        // likewise
		{"101 %", ErrStrengthTooMuch},    // more than pure
		{"1001 mg/mL", ErrStrengthTooMuch},
	}
	for _, c := range bad {
		if s, err := ParseStrength(c.in); !errors.Is(err, c.want) {
			t.Errorf("%q reads as %q, %v; want %v", c.in, s, err, c.want)
		}
	}
}

// Percent, mg per mL and micrograms per mL of the same number stand 1 : 10 : 10,000.
func TestStrengthUnitsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 100_000).Draw(t, "thousandths of a percent")
		percent := Strength{FromMillionths(n * 1000), "%"}
		mg := Strength{FromMillionths(n * 10_000), "mg/mL"}
		micrograms := Strength{FromMillionths(n * 10_000_000), "micrograms/mL"}
		a, _ := percent.perMillilitre()
		b, _ := mg.perMillilitre()
		c, _ := micrograms.perMillilitre()
		if a.Cmp(b) != 0 || b.Cmp(c) != 0 {
			t.Fatalf("%s, %s and %s differ", percent, mg, micrograms)
		}
		n = rapid.Int64Range(smallestRatio, 1_000_000).Draw(t, "n")
		d, _ := Strength{Whole(n), Ratio}.perMillilitre()
		if times(d, ratio(Whole(n))).Cmp(ratThousand) != 0 {
			t.Fatalf("1:%d is %s mg/mL", n, d.FloatString(9))
		}
	})
}

func TestStrengthWorking(t *testing.T) {
	w := reckon(t, "strength", `{"strength":"1:1,000,000"}`)
	for id, want := range map[string]string{"strength": "0.001", "micrograms": "1", "percent": "0.0001", "ratio": "1:1,000,000"} {
		if got := result(t, w, id); got != want {
			t.Errorf("%s: got %q, want %q", id, got, want)
		}
	}
	// 0.6 micrograms/mL is about 1:1.67 million (published irrigating strength; ratio by calculation).
	if w := reckon(t, "strength", `{"strength":"0.6 micrograms/mL"}`); result(t, w, "ratio") != "about 1:1,666,667" {
		t.Errorf("%+v", w.Result)
	}
	// Moxifloxacin 0.5 %, 0.1 mL.
	if w := reckon(t, "dose in a volume", `{"strength":"0.5 %","volume":"0.1"}`); result(t, w, "micrograms") != "500" || result(t, w, "amount") != "0.5" {
		t.Errorf("%+v", w.Result)
	}
	if w := reckon(t, "dose in a volume", `{"strength":"0.5 %","volume":"0.05"}`); !strings.Contains(strings.Join(w.Cautions, " "), "less than 0.1 mL") {
		t.Errorf("no caution about 0.05 mL: %v", w.Cautions)
	}
	// Hyaluronidase 15 units/mL, 5 mL.
	if w := reckon(t, "dose in a volume", `{"strength":"15 units/mL","volume":"5"}`); result(t, w, "amount") != "75" {
		t.Errorf("%+v", w.Result)
	}
}

func FuzzParseStrength(f *testing.F) {
	for _, s := range []string{"10 mg/mL", "0.5 %", "1:1000", "1:10 000", "1:3", ".5%", "1:1,000,000", "10 µg/mL", "-1 units per mL"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseStrength(text)
		if err != nil {
			return
		}
		again, err := ParseStrength(s.String())
		if err != nil || again != s {
			t.Errorf("%q reads as %q, which reads as %q, %v", text, s, again, err)
		}
		if mg, _ := s.perMillilitre(); mg.Sign() <= 0 {
			t.Errorf("%q is %s per mL", text, mg)
		}
		b, err := json.Marshal(s)
		var back Strength
		if err != nil || json.Unmarshal(b, &back) != nil || back != s {
			t.Errorf("%q does not travel as JSON: %s", text, b)
		}
	})
}
