package cards

import "math/big"

// BigChange says whether a change of one number is large enough to ask about,
// and by how much in words. A change by a factor of 2 or more, up or down, asks;
// a factor of 10, 100 … also says that a zero or a decimal point may be out of
// place. A change from 0, to 0 or of the sign has no factor and asks.
//
// Nothing is asked when one of the two is not stated. factor is "" when ask is
// false. Sources: out-by-ten errors, Thimbleby and Cairns 2010; the threshold of
// 2 is common practice, no source.
func BigChange(old, new Quantity) (factor string, ask bool) {
	if !old.Stated() || !new.Stated() || old == new {
		return "", false
	}
	switch {
	case old.Millionths() == 0:
		return "from 0 to " + new.String(), true
	case new.Millionths() == 0:
		return "from " + old.String() + " to 0", true
	case (old.Millionths() < 0) != (new.Millionths() < 0):
		return "the sign changes", true
	}
	change, words := over(ratio(new), ratio(old)), " times as much"
	if change.Cmp(ratOne) < 0 {
		change, words = over(ratOne, change), " times less"
	}
	if change.Cmp(big.NewRat(2, 1)) < 0 {
		return "", false
	}
	factor = figures(change) + words
	if exactPowerOfTen(change) {
		factor += "; is a zero or the decimal point out of place?"
	}
	return factor, true
}

func exactPowerOfTen(factor *big.Rat) bool {
	if !factor.IsInt() {
		return false
	}
	text := factor.Num().String()
	for n := range len(text) {
		if want := byte('0'); (n == 0 && text[n] != '1') || (n > 0 && text[n] != want) {
			return false
		}
	}
	return len(text) > 1
}
