package risk

import (
	"math/big"
	"strings"

	"sideport/cards"
)

var (
	one     = big.NewRat(1, 1)
	hundred = big.NewRat(100, 1)
)

// ratio is the exact number a Quantity holds.
func ratio(q cards.Quantity) *big.Rat { return big.NewRat(q.Millionths(), 1_000_000) }

// share is the exact share of a percentage.
func share(percent cards.Quantity) *big.Rat { return new(big.Rat).Quo(ratio(percent), hundred) }

// odds are p / (1 - p).
func odds(p *big.Rat) *big.Rat { return new(big.Rat).Quo(p, new(big.Rat).Sub(one, p)) }

// Probability is the share that belongs to a baseline share and a composite
// odds ratio:
//
//	odds = baseline / (1 - baseline) × ratio
//	p    = odds / (1 + odds)
//
// It is exact. For a baseline inside 0 and 1 and a positive ratio it lies
// inside 0 and 1, which a multiplied percentage would not.
func Probability(baseline, ratio *big.Rat) *big.Rat {
	o := new(big.Rat).Mul(odds(baseline), ratio)
	return new(big.Rat).Quo(o, new(big.Rat).Add(one, o))
}

// decimals writes r with at most places decimals, halves up (no figure here is
// negative), with a leading zero and without a trailing one.
func decimals(r *big.Rat, places int) string {
	s := r.FloatString(places)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// percent writes a share in percent to two significant figures: the models
// carry no more. It never writes 0 or 100 for what is neither.
func percent(p *big.Rat) string {
	x := new(big.Rat).Mul(p, hundred)
	places := 0
	for limit := big.NewRat(10, 1); x.Cmp(limit) < 0 && places < 12; places++ {
		limit.Quo(limit, big.NewRat(10, 1))
	}
	text := decimals(x, places)
	for text == "100" && p.Cmp(one) < 0 {
		places++
		text = decimals(x, places)
	}
	return text
}
