package cards

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestToricTable(t *testing.T) {
	cornea := MustQuantity("2.5")
	for _, row := range published(t, "toric.csv") {
		turn := MustQuantity(row[0])
		equal, _ := EqualResidual(cornea, turn)
		general, _ := ResidualCylinder(cornea, cornea, turn)
		share := over(times(ratHundred, equal), ratio(cornea))
		agrees(t, row[0]+" degrees, share", share, row[1])
		agrees(t, row[0]+" degrees, general", general, row[3])
		agrees(t, row[0]+" degrees, equal", equal, row[3])
		rule := strings.Join(besideToric(cornea, cornea, turn), "\n")
		if row[2] == "" && !strings.Contains(rule, "does not hold beyond 30") {
			t.Errorf("%s degrees: the rule of thumb is shown: %s", row[0], rule)
		} else if row[2] != "" && !strings.Contains(rule, ": "+row[2]+" %.") {
			t.Errorf("%s degrees: want %s %% in %s", row[0], row[2], rule)
		}
	}
}

// C 2 D and T 1.5 D leave 0.50 D at 0 and 0.782 D at 10 degrees (by calculation).
func TestResidualCylinderGeneral(t *testing.T) {
	for turn, want := range map[string]string{"0": "0.50", "10": "0.782"} {
		got, _ := ResidualCylinder(Whole(2), MustQuantity("1.5"), MustQuantity(turn))
		agrees(t, turn+" degrees", got, want)
	}
}

// Nothing is gained from 30 degrees when equal; with a fifth of over-correction
// already from 26.6 degrees (exact), near the published 30 − 15 w = 27, and with
// a fifth of under-correction later (30 + 15 u = 33 published).
func TestTotalLossRotation(t *testing.T) {
	for lens, want := range map[string]string{"2": "30.0", "2.4": "26.6", "1.6": "33.2"} {
		got, ok := TotalLossRotation(Whole(2), MustQuantity(lens))
		if !ok {
			t.Fatalf("lens %s is refused", lens)
		}
		agrees(t, "lens "+lens, ratio(got), want)
		residual, _ := ResidualCylinder(Whole(2), MustQuantity(lens), got)
		if !within(residual.FloatString(9), 2, 1e-6) {
			t.Errorf("lens %s: at %s degrees %s D is left, want 2", lens, got, residual.FloatString(9))
		}
	}
	if _, ok := TotalLossRotation(Whole(1), MustQuantity("2.1")); ok {
		t.Error("a lens of more than twice the cornea has a rotation")
	}
}

func within(text string, want, tolerance float64) bool {
	f, _ := ratioOf(text).Float64()
	return math.Abs(f-want) <= tolerance
}

func TestAxisDifference(t *testing.T) {
	for _, c := range []struct{ a, b, want string }{
		{"179", "1", "2"}, // not 178
		{"0", "180", "0"}, {"90", "0", "90"}, {"10", "170", "20"}, {"45", "135", "90"}, {"5.5", "175", "10.5"}, {"370", "8", "2"}, {"-5", "5", "10"},
	} {
		if got, ok := AxisDifference(MustQuantity(c.a), MustQuantity(c.b)); !ok || got.String() != c.want {
			t.Errorf("%s to %s: %s, want %s", c.a, c.b, got, c.want)
		}
	}
	if _, ok := AxisDifference(Whole(1), Quantity{}); ok {
		t.Error("an axis that is not stated is read")
	}
}

// The reference is math.Sin, math.Cos and math.Sqrt of the standard library.
func TestTrigonometryAgainstFloatingPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Int64Range(-720_000_000, 720_000_000).Draw(t, "millionths of a degree")
		x := float64(angle) / 1e6 * math.Pi / 180
		if !nearTo(fixed(cosine(angle)), math.Cos(x)) || !nearTo(fixed(sine(angle)), math.Sin(x)) {
			t.Fatalf("%d: cosine %s, sine %s", angle, fixed(cosine(angle)).FloatString(12), fixed(sine(angle)).FloatString(12))
		}
		c, l := rapid.Int64Range(0, 15_000_000).Draw(t, "cornea"), rapid.Int64Range(0, 15_000_000).Draw(t, "lens")
		got, _ := ResidualCylinder(FromMillionths(c), FromMillionths(l), FromMillionths(angle))
		fc, fl := float64(c)/1e6, float64(l)/1e6
		if want := math.Sqrt(math.Max(0, fc*fc+fl*fl-2*fc*fl*math.Cos(2*x))); !within(got.FloatString(15), want, 1e-6) {
			t.Fatalf("%g, %g at %d: %s, floating point %g", fc, fl, angle, got.FloatString(12), want)
		}
	})
}

