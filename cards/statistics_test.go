package cards

import (
	"encoding/json"
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestIntervalTable(t *testing.T) {
	for _, row := range published(t, "intervals.csv") {
		x, n := int64(digits(row[0])), int64(digits(row[1]))
		low, high, ok := Wilson(x, n)
		exactLow, exactHigh, ok2 := ExactBinomial(x, n)
		if !ok || !ok2 {
			t.Fatalf("%v is refused", row)
		}
		agrees(t, row[0]+"/"+row[1]+" Wilson low", low, row[2])
		agrees(t, row[0]+"/"+row[1]+" Wilson high", high, row[3])
		agrees(t, row[0]+"/"+row[1]+" exact low", exactLow, row[4])
		agrees(t, row[0]+"/"+row[1]+" exact high", exactHigh, row[5])
	}
}

// 9 mg of cefuroxime in 13 eyes: macular oedema in 6, published as 46 % with
// 19 to 75. The exact method gives the published interval, Wilson does not.
func TestPublishedIntervalIsTheExactOne(t *testing.T) {
	low, high, _ := ExactBinomial(6, 13)
	wLow, wHigh, _ := Wilson(6, 13)
	whole := func(r *big.Rat) string { return rounded(times(ratHundred, r), 0) }
	if whole(low) != "19" || whole(high) != "75" {
		t.Errorf("exact %s to %s, published 19 to 75", whole(low), whole(high))
	}
	if whole(wLow) == "19" || whole(wHigh) == "75" {
		t.Errorf("Wilson %s to %s is the published one too", whole(wLow), whole(wHigh))
	}
}

// The reference for Wilson is the same formula in floating point; for the exact
// interval it is the tail sum in exact ratios, which must cross 2.5 % within
// the last of nine decimals, and for no events 1 − 0.025^(1/n) by math.Pow.
func TestIntervalsAgainstReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 60).Draw(t, "n")
		x := rapid.Int64Range(0, n).Draw(t, "x")
		low, high, _ := Wilson(x, n)
		p, z, f := float64(x)/float64(n), 1.959963984540054, float64(n)
		half := z * math.Sqrt(p*(1-p)/f+z*z/(4*f*f)) / (1 + z*z/f)
		centre := (p + z*z/(2*f)) / (1 + z*z/f)
		if !nearTo(low, centre-half) || !nearTo(high, centre+half) {
			t.Fatalf("%d/%d: Wilson %s to %s, floating point %g to %g", x, n, low.FloatString(9), high.FloatString(9), centre-half, centre+half)
		}
		if x < n {
			exactEnd(t, x, n)
		}
		if _, none, _ := ExactBinomial(0, n); !within(none.FloatString(9), 1-math.Pow(0.025, 1/f), 2e-9) {
			t.Fatalf("0/%d: %s", n, none.FloatString(9))
		}
	})
}

// Ensure that leaving out what cannot matter of a long sum leaves the ninth decimal right.
func TestLongSumsAreExact(t *testing.T) {
	for _, x := range []int64{3, 200, 390} {
		exactEnd(t, x, 400)
	}
}

func exactEnd(t interface{ Fatalf(string, ...any) }, x, n int64) {
	_, upper, _ := ExactBinomial(x, n)
	grain, limit := big.NewRat(1, exactGrid), big.NewRat(1, 40)
	if exactTail(x, n, upper).Cmp(limit) > 0 || exactTail(x, n, minus(upper, grain)).Cmp(limit) <= 0 {
		t.Fatalf("%d/%d: upper end %s is not where the tail is 2.5 %%", x, n, upper.FloatString(9))
	}
}

