package cards

import "math/bits"

// DoseOf reckons dose = strength times volume in the unit asked for. It is a
// check of what the surgeon stored, never a dose for a patient. ok is false
// when something is not stated, when the units do not belong together, or
// when the product is finer than a Quantity holds.
//
// Identities (exact): 1 % = 10 mg per mL; 1 mg = 1,000 micrograms.
func DoseOf(strength Measure, volume Quantity, unit Unit) (dose Quantity, ok bool) {
	if !strength.Value.Stated() || !volume.Stated() {
		return Quantity{}, false
	}
	numerator, denominator, ok := perMillilitre(strength.Unit, unit)
	if !ok {
		return Quantity{}, false
	}
	return scaleProduct(strength.Value, volume, numerator, denominator)
}

// perMillilitre gives the factor from a strength's number to the dose unit per mL.
func perMillilitre(strength, dose Unit) (numerator, denominator uint64, ok bool) {
	switch string(strength) + " to " + string(dose) {
	case "% to mg":
		return 10, 1, true
	case "% to micrograms":
		return 10_000, 1, true
	case "mg/mL to mg", "micrograms/mL to micrograms", "units/mL to units":
		return 1, 1, true
	case "mg/mL to micrograms":
		return 1_000, 1, true
	case "micrograms/mL to mg":
		return 1, 1_000, true
	}
	return 0, 0, false
}

// scaleProduct is a*b*numerator/denominator in whole millionths, exactly or not at all.
func scaleProduct(a, b Quantity, numerator, denominator uint64) (Quantity, bool) {
	if a.Millionths() < 0 || b.Millionths() < 0 {
		return Quantity{}, false
	}
	hi, lo := bits.Mul64(uint64(a.Millionths()), uint64(b.Millionths()))
	divisor := denominator * quantityScale
	if hi >= divisor {
		return Quantity{}, false
	}
	quotient, rest := bits.Div64(hi, lo, divisor)
	over, result := bits.Mul64(quotient, numerator)
	more, extra := bits.Mul64(rest, numerator)
	if over != 0 || more != 0 || extra%divisor != 0 {
		return Quantity{}, false
	}
	result += extra / divisor
	if result >= quantityLimit*quantityScale {
		return Quantity{}, false
	}
	return FromMillionths(int64(result)), true
}
