package cards

import "math/big"

// PressureUnit is a unit in which an irrigation pressure is written.
type PressureUnit string

const (
	MillimetresOfMercury PressureUnit = "mmHg"
	Kilopascals          PressureUnit = "kPa"
	CentimetresOfWater   PressureUnit = "cmH2O"
)

var pressureUnits = []string{string(MillimetresOfMercury), string(Kilopascals), string(CentimetresOfWater)}

// pascals is what one unit is in pascals, exactly. Conventional millimetre of
// mercury: 13.5951 g/cm3 x 9.80665 m/s2 x 1 mm = 133.322387415 Pa (NIST SP 811
// appendix B.8 prints 1.333224 E+02); conventional centimetre of water:
// 98.0665 Pa (9.80665 E+01 there).
var pascals = map[PressureUnit]*big.Rat{
	MillimetresOfMercury: ratioOf("133.322387415"),
	Kilopascals:          ratioOf("1000"),
	CentimetresOfWater:   ratioOf("98.0665"),
}

const sourcePressure = "NIST SP 811 appendix B.8: 1 mmHg = 133.322387415 Pa, 1 cmH2O = 98.0665 Pa, standard gravity 9.80665 m/s²; " +
	"density of balanced salt solution 1.005 to 1.01 g/mL, value from memory, unconfirmed"

const (
	cautionStatic = "Static, at no flow; measured pressures differ. Flow through tubing and sleeve lowers the pressure in the eye, instruments in the wound raise it."
	cautionZero   = "Bottle heights of two machines cannot be compared: some displays add a fixed offset. Measure from the fluid in the drip chamber to the eye."
)

// measuredPressures are published measurements, to be held against a static pressure.
var measuredPressures = []string{
	"Pig eyes, bottle at 65 cm: 50 to 60 mmHg measured, 47.8 mmHg static; bottle at 19 cm: 20 to 30 mmHg measured, 14 mmHg static (Suzuki, Journal of Cataract and Refractive Surgery 2009; static by calculation).",
	"Human eyes, two machines: lens removal 40.1 ± 12.7 and 36.5 ± 17.2 mmHg; irrigation and aspiration 17.6 ± 14.2 and 22.6 ± 8.6 mmHg; lens insertion 13.3 and 16.3 mmHg (Journal of Cataract and Refractive Surgery 2010).",
}

// ConvertPressure gives a pressure in another unit, exactly:
// p(to) = p(from) × Pa per unit(from) / Pa per unit(to).
//
// from and to are mmHg, kPa or cmH2O; ok is false for another unit or when no
// pressure is stated. Source: NIST SP 811 appendix B.8.
func ConvertPressure(p Quantity, from, to PressureUnit) (converted *big.Rat, ok bool) {
	a, b := pascals[from], pascals[to]
	if a == nil || b == nil || !p.Stated() {
		return nil, false
	}
	return over(times(ratio(p), a), b), true
}

// StaticPressure gives the pressure a column of fluid exerts at no flow,
// exactly: p = density × g × height, in the unit asked for.
//
// height in cm from the fluid level in the drip chamber to the eye, density in
// g/mL (water 1). ok is false for another unit or when one is not stated.
// Source: hydrostatics, standard gravity 9.80665 m/s²; factors NIST SP 811.
func StaticPressure(height, density Quantity, unit PressureUnit) (p *big.Rat, ok bool) {
	per := pascals[unit]
	if per == nil || !height.Stated() || !density.Stated() {
		return nil, false
	}
	column := times(times(ratio(height), ratio(density)), pascals[CentimetresOfWater])
	return over(column, per), true
}

// ColumnHeight is StaticPressure the other way round, exactly:
// height = p / (density × g), in cm above the eye.
//
// p in the unit named, density in g/mL and above 0. ok is false for another
// unit, when one is not stated or when the density is not above 0.
func ColumnHeight(p Quantity, unit PressureUnit, density Quantity) (height *big.Rat, ok bool) {
	per := pascals[unit]
	if per == nil || !p.Stated() || density.Millionths() <= 0 {
		return nil, false
	}
	return over(over(times(ratio(p), per), pascals[CentimetresOfWater]), ratio(density)), true
}

var densityField = numberField("density", "Density of the fluid", "g/mL", "0.99", "1.05").optional().
	help("Left empty it is taken as 1, which differs by less than 1 % from balanced salt solution.")