// exactTail is P(X ≤ x) of n for p in units of exactGrid, in whole numbers.
func exactTail(x, n int64, p *big.Rat) *big.Rat {
	grid := big.NewInt(exactGrid)
	yes := nearest(times(p, big.NewRat(exactGrid, 1)))
	no := new(big.Int).Sub(grid, yes)
	sum := new(big.Int)
	for i := int64(0); i <= x; i++ {
		term := new(big.Int).Binomial(n, i)
		term.Mul(term, new(big.Int).Exp(yes, big.NewInt(i), nil))
		sum.Add(sum, term.Mul(term, new(big.Int).Exp(no, big.NewInt(n-i), nil)))
	}
	return new(big.Rat).SetFrac(sum, grid.Exp(grid, big.NewInt(n), nil))
}

// The interval holds the share, events and non-events mirror each other, more
// events never lower it, and the exact interval is never narrower on both sides.
func TestIntervalLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 3000).Draw(t, "n")
		x := rapid.Int64Range(0, n).Draw(t, "x")
		share := big.NewRat(x, n)
		for name, interval := range map[string]func(int64, int64) (*big.Rat, *big.Rat, bool){"Wilson": Wilson, "exact": ExactBinomial} {
			low, high, _ := interval(x, n)
			if low.Cmp(share) > 0 || high.Cmp(share) < 0 || low.Sign() < 0 || high.Cmp(ratOne) > 0 {
				t.Fatalf("%s %d/%d: %s to %s", name, x, n, low.FloatString(9), high.FloatString(9))
			}
			otherLow, otherHigh, _ := interval(n-x, n)
			if minus(ratOne, otherHigh).FloatString(20) != low.FloatString(20) || minus(ratOne, otherLow).FloatString(20) != high.FloatString(20) {
				t.Fatalf("%s %d/%d does not mirror", name, x, n)
			}
			if x < n {
				if nextLow, nextHigh, _ := interval(x+1, n); nextLow.Cmp(low) < 0 || nextHigh.Cmp(high) < 0 {
					t.Fatalf("%s %d/%d: one more event lowers it", name, x, n)
				}
			}
		}
	})
}

func TestIntervalsRefuse(t *testing.T) {
	for _, c := range [][2]int64{{-1, 5}, {6, 5}, {0, 0}, {0, countLimit + 1}} {
		if _, _, ok := Wilson(c[0], c[1]); ok {
			t.Errorf("Wilson reads %v", c)
		}
		if _, _, ok := ExactBinomial(c[0], c[1]); ok {
			t.Errorf("ExactBinomial reads %v", c)
		}
	}
}

// What was not seen is never "0 % (0 to 0)", however many it was not seen in.
func TestProportionWorking(t *testing.T) {
	for _, c := range []struct{ events, of, share, wilson, exact string }{
		{"14", "120", "11.7 %", "7.1 to 18.6", "6.5 to 18.8"},
		{"6", "13", "46.2 %", "23.2 to 70.9", "19.2 to 74.9"},
		{"0", "20", "none seen", "0 to 16.1", "0 to 16.8"},
		{"0", "1000000", "none seen", "0 to 0.0004", "0 to 0.00037"},
		{"1000000", "1000000", "all", "99.9996 to 100", "99.99963 to 100"},
		{"1", "1000000", "0.0001 %", "0.000018 to 0.00057", "0.0000025 to 0.00056"},
	} {
		w := reckon(t, "proportion", `{"events":"`+c.events+`","of":"`+c.of+`"}`)
		if result(t, w, "share") != c.share || result(t, w, "wilson") != c.wilson || result(t, w, "exact") != c.exact {
			t.Errorf("%s/%s: %+v", c.events, c.of, w.Result)
		}
	}
	for _, c := range []struct{ in, code string }{{`{"events":"5","of":"4"}`, "bounds"}, {`{"events":"0.5","of":"4"}`, "whole"}, {`{"events":"0","of":"0"}`, "bounds"}} {
		if _, ps := Reckon("proportion", json.RawMessage(c.in)); len(ps) != 1 || ps[0].Code != c.code || !strings.Contains(ps[0].Text, ".") {
			t.Errorf("%s: %v", c.in, ps)
		}
	}
}
