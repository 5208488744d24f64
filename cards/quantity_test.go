package cards

import (
	"errors"
	"testing"

	"pgregory.net/rapid"
)

// The rules for writing numbers (a leading zero, no trailing zero, no bare
// point) are the medication-safety list of error-prone notations as printed in
// Thimbleby and Cairns, J. R. Soc. Interface 2010, table 3.
func TestParseQuantity(t *testing.T) {
	good := []struct{ in, out string }{
		{"0", "0"},
		{"65", "65"},
		{"0.5", "0.5"},
		{"1.0", "1"},     // a trailing zero is read and never written
		{"0.50", "0.5"},  // likewise
		{"007", "7"},     // leading zeros are not kept
		{"-1.5", "-1.5"}, // a lens power may be negative
		{"0.000001", "0.000001"},
		{"999999999", "999999999"},
	}
	for _, c := range good {
		q, err := ParseQuantity(c.in)
		if err != nil || q.String() != c.out || !q.Stated() {
			t.Errorf("ParseQuantity(%q) = %q, %v; want %q", c.in, q, err, c.out)
		}
	}
	bad := []struct {
		in   string
		want error
	}{
		{".5", ErrQuantityPoint},             // reads as 5
		{"5.", ErrQuantityPoint},             // reads as 5 or 50
		{"1.2.3", ErrQuantitySyntax},         // two points
		{"1e3", ErrQuantitySyntax},           // exponent
		{"1,5", ErrQuantitySyntax},           // comma means thousands in one country, decimals in another
		{" 5", ErrQuantitySyntax},            // space
		{"+5", ErrQuantitySyntax},            // plus
		{"-", ErrQuantityPoint},              // sign alone
		{"٣", ErrQuantitySyntax},             // digits of another script
		{"0.0000001", ErrQuantityPlaces},     // finer than kept
		{"1000000000", ErrQuantityRange},     // too large
		{"99999999999999", ErrQuantityRange}, // much too large
	}
	for _, c := range bad {
		if q, err := ParseQuantity(c.in); !errors.Is(err, c.want) {
			t.Errorf("ParseQuantity(%q) = %q, %v; want error %v", c.in, q, err, c.want)
		}
	}
}

// Ensure that "not stated" is never zero.
func TestQuantityNotStated(t *testing.T) {
	q, err := ParseQuantity("")
	if err != nil || q.Stated() || q.String() != "" || !q.IsZero() {
		t.Errorf("empty text = %+v, %v; want not stated", q, err)
	}
	if zero := Whole(0); !zero.Stated() || zero.IsZero() || zero.String() != "0" {
		t.Errorf("Whole(0) = %+v; want a stated 0", zero)
	}
}

func TestQuantityRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := FromMillionths(rapid.Int64Range(-999_999_999_999_999, 999_999_999_999_999).Draw(t, "millionths"))
		got, err := ParseQuantity(q.String())
		if err != nil || got != q {
			t.Fatalf("ParseQuantity(%q) = %v, %v", q.String(), got, err)
		}
	})
}

func FuzzParseQuantity(f *testing.F) {
	for _, s := range []string{"0.5", ".5", "1.0", "-3", "1e9", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		q, err := ParseQuantity(s)
		if err != nil {
			return
		}
		again, err := ParseQuantity(q.String())
		if err != nil || again != q {
			t.Errorf("%q reads as %q, which reads as %q, %v", s, q, again, err)
		}
	})
}