var pressureReckoners = []reckoner{
	{Calculation{"pressure from height", "Bottle height to static pressure", []InputField{
		numberField("height", "Bottle height as read", "cm", "0", "150"),
		numberField("eye_above", "The eye lies above the zero of that scale by", "cm", "-50", "50").optional().
			help("Left empty the height is taken as measured to the eye."),
		densityField,
	}}, workStaticPressure},
	{Calculation{"height from pressure", "Static pressure to bottle height", []InputField{
		numberField("pressure", "Pressure", "", "0", "200"),
		choiceOf("unit", "Unit", pressureUnits...),
		densityField,
	}}, workColumnHeight},
	{Calculation{"pressure units", "Pressure in other units", []InputField{
		numberField("pressure", "Pressure", "", "0", "1000"),
		choiceOf("unit", "Unit", pressureUnits...),
	}}, workPressureUnits},
}

// showPressures rounds to what a chart or a gauge can tell apart.
func showPressures(mmHg, kPa, cmH2O *big.Rat) []Shown {
	return []Shown{
		{ID: "mmHg", Label: "Pressure", Value: rounded(mmHg, 1), Unit: "mmHg"},
		{ID: "kPa", Label: "Pressure", Value: rounded(kPa, 2), Unit: "kPa"},
		{ID: "cmH2O", Label: "Pressure", Value: rounded(cmH2O, 1), Unit: "cmH2O"},
	}
}

func densityOf(in *inputs) Quantity {
	if d := in.numbers["density"]; d.Stated() {
		return d
	}
	return Whole(1)
}

func workStaticPressure(in *inputs) Working {
	height, density := in.numbers["height"], densityOf(in)
	w := Working{Formula: "p = density × g × height to the eye", Source: sourcePressure,
		Cautions: []string{cautionStatic, cautionZero}, Beside: measuredPressures}
	if above := in.numbers["eye_above"]; above.Stated() {
		toEye := FromMillionths(height.Millionths() - above.Millionths())
		w.Steps = append(w.Steps, "Height to the eye: "+height.String()+" cm − "+bracketed(above)+" cm = "+toEye.String()+" cm")
		height = toEye
	}
	if height.Millionths() < 0 {
		in.errorf("bounds", "eye_above", "The eye then lies above the bottle by "+FromMillionths(-height.Millionths()).String()+" cm. Correct one of the two heights.")
		return w
	}
	cmH2O, _ := StaticPressure(height, density, CentimetresOfWater)
	mmHg, _ := StaticPressure(height, density, MillimetresOfMercury)
	kPa, _ := StaticPressure(height, density, Kilopascals)
	w.Result = showPressures(mmHg, kPa, cmH2O)
	w.Steps = append(w.Steps,
		height.String()+" cm × density "+density.String()+" = "+figures(cmH2O)+" cmH2O",
		"1 cmH2O = 98.0665 Pa / 133.322387415 Pa = 0.735559 mmHg",
		figures(cmH2O)+" cmH2O × 0.735559 = "+rounded(mmHg, 1)+" mmHg")
	return w
}

// bracketed keeps a minus sign from running into the one before it.
func bracketed(q Quantity) string {
	if q.Millionths() < 0 {
		return "(" + q.String() + ")"
	}
	return q.String()
}

func workColumnHeight(in *inputs) Working {
	p, unit, density := in.numbers["pressure"], PressureUnit(in.texts["unit"]), densityOf(in)
	height, _ := ColumnHeight(p, unit, density)
	water, _ := ConvertPressure(p, unit, CentimetresOfWater)
	return Working{
		Result:  []Shown{{ID: "height", Label: "Height from the fluid in the drip chamber to the eye", Value: rounded(height, 1), Unit: "cm"}},
		Formula: "height = p / (density × g)",
		Steps: []string{p.String() + " " + string(unit) + " = " + rounded(water, 2) + " cmH2O",
			rounded(water, 2) + " cmH2O / density " + density.String() + " = " + rounded(height, 1) + " cm"},
		Cautions: []string{cautionStatic, cautionZero}, Beside: measuredPressures, Source: sourcePressure,
	}
}

func workPressureUnits(in *inputs) Working {
	p, unit := in.numbers["pressure"], PressureUnit(in.texts["unit"])
	mmHg, _ := ConvertPressure(p, unit, MillimetresOfMercury)
	kPa, _ := ConvertPressure(p, unit, Kilopascals)
	cmH2O, _ := ConvertPressure(p, unit, CentimetresOfWater)
	return Working{
		Result:  showPressures(mmHg, kPa, cmH2O),
		Formula: "p in the new unit = p × Pa per old unit / Pa per new unit",
		Steps: []string{p.String() + " " + string(unit) + " × " + rounded(pascals[unit], 9) + " Pa = " + figures(times(ratio(p), pascals[unit])) + " Pa",
			"1 mmHg = 133.322387415 Pa; 1 kPa = 1000 Pa; 1 cmH2O = 98.0665 Pa"},
		Source: sourcePressure,
	}
}
