package cards

import (
	"math/big"
	"strings"
)

// Exact reckoning: figures are ratios of whole numbers (big.Rat) from input to
// the last step and are rounded once, where they are shown. Floating point is
// not used, because native code and WebAssembly disagree in it (see doc.go).

// ratio is the exact number a Quantity holds.
func ratio(q Quantity) *big.Rat { return big.NewRat(q.Millionths(), quantityScale) }

func ratioOf(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		panic("cards: " + text + " is not a number")
	}
	return r
}

func times(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
func over(a, b *big.Rat) *big.Rat  { return new(big.Rat).Quo(a, b) }
func plus(a, b *big.Rat) *big.Rat  { return new(big.Rat).Add(a, b) }
func minus(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }

var (
	ratOne      = big.NewRat(1, 1)
	ratHundred  = big.NewRat(100, 1)
	ratThousand = big.NewRat(1000, 1)
)

// rounded writes r with at most places decimals, halves away from zero, with a
// leading zero and without a trailing one. It never writes "-0".
func rounded(r *big.Rat, places int) string {
	s := r.FloatString(places)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// figures writes r exactly when it ends within six decimals, and otherwise
// rounded to four significant figures with "about" before it.
func figures(r *big.Rat) string {
	s := rounded(r, quantityPlaces)
	if ratioOf(s).Cmp(r) == 0 {
		return s
	}
	places, limit := 3, big.NewRat(10, 1)
	size := new(big.Rat).Abs(r)
	for ; places > 0 && size.Cmp(limit) >= 0; places-- {
		limit = times(limit, big.NewRat(10, 1))
	}
	for size.Cmp(ratOne) < 0 && places < 15 {
		size = times(size, big.NewRat(10, 1))
		places++
	}
	return "about " + rounded(r, places)
}

// grouped writes a whole number with a comma before every three digits from
// five digits on: 10,000, because a row of zeros is miscounted (reliability of
// dose designations: error-prone notations of the medication-safety lists).
func grouped(n *big.Int) string {
	s := n.String()
	if len(s) < 5 {
		return s
	}
	for at := len(s) - 3; at > 0; at -= 3 {
		s = s[:at] + "," + s[at:]
	}
	return s
}

// nearest is the whole number nearest to a positive r.
func nearest(r *big.Rat) *big.Int {
	n, _ := new(big.Int).SetString(r.FloatString(0), 10)
	return n
}
