package cards

import "math/big"

const (
	sourceToric = "Crossed cylinders: residual = √(C² + T² − 2 × C × T × cos 2θ); for equal cylinders 2 × C × sin θ. " +
		"About a third of the cylinder is left at 10 degrees when both are equal (published, by calculation). Rule of thumb 3.33 % for each degree"
	sourceAxis   = "An axis is the same after 180 degrees; common practice, no source for the checks"
	cautionToric = "Arithmetic on what was entered, for thin lenses at the corneal plane. It plans no lens and no axis."
	cautionMarks = "Marking pen about 3 degrees, gauge steps of 5 degrees and alignment about 3 degrees add up to about 10 degrees (published error budget)."
)

// halfTurn is the period of an axis, in millionths of a degree.
const halfTurn = 180 * quantityScale

// AxisDifference gives the angle between two axes, 0 to 90 degrees. An axis is
// a line, not an arrow: it is counted modulo 180, so 179 and 1 are 2 apart.
//
// Both in degrees, of any size; ok is false when one is not stated.
// Source: by definition of an axis.
func AxisDifference(a, b Quantity) (difference Quantity, ok bool) {
	if !a.Stated() || !b.Stated() {
		return Quantity{}, false
	}
	d := (a.Millionths()%halfTurn - b.Millionths()%halfTurn) % halfTurn
	if d < 0 {
		d += halfTurn
	}
	return FromMillionths(min(d, halfTurn-d)), true
}

// ResidualCylinder gives the cylinder left when a lens stands θ away from the
// axis of the cornea: √(C² + T² − 2CT cos 2θ), in D, right to 14 decimals.
//
// cornea C and lens T are cylinders in D at the corneal plane, not negative;
// rotation θ in degrees. ok is false when one is not stated or a cylinder is
// negative. Source: addition of crossed cylinders (published; the tests hold it
// against a published-style table).
func ResidualCylinder(cornea, lens, rotation Quantity) (residual *big.Rat, ok bool) {
	if !cornea.Stated() || !lens.Stated() || !rotation.Stated() || cornea.Millionths() < 0 || lens.Millionths() < 0 {
		return nil, false
	}
	c, t := ratio(cornea), ratio(lens)
	cos := fixed(cosine(2 * (rotation.Millionths() % halfTurn)))
	square := minus(plus(times(c, c), times(t, t)), times(times(big.NewRat(2, 1), times(c, t)), cos))
	if square.Sign() < 0 { // the 30th decimal of the cosine, where the residual is 0
		square = new(big.Rat)
	}
	return squareRoot(square), true
}

// EqualResidual is the exact form for equal cylinders, 2 × C × sin θ, in D.
//
// cornea in D, not negative; rotation in degrees. ok is false otherwise.
// Source: as ResidualCylinder.
func EqualResidual(cornea, rotation Quantity) (residual *big.Rat, ok bool) {
	if !cornea.Stated() || !rotation.Stated() || cornea.Millionths() < 0 {
		return nil, false
	}
	sin := fixed(sine(rotation.Millionths() % halfTurn))
	return times(times(big.NewRat(2, 1), ratio(cornea)), sin.Abs(sin)), true
}

// TotalLossRotation gives the rotation at which the residual equals the
// cylinder of the cornea, so that nothing is gained: cos 2θ = T / (2C), in
// degrees to six decimals, found by halving.
//
// ok is false when a cylinder is not above 0 or the lens is more than twice the
// cornea (then nothing is gained at any rotation). Source: ResidualCylinder
// solved for residual = C.
func TotalLossRotation(cornea, lens Quantity) (rotation Quantity, ok bool) {
	if cornea.Millionths() <= 0 || lens.Millionths() <= 0 || lens.Millionths() > 2*cornea.Millionths() {
		return Quantity{}, false
	}
	want := over(ratio(lens), times(big.NewRat(2, 1), ratio(cornea)))
	low, high := int64(0), int64(45*quantityScale)
	for low < high {
		middle := (low + high) / 2
		if fixed(cosine(2*middle)).Cmp(want) > 0 {
			low = middle + 1
		} else {
			high = middle
		}
	}
	return FromMillionths(low), true
}

// The two eyes as a toric plan and the marks name them.
var eyes = []string{"right eye", "left eye"}

var toricReckoners = []reckoner{
	{Calculation{"toric rotation", "Cylinder left by a rotated toric lens", []InputField{
		numberField("cornea", "Cylinder of the cornea", "D", "0.1", "15"),
		numberField("lens", "Cylinder of the lens at the cornea", "D", "0.1", "15"),
		numberField("planned", "Axis planned", "degrees", "0", "180"),
		numberField("found", "Axis the lens stands at", "degrees", "0", "180"),
	}}, workToric},
	{Calculation{"toric check", "Toric axis and eye against the plan", []InputField{
		choiceOf("plan_eye", "Eye on the plan", eyes...),
		choiceOf("marked_eye", "Eye marked", eyes...),
		numberField("planned", "Axis planned", "degrees", "0", "180"),
		numberField("found", "Axis read back from the marks", "degrees", "0", "180"),
	}}, workToricCheck},
}