// cos² + sin² is 1 to 28 decimals, and 0, 30, 45, 60 and 90 degrees are what geometry says.
func TestTrigonometryIdentities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Int64Range(-720_000_000, 720_000_000).Draw(t, "angle")
		c, s := fixed(cosine(angle)), fixed(sine(angle))
		if one := plus(times(c, c), times(s, s)); one.FloatString(28) != ratOne.FloatString(28) {
			t.Fatalf("%d: %s", angle, one.FloatString(30))
		}
	})
	for degrees, want := range map[int64]string{0: "1", 60: "0.5", 90: "0", 120: "-0.5", 180: "-1"} {
		if got := rounded(fixed(cosine(degrees*quantityScale)), 28); got != want {
			t.Errorf("cos %d = %s, want %s", degrees, got, want)
		}
	}
	// The square root of a half, to 28 decimals.
	if got := fixed(cosine(45 * quantityScale)); got.FloatString(28) != squareRoot(ratioOf("0.5")).FloatString(28) {
		t.Errorf("cos 45 = %s", got.FloatString(30))
	}
}

// The residual does not change with the turn of the clock, half a turn, or the
// exchange of cornea and lens, and lies between their difference and their sum.
func TestResidualCylinderLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := FromMillionths(rapid.Int64Range(0, 15_000_000).Draw(t, "cornea"))
		l := FromMillionths(rapid.Int64Range(0, 15_000_000).Draw(t, "lens"))
		turn := rapid.Int64Range(0, 180_000_000).Draw(t, "turn")
		got, _ := ResidualCylinder(c, l, FromMillionths(turn))
		for _, same := range []int64{-turn, turn + halfTurn} {
			if again, _ := ResidualCylinder(c, l, FromMillionths(same)); again.FloatString(12) != got.FloatString(12) {
				t.Fatalf("%d and %d differ", turn, same)
			}
		}
		if swapped, _ := ResidualCylinder(l, c, FromMillionths(turn)); swapped.FloatString(12) != got.FloatString(12) {
			t.Fatal("cornea and lens cannot be exchanged")
		}
		text := got.FloatString(12)
		lowest, highest := ratio(FromMillionths(max(c.Millionths()-l.Millionths(), l.Millionths()-c.Millionths()))), plus(ratio(c), ratio(l))
		if slack := ratioOf("0.000000000001"); plus(got, slack).Cmp(lowest) < 0 || got.Cmp(plus(highest, slack)) > 0 {
			t.Fatalf("%s lies outside %s to %s", text, lowest.FloatString(12), highest.FloatString(12))
		}
	})
}

func TestToricWorking(t *testing.T) {
	w := reckon(t, "toric rotation", `{"cornea":"2.5","lens":"2.5","planned":"175","found":"5"}`)
	for id, want := range map[string]string{"rotation": "10", "residual": "0.87", "share": "34.7", "total_loss": "30"} {
		if got := result(t, w, id); got != want {
			t.Errorf("%s: %s, want %s", id, got, want)
		}
	}
	if len(w.Stops) > 0 {
		t.Errorf("%v", w.Stops)
	}
}

func TestToricCheck(t *testing.T) {
	for _, c := range []struct{ name, in, stops string }{
		{"as planned", `{"plan_eye":"right eye","marked_eye":"right eye","planned":"175","found":"2"}`, ""},
		{"wrong eye", `{"plan_eye":"right eye","marked_eye":"left eye","planned":"20","found":"20"}`, "Wrong eye"},
		{"reversed", `{"plan_eye":"right eye","marked_eye":"right eye","planned":"20","found":"110"}`, "Reversed axis"},
		{"nearly reversed", `{"plan_eye":"right eye","marked_eye":"right eye","planned":"175","found":"90"}`, "Reversed axis"},
		{"mirrored", `{"plan_eye":"right eye","marked_eye":"right eye","planned":"20","found":"160"}`, "Mirrored axis"},
		{"both", `{"plan_eye":"right eye","marked_eye":"right eye","planned":"45","found":"135"}`, "Reversed axis, Mirrored axis"},
	} {
		var got []string
		for _, s := range reckon(t, "toric check", c.in).Stops {
			got = append(got, strings.SplitN(s, ":", 2)[0])
		}
		if strings.Join(got, ", ") != c.stops {
			t.Errorf("%s: %q, want %q", c.name, strings.Join(got, ", "), c.stops)
		}
	}
}
