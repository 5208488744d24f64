package cards

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestBigChange(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"60", "60", ""}, {"60", "119", ""}, {"60", "31", ""}, {"", "60", ""}, {"60", "", ""},
		{"60", "120", "2 times as much"}, {"60", "30", "2 times less"}, {"40", "100", "2.5 times as much"}, {"30", "200", "about 6.667 times as much"},
		{"0.1", "1", "10 times as much; is a zero or the decimal point out of place?"},
		{"350", "35", "10 times less; is a zero or the decimal point out of place?"},
		{"0.5", "50", "100 times as much; is a zero or the decimal point out of place?"},
		{"0", "50", "from 0 to 50"}, {"50", "0", "from 50 to 0"}, {"-1.5", "1.5", "the sign changes"}, {"-1", "-3", "3 times as much"},
	} {
		got, ask := BigChange(MustQuantity(c.old), MustQuantity(c.new))
		if got != c.want || ask != (c.want != "") {
			t.Errorf("%q to %q: %q, %v; want %q", c.old, c.new, got, ask, c.want)
		}
	}
}

// A slip of the decimal point always asks and is named, both ways; the way back asks too.
func TestBigChangeLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 1_000_000_000).Draw(t, "millionths")
		m := rapid.Int64Range(1, 1_000_000_000).Draw(t, "other")
		for _, pair := range [][2]int64{{n, n * 10}, {n * 10, n}} {
			if words, ask := BigChange(FromMillionths(pair[0]), FromMillionths(pair[1])); !ask || !strings.Contains(words, "decimal point") {
				t.Fatalf("%v: %q", pair, words)
			}
		}
		_, there := BigChange(FromMillionths(n), FromMillionths(m))
		_, back := BigChange(FromMillionths(m), FromMillionths(n))
		if there != back || there != (n >= 2*m || m >= 2*n) {
			t.Fatalf("%d to %d asks %v, back %v", n, m, there, back)
		}
	})
}