func workToric(in *inputs) Working {
	c, t := in.numbers["cornea"], in.numbers["lens"]
	turn, _ := AxisDifference(in.numbers["planned"], in.numbers["found"])
	residual, _ := ResidualCylinder(c, t, turn)
	share := over(times(ratHundred, residual), ratio(c))
	w := Working{Formula: "residual = √(C² + T² − 2 × C × T × cos 2θ)", Source: sourceToric, Cautions: []string{cautionToric, cautionMarks},
		Result: []Shown{{ID: "rotation", Label: "Rotation", Value: turn.String(), Unit: "degrees"},
			{ID: "residual", Label: "Cylinder left", Value: rounded(residual, 2), Unit: "D"},
			{ID: "share", Label: "Share of the cornea's cylinder", Value: rounded(share, 1), Unit: "%"}},
		Steps: []string{"θ between " + in.numbers["planned"].String() + " and " + in.numbers["found"].String() + " degrees, modulo 180: " + turn.String() + " degrees",
			"cos 2θ = " + rounded(fixed(cosine(2*turn.Millionths())), 5),
			"√(" + c.String() + "² + " + t.String() + "² − 2 × " + c.String() + " × " + t.String() + " × cos 2θ) = " + rounded(residual, 3) + " D"}}
	if loss, ok := TotalLossRotation(c, t); ok {
		w.Result = append(w.Result, Shown{ID: "total_loss", Label: "Nothing is gained from a rotation of", Value: rounded(ratio(loss), 1), Unit: "degrees"})
	} else {
		w.Cautions = append(w.Cautions, "The lens is more than twice the cornea's cylinder: it leaves more than it takes at every axis.")
	}
	w.Beside = besideToric(c, t, turn)
	w.Stops = axisStops(in.numbers["planned"], in.numbers["found"])
	return w
}

// besideToric holds the exact form for equal cylinders and the rule of thumb beside the general formula.
func besideToric(c, t, turn Quantity) []string {
	equal, _ := EqualResidual(c, turn)
	exact := over(times(ratHundred, equal), ratio(c))
	beside := []string{"Exact for a lens equal to the cornea: 2 × sin θ = " + rounded(exact, 2) + " %, " + rounded(equal, 3) + " D."}
	if turn.Cmp(Whole(30)) > 0 {
		return append(beside, "The rule of thumb (3.33 % for each degree) does not hold beyond 30 degrees.")
	}
	rule := over(times(ratHundred, ratio(turn)), big.NewRat(30, 1))
	text := "Rule of thumb, 3.33 % for each degree: " + rounded(rule, 2) + " %."
	if c != t {
		text += " It is made for a lens equal to the cornea; this one is not."
	}
	return append(beside, text)
}

// near is how close two axes must be to look like a slip of the kind checked for.
var near = Whole(10)

// axisStops finds the axis turned by 90 degrees.
func axisStops(planned, found Quantity) []string {
	turn, _ := AxisDifference(planned, found)
	if Whole(90).Millionths()-turn.Millionths() > near.Millionths() {
		return nil
	}
	return []string{"Reversed axis: planned " + planned.String() + ", found " + found.String() + " degrees, about 90 degrees apart. Steep and flat axis, or plus and minus cylinder, may be mixed up. Read the plan again."}
}

// workToricCheck compares eye and axis of a plan with what is marked.
func workToricCheck(in *inputs) Working {
	planned, found := in.numbers["planned"], in.numbers["found"]
	turn, _ := AxisDifference(planned, found)
	w := Working{Formula: "difference of two axes, modulo 180, folded into 0 to 90 degrees", Source: sourceAxis,
		Result:   []Shown{{ID: "rotation", Label: "Difference", Value: turn.String(), Unit: "degrees"}},
		Steps:    []string{"Between " + planned.String() + " and " + found.String() + " degrees: " + turn.String() + " degrees"},
		Cautions: []string{cautionMarks}}
	if in.texts["plan_eye"] != in.texts["marked_eye"] {
		w.Stops = append(w.Stops, "Wrong eye: the plan is for the "+in.texts["plan_eye"]+", the mark is on the "+in.texts["marked_eye"]+". Stop and read consent, plan and mark again.")
	}
	w.Stops = append(w.Stops, axisStops(planned, found)...)
	mirror := FromMillionths(halfTurn - planned.Millionths())
	off, _ := AxisDifference(mirror, found)
	if turn.Cmp(near) > 0 && off.Cmp(near) <= 0 {
		w.Stops = append(w.Stops, "Mirrored axis: "+found.String()+" degrees is the mirror image of the "+planned.String()+" degrees planned, as for the other eye or a scale read backwards. Check eye and scale.")
	}
	if len(w.Stops) == 0 && turn.Cmp(near) > 0 {
		w.Cautions = append(w.Cautions, "The axis read back is "+turn.String()+" degrees from the plan. Read both again.")
	}
	return w
}
