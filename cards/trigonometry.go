package cards

import "math/big"

// Trigonometry in whole numbers. math.Sin and math.Sqrt are not used where
// bytes are compared (see doc.go); this has 30 decimals on every machine.
// Truncation loses less than one unit of the 30th decimal in each of fewer
// than 40 operations, so results are right to 28 decimals.

const trigPlaces = 30

var (
	trigOne = new(big.Int).Exp(big.NewInt(10), big.NewInt(trigPlaces), nil)
	// trigPi is pi with 40 decimals.
	trigPi, _   = new(big.Int).SetString("31415926535897932384626433832795028841971", 10)
	trigHalfDeg = new(big.Int).Mul(big.NewInt(180*quantityScale), new(big.Int).Exp(big.NewInt(10), big.NewInt(10), nil))
)

// cosine of an angle in millionths of a degree, with trigPlaces decimals.
func cosine(angle int64) *big.Int {
	const right, half, full = 90 * quantityScale, 180 * quantityScale, 360 * quantityScale
	angle %= full
	if angle < 0 {
		angle = -angle
	}
	if angle > half {
		angle = full - angle
	}
	if angle > right {
		return new(big.Int).Neg(cosine(half - angle))
	}
	if angle > right/2 {
		return series(radians(right-angle), 1)
	}
	return series(radians(angle), 0)
}

// sine of an angle in millionths of a degree.
func sine(angle int64) *big.Int { return cosine(angle - 90*quantityScale) }

func radians(angle int64) *big.Int {
	x := new(big.Int).Mul(big.NewInt(angle), trigPi)
	return x.Quo(x, trigHalfDeg)
}

// series sums the Taylor series of cosine (odd 0) or sine (odd 1) for x up to pi/4.
func series(x *big.Int, odd int64) *big.Int {
	square := scaled(x, x)
	term := new(big.Int).Set(trigOne)
	if odd == 1 {
		term.Set(x)
	}
	sum := new(big.Int).Set(term)
	for k := odd + 1; term.Sign() != 0; k += 2 {
		term = scaled(term, square)
		term.Quo(term, big.NewInt(-k*(k+1)))
		sum.Add(sum, term)
	}
	return sum
}

// scaled is a × b for two numbers with trigPlaces decimals.
func scaled(a, b *big.Int) *big.Int {
	p := new(big.Int).Mul(a, b)
	return p.Quo(p, trigOne)
}

// fixed gives a number with trigPlaces decimals as a ratio.
func fixed(n *big.Int) *big.Rat { return new(big.Rat).SetFrac(n, trigOne) }

// squareRoot of r, which is not negative, with trigPlaces decimals.
func squareRoot(r *big.Rat) *big.Rat {
	n := new(big.Int).Mul(r.Num(), trigOne)
	n.Mul(n, trigOne)
	n.Quo(n, r.Denom())
	return fixed(n.Sqrt(n))
}
