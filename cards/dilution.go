package cards

import "math/big"

const (
	cautionSmallSyringe = "Do not mix in a 1 mL syringe: mixing there gave 0.52 to 7.25 mg where 1 mg was meant (Lockington, Journal of Cataract and Refractive Surgery 2010), and diluted mydriatics varied widely (Guthrie, Eye 2018). Mix in a larger volume."
	cautionPrepared     = "Prefer a prepared product where there is one."
	sourceDilution      = "Conservation of the drug: C1 × V1 = C2 × V2"
)

// smallestDraw is the volume below which a syringe cannot be read well enough.
var smallestDraw = MustQuantity("0.1")

// smallVolumes warns when less than 0.1 mL is drawn.
func smallVolumes(what string, volume Quantity) []string {
	if !volume.Stated() || volume.Cmp(smallestDraw) >= 0 {
		return nil
	}
	return []string{what + ", " + volume.String() + " mL, is less than 0.1 mL and cannot be measured well. Plan a larger one (common practice, no source)."}
}

// smallMixing warns when something is mixed in a syringe of 1 mL.
func smallMixing(total *big.Rat, syringe Quantity) []string {
	inSmall := syringe.Stated() && syringe.Cmp(Whole(1)) <= 0
	if inSmall || (!syringe.Stated() && total.Cmp(ratOne) <= 0) {
		return []string{cautionSmallSyringe}
	}
	return nil
}

// Dilute gives the strength after adding diluent, exactly:
// C2 = C1 × V1 / (V1 + added), in mg (or units) per mL.
//
// take and add in mL; take above 0, add not negative. ok is false otherwise or
// when something is not stated. Source: conservation of the drug.
func Dilute(c1 Strength, take, add Quantity) (c2 *big.Rat, unit Unit, ok bool) {
	amount, unit, ok := c1.PerMillilitre()
	if !ok || take.Millionths() <= 0 || !add.Stated() || add.Millionths() < 0 {
		return nil, "", false
	}
	return diluted(amount, ratio(take), ratio(add)), unit, true
}

func diluted(c1, take, add *big.Rat) *big.Rat { return over(times(c1, take), plus(take, add)) }

// MakeUp gives how much of a stronger solution to take and how much diluent to
// add for a wanted strength and volume, exactly:
// V1 = C2 × V2 / C1, added = V2 − V1, in mL.
//
// ok is false when a strength is not stated, when one is in units and the other
// in mg, when the volume is not above 0 or when c2 is stronger than c1.
// Source: conservation of the drug.
func MakeUp(c1, c2 Strength, volume Quantity) (take, add *big.Rat, ok bool) {
	a1, u1, ok1 := c1.PerMillilitre()
	a2, u2, ok2 := c2.PerMillilitre()
	if !ok1 || !ok2 || u1 != u2 || volume.Millionths() <= 0 || a2.Cmp(a1) > 0 {
		return nil, nil, false
	}
	take = over(times(a2, ratio(volume)), a1)
	return take, minus(ratio(volume), take), true
}

var dilutionReckoners = []reckoner{
	{Calculation{"dilute", "Strength after adding diluent", []InputField{
		strengthField("strength", "Strength before"),
		numberField("take", "Volume taken", "mL", "0.001", "1000"),
		numberField("add", "Diluent added", "mL", "0", "1000"),
		numberField("syringe", "Mixed in a syringe of", "mL", "0.5", "100").optional(),
	}}, workDilute},
	{Calculation{"make up", "Volumes for a wanted strength", []InputField{
		strengthField("strength", "Strength before"),
		strengthField("wanted", "Strength wanted"),
		numberField("volume", "Volume wanted", "mL", "0.1", "1000"),
		numberField("syringe", "Mixed in a syringe of", "mL", "0.5", "100").optional(),
	}}, workMakeUp},
	{Calculation{"parts", "Strength after mixing parts", []InputField{
		strengthField("strength", "Strength before"),
		numberField("drug", "Parts of drug", "parts", "0.1", "1000"),
		numberField("diluent", "Parts of diluent", "parts", "0.1", "1000"),
	}}, workParts},
	{Calculation{"recipe", "Check a recipe from vial to dose", recipeFields}, workRecipe},
}

