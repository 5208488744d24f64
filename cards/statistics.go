package cards

import "math/big"

// Intervals of a proportion. They are for counts people want to compare, never
// for one patient.

// normalQuantile is the 97.5 % point of the normal distribution.
var normalQuantile = ratioOf("1.959963984540054")

// countLimit keeps the exact interval quick; registries count fewer operations in a year.
const countLimit = 1_000_000

// Wilson gives the 95 % Wilson score interval of x events in n, as shares:
//
//	centre = (p + z²/2n) / (1 + z²/n)
//	half   = z × √(p(1−p)/n + z²/4n²) / (1 + z²/n)
//
// with p = x/n and z = 1.959964, right to 28 decimals. ok is false unless
// 0 ≤ x ≤ n and 1 ≤ n ≤ 1,000,000. Source: Wilson 1927; figures of the tests
// by calculation in the trade's literature.
func Wilson(x, n int64) (low, high *big.Rat, ok bool) {
	if x < 0 || x > n || n < 1 || n > countLimit {
		return nil, nil, false
	}
	p, z2 := big.NewRat(x, n), times(normalQuantile, normalQuantile)
	count := big.NewRat(n, 1)
	spread := plus(over(times(p, minus(ratOne, p)), count), over(z2, big.NewRat(4*n*n, 1)))
	half := times(normalQuantile, squareRoot(spread))
	centre, below := plus(p, over(z2, big.NewRat(2*n, 1))), plus(ratOne, over(z2, count))
	low, high = over(minus(centre, half), below), over(plus(centre, half), below)
	if x == 0 {
		low = new(big.Rat)
	}
	if x == n {
		high = big.NewRat(1, 1)
	}
	return low, high, true
}

// exactGrid is the fineness of the exact interval: nine decimals of a share.
const exactGrid = 1_000_000_000

// binomialPrecision in bits leaves more than 50 decimals after the worst loss of the sums.
const binomialPrecision = 256

// ExactBinomial gives the 95 % exact interval (Clopper–Pearson) of x events in
// n, as shares: the lower end is the p with P(X ≥ x) = 2.5 %, the upper end the
// p with P(X ≤ x) = 2.5 %. Both are found by halving to nine decimals, rounded
// outward, in arithmetic of fixed precision that is the same on every machine.
//
// ok is false unless 0 ≤ x ≤ n and 1 ≤ n ≤ 1,000,000. Source: Clopper and
// Pearson 1934.
func ExactBinomial(x, n int64) (low, high *big.Rat, ok bool) {
	if x < 0 || x > n || n < 1 || n > countLimit {
		return nil, nil, false
	}
	return big.NewRat(exactGrid-upperEnd(n-x, n), exactGrid), big.NewRat(upperEnd(x, n), exactGrid), true
}

// upperEnd is the upper end for x events, in units of exactGrid. The lower end
// for x events is the upper end for the n − x others, turned round.
func upperEnd(x, n int64) int64 {
	if x == n {
		return exactGrid
	}
	tail := binomialTail{n: n, x: x, choose: precise().SetInt(new(big.Int).Binomial(n, x))}
	low, high := int64(1), int64(exactGrid-1)
	limit := precise().Quo(precise().SetInt64(1), precise().SetInt64(40))
	for low < high {
		middle := (low + high) / 2
		if tail.at(middle).Cmp(limit) > 0 {
			low = middle + 1
		} else {
			high = middle
		}
	}
	return low
}

func precise() *big.Float { return new(big.Float).SetPrec(binomialPrecision) }

// binomialTail is P(X ≤ x) of n, as a function of p.
type binomialTail struct {
	n, x   int64
	choose *big.Float // n over x
}

// at sums from the largest number of events down. Once terms shrink and are
// below 2^-20 of the sum the rest cannot matter.
func (b binomialTail) at(p int64) *big.Float {
	grid := precise().SetInt64(exactGrid)
	yes := precise().Quo(precise().SetInt64(p), grid)
	no := precise().Quo(precise().SetInt64(exactGrid-p), grid)
	odds := precise().Quo(no, yes)
	term := precise().Mul(b.choose, precise().Mul(power(yes, b.x), power(no, b.n-b.x)))
	sum := precise().Set(term)
	for i := b.x; i > 0; i-- {
		before := term
		term = precise().Mul(term, odds)
		term.Mul(term, precise().SetInt64(i))
		term.Quo(term, precise().SetInt64(b.n-i+1))
		sum.Add(sum, term)
		if term.Cmp(before) < 0 && term.MantExp(nil) < sum.MantExp(nil)-200 {
			break
		}
	}
	return sum
}

// power is base to the n by squaring.
func power(base *big.Float, n int64) *big.Float {
	result, square := precise().SetInt64(1), precise().Set(base)
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			result.Mul(result, square)
		}
		square.Mul(square, square)
	}
	return result
}

var proportionReckoners = []reckoner{
	{Calculation{"proportion", "How sure a proportion is", []InputField{
		numberField("events", "Events", "", "0", "1000000"),
		numberField("of", "Out of", "", "1", "1000000"),
	}}, workProportion},
}

func workProportion(in *inputs) Working {
	events, of := in.numbers["events"], in.numbers["of"]
	w := Working{Formula: "Wilson: (p + z²/2n ± z × √(p(1−p)/n + z²/4n²)) / (1 + z²/n), z = 1.959964; exact: P(X ≥ x) and P(X ≤ x) = 2.5 %",
		Source: "Wilson 1927; Clopper and Pearson 1934"}
	for _, id := range []string{"events", "of"} {
		if q := in.numbers[id]; q.Millionths()%quantityScale != 0 {
			in.errorf("whole", id, "A count must be a whole number, not "+q.String()+".")
		}
	}
	if events.Cmp(of) > 0 {
		in.errorf("bounds", "events", "There are more events, "+events.String()+", than there were chances, "+of.String()+". Correct one of them.")
	}
	if len(in.found) > 0 {
		return w
	}
	x, n := events.Millionths()/quantityScale, of.Millionths()/quantityScale
	wilsonLow, wilsonHigh, _ := Wilson(x, n)
	exactLow, exactHigh, _ := ExactBinomial(x, n)
	w.Result = []Shown{{ID: "share", Label: "Share", Value: shareText(x, n), Extra: events.String() + " of " + of.String()},
		{ID: "wilson", Label: "95 % interval by Wilson", Value: intervalText(wilsonLow, wilsonHigh), Unit: "%"},
		{ID: "exact", Label: "95 % interval, exact (Clopper and Pearson)", Value: intervalText(exactLow, exactHigh), Unit: "%"}}
	w.Steps = []string{"p = " + events.String() + " / " + of.String() + " = " + figures(big.NewRat(x, n))}
	w.Cautions = []string{"Two methods, two intervals: say which one is quoted. An interval of counts says nothing about one patient."}
	return w
}

// shareText never says 0 % or 100 % for what was only not seen.
func shareText(x, n int64) string {
	switch x {
	case 0:
		return "none seen"
	case n:
		return "all"
	}
	return percent(big.NewRat(x, n)) + " %"
}

// intervalText writes an interval in percent: never "0 to 0".
func intervalText(low, high *big.Rat) string { return percent(low) + " to " + percent(high) }

// percent writes a share with one decimal, and with more where rounding would
// move it by more than a twentieth of its way from 0 or 100.
func percent(share *big.Rat) string {
	exact := times(ratHundred, share)
	room := minus(ratHundred, exact)
	if room.Cmp(exact) > 0 {
		room = exact
	}
	room = over(room, big.NewRat(20, 1))
	for places := 1; ; places++ {
		text := rounded(exact, places)
		if new(big.Rat).Abs(minus(ratioOf(text), exact)).Cmp(room) <= 0 {
			return text
		}
	}
}