func workDilute(in *inputs) Working {
	c1, take, add, syringe := in.strengths["strength"], in.numbers["take"], in.numbers["add"], in.numbers["syringe"]
	amount, inUnits := c1.perMillilitre()
	c2, _, _ := Dilute(c1, take, add)
	total := plus(ratio(take), ratio(add))
	in.fits("syringe", total, syringe)
	w := Working{Result: showConcentration(c2, inUnits), Formula: "C2 = C1 × V1 / (V1 + diluent added)", Source: sourceDilution + "; " + sourceStrength,
		Steps: []string{c1.String() + " = " + concentrationText(amount, inUnits),
			take.String() + " mL + " + add.String() + " mL = " + figures(total) + " mL",
			concentrationText(amount, inUnits) + " × " + take.String() + " mL / " + figures(total) + " mL = " + concentrationText(c2, inUnits)}}
	w.Cautions = append(smallVolumes("The volume taken", take), smallMixing(total, syringe)...)
	w.Cautions = append(w.Cautions, cautionPrepared)
	return w
}

func workMakeUp(in *inputs) Working {
	c1, c2, volume, syringe := in.strengths["strength"], in.strengths["wanted"], in.numbers["volume"], in.numbers["syringe"]
	a1, units1 := c1.perMillilitre()
	a2, units2 := c2.perMillilitre()
	w := Working{Formula: "V1 = C2 × V2 / C1; diluent = V2 − V1", Source: sourceDilution + "; " + sourceStrength}
	take, add, ok := MakeUp(c1, c2, volume)
	switch {
	case units1 != units2:
		in.errorf("units", "wanted", "The strength before is in "+string(massUnit(units1))+" and the one wanted in "+string(massUnit(units2))+". Write both in the same kind of unit.")
		return w
	case !ok:
		in.errorf("stronger", "wanted", "The strength wanted, "+concentrationText(a2, units2)+", is more than "+concentrationText(a1, units1)+" before. Diluting cannot make it stronger; exchange the two.")
		return w
	}
	in.fits("syringe", ratio(volume), syringe)
	w.Result = []Shown{{ID: "take", Label: "Take", Value: figures(take), Unit: "mL", Extra: "of " + concentrationText(a1, units1)},
		{ID: "add", Label: "Add diluent", Value: figures(add), Unit: "mL"}}
	w.Steps = []string{c1.String() + " = " + concentrationText(a1, units1), c2.String() + " = " + concentrationText(a2, units2),
		concentrationText(a2, units2) + " × " + volume.String() + " mL / " + concentrationText(a1, units1) + " = " + figures(take) + " mL",
		volume.String() + " mL − " + figures(take) + " mL = " + figures(add) + " mL"}
	if take.Cmp(ratio(smallestDraw)) < 0 {
		w.Cautions = append(w.Cautions, "Less than 0.1 mL is drawn, which cannot be measured well. Make a larger volume, or dilute in two steps (common practice, no source).")
	}
	w.Cautions = append(w.Cautions, smallMixing(ratio(volume), syringe)...)
	w.Cautions = append(w.Cautions, cautionPrepared)
	return w
}

func workParts(in *inputs) Working {
	c1, drug, diluent := in.strengths["strength"], in.numbers["drug"], in.numbers["diluent"]
	amount, inUnits := c1.perMillilitre()
	parts := plus(ratio(drug), ratio(diluent))
	c2 := diluted(amount, ratio(drug), ratio(diluent))
	w := Working{Result: showConcentration(c2, inUnits), Formula: "C2 = C1 × parts of drug / all parts", Source: sourceDilution + "; " + sourceStrength,
		Steps: []string{"All parts: " + drug.String() + " + " + diluent.String() + " = " + figures(parts),
			concentrationText(amount, inUnits) + " × " + drug.String() + " / " + figures(parts) + " = " + concentrationText(c2, inUnits)}}
	if part := over(ratio(diluent), ratio(drug)); part.Cmp(ratOne) > 0 {
		other := over(amount, part)
		w.Cautions = append(w.Cautions, "Written as a ratio of "+figures(part)+" it would be read by some as 1 in "+figures(part)+", which is "+concentrationText(other, inUnits)+". Write the volumes and mg per mL.")
	}
	w.Cautions = append(w.Cautions, cautionPrepared)
	return w
}

// fits refuses a mixture larger than its syringe.
func (in *inputs) fits(path string, total *big.Rat, syringe Quantity) {
	if syringe.Stated() && total.Cmp(ratio(syringe)) > 0 {
		in.errorf("too large", path, figures(total)+" mL does not fit into a syringe of "+syringe.String()+" mL. Choose a larger syringe or smaller volumes.")
	}
}
