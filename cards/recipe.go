package cards

import "math/big"

// Recipe is how a drug is made up on the back table, from vial to what is
// given, with what is meant to come out. It is data: CheckRecipe does the sums
// of the whole chain and never corrects anything.
type Recipe struct {
	ID    Key    `json:"id"`
	Title string `json:"title"`
	Drug  string `json:"drug"`
	// A recipe starts from powder (Vial) or from a ready solution (Ready), never both.
	Vial  Measure      `json:"vial,omitzero"` // mg, micrograms, g or units in the vial
	Ready Strength     `json:"ready,omitzero"`
	Steps []RecipeStep `json:"steps,omitempty"`
	Final Strength     `json:"final,omitzero"` // the strength meant to come out
	Give  Quantity     `json:"give,omitzero"`  // mL given
	Dose  Measure      `json:"dose,omitzero"`  // meant to be in that volume
	// Note says what to beware of; Mark says what the recipe rests on and that the unit's pharmacist must confirm it.
	Note string `json:"note,omitempty"`
	Mark string `json:"mark"`
	// Confirmed is false until the unit's pharmacist has confirmed the recipe in the unit's settings.
	Confirmed bool `json:"confirmed"`
}

// RecipeStep takes some of what there is and adds diluent.
type RecipeStep struct {
	Take    Quantity `json:"take,omitzero"` // mL; not stated: all of it
	Add     Quantity `json:"add"`           // mL of diluent
	Diluent string   `json:"diluent,omitempty"`
	Syringe Quantity `json:"syringe,omitzero"` // mL, size of the syringe it is mixed in
	Reach   Strength `json:"reach,omitzero"`   // the strength written on the recipe after this step
}

// recipeTolerance accepts strengths and doses that were rounded when written:
// 1 microgram/mL for 0.999 (0.5 mL of 1 mg/mL in 500 mL).
var recipeTolerance = big.NewRat(1, 100)

var recipeFields = []InputField{
	{ID: "drug", Label: "Drug", Kind: InputText},
	numberField("vial", "Powder in the vial", "", "0.001", "1000000").optional(),
	InputField{ID: "vial_unit", Label: "Unit of the powder", Kind: InputChoice, Choices: []string{"mg", "micrograms", "g", "units"}, Optional: true},
	strengthField("ready", "Ready solution").optional(),
	{ID: "steps", Label: "Steps", Kind: InputRows, Optional: true, Fields: []InputField{
		numberField("take", "Take", "mL", "0.001", "1000").optional().help("Left empty: all of it."),
		numberField("add", "Add diluent", "mL", "0.001", "1000"),
		{ID: "diluent", Label: "Diluent", Kind: InputText, Optional: true},
		numberField("syringe", "Mixed in a syringe of", "mL", "0.5", "100").optional(),
		strengthField("reach", "Strength after this step, as written").optional(),
	}},
	strengthField("final", "Strength meant to come out").optional(),
	numberField("give", "Volume given", "mL", "0.001", "100").optional(),
	numberField("dose", "Dose meant to be in it", "", "0.001", "1000000").optional(),
	InputField{ID: "dose_unit", Label: "Unit of the dose", Kind: InputChoice, Choices: []string{"mg", "micrograms", "g", "units"}, Optional: true},
}

func workRecipe(in *inputs) Working {
	r := Recipe{Drug: in.texts["drug"], Ready: in.strengths["ready"], Final: in.strengths["final"], Give: in.numbers["give"],
		Vial: Measure{in.numbers["vial"], Unit(in.texts["vial_unit"])}, Dose: Measure{in.numbers["dose"], Unit(in.texts["dose_unit"])}}
	for _, row := range in.rows["steps"] {
		r.Steps = append(r.Steps, RecipeStep{Take: row.numbers["take"], Add: row.numbers["add"], Diluent: row.texts["diluent"],
			Syringe: row.numbers["syringe"], Reach: row.strengths["reach"]})
	}
	w, found := CheckRecipe(r)
	in.found = append(in.found, found...)
	return w
}

const (
	formulaRecipe    = "powder / volume added = strength; C2 = C1 × V1 / (V1 + diluent); dose = strength × volume given"
	cautionPowder    = "The volume of the powder itself is not counted: strengths are nominal and come out slightly lower."
	cautionTwoPeople = "Label every syringe at once; a second person reads drug, mg per mL and volume back."
)

// CheckRecipe reckons a recipe from vial to dose, exactly, and holds every
// strength written on it, the final strength and the dose against the sums:
// powder / volume = strength; C2 = C1 × V1 / (V1 + added); dose = strength ×
// volume. Volumes in mL. A difference up to 1 % counts as rounding.
//
// Errors, by code: "empty" and "contradiction" (what the chain needs), "takes
// more", "too large" (syringe), "ten times" (out by a power of ten), "missing
// step" (stronger than meant after at most one diluting step), "strength" and
// "dose" (any other difference). With an error the working has the steps and no
// result. Sources: conservation of the drug; mixing in small syringes:
// Lockington 2010, Guthrie 2018.
func CheckRecipe(r Recipe) (Working, Problems) {
	c := &chain{recipe: r}
	c.w = Working{Formula: formulaRecipe, Source: sourceDilution + "; " + sourceStrength}
	if c.begin() {
		for n, step := range r.Steps {
			c.step(n, step)
		}
		if c.strength != nil {
			c.finish()
		}
	}
	if len(c.found) > 0 {
		return Working{Formula: c.w.Formula, Steps: c.w.Steps, Source: c.w.Source}, c.found
	}
	c.show()
	return c.w, nil
}

// chain walks along a recipe.
type chain struct {
	inputs
	recipe   Recipe
	w        Working
	powder   *big.Rat // in mg or units, until the first step
	strength *big.Rat // per mL, nil until there is a solution
	volume   *big.Rat // mL at hand, nil when not known
	inUnits  bool
}

// begin finds out what the chain starts from.
func (c *chain) begin() bool {
	r := c.recipe
	switch {
	case !r.Vial.Value.Stated() && r.Ready.IsZero():
		c.errorf("empty", "vial", "The recipe does not say what it starts from. Write the powder in the vial or the ready solution.")
	case r.Vial.Value.Stated() && !r.Ready.IsZero():
		c.errorf("contradiction", "vial", "The recipe starts from powder and from a ready solution. Keep the one that is used.")
	case r.Vial.Value.Stated() && r.Vial.Unit == "":
		c.errorf("empty", "vial_unit", "The powder in the vial, "+r.Vial.Value.String()+", has no unit. Choose mg, micrograms, g or units.")
	case r.Vial.Value.Stated() && len(r.Steps) == 0:
		c.errorf("missing step", "steps", "Powder cannot be given. The step that dissolves it is missing; add it.")
	case r.Vial.Value.Stated():
		c.powder, c.inUnits = amountOf(r.Vial)
	default:
		c.strength, c.inUnits = r.Ready.perMillilitre()
		c.w.Steps = append(c.w.Steps, "Ready solution: "+concentrationText(c.strength, c.inUnits))
	}
	if r.Final.IsZero() && !r.Dose.Value.Stated() {
		c.errorf("empty", "final", "The recipe says neither which strength nor which dose is meant, so nothing can be checked. Write one.")
	}
	return len(c.found) == 0
}

// amountOf gives an amount of drug in mg, or in units.
func amountOf(m Measure) (amount *big.Rat, inUnits bool) {
	switch m.Unit {
	case "micrograms":
		return over(ratio(m.Value), ratThousand), false
	case "g":
		return times(ratio(m.Value), ratThousand), false
	}
	return ratio(m.Value), m.Unit == "units"
}

// step does one step of the recipe.
func (c *chain) step(n int, s RecipeStep) {
	name := "Step " + Whole(int64(n+1)).String()
	path := "steps/" + Whole(int64(n+1)).String()
	diluent := "diluent"
	if s.Diluent != "" {
		diluent = s.Diluent
	}
	total := ratio(s.Add)
	if c.powder != nil {
		c.dissolve(path, name, diluent, s)
	} else if total = c.dilute(path, name, diluent, s); total == nil {
		return
	}
	c.fits(path+"/syringe", total, s.Syringe)
	c.w.Cautions = append(c.w.Cautions, smallVolumes(name+": the volume taken", s.Take)...)
	c.w.Cautions = append(c.w.Cautions, smallMixing(total, s.Syringe)...)
	if !s.Reach.IsZero() {
		c.agrees(path+"/reach", name+": the strength", s.Reach, false)
	}
}

// dissolve is the first step of a recipe that starts from powder.
func (c *chain) dissolve(path, name, diluent string, s RecipeStep) {
	if s.Take.Stated() {
		c.errorf("contradiction", path+"/take", name+" dissolves the powder, so all of it is taken. Leave the volume taken empty.")
	}
	c.strength, c.volume = over(c.powder, ratio(s.Add)), ratio(s.Add)
	c.w.Steps = append(c.w.Steps, name+": "+c.recipe.Vial.String()+" + "+s.Add.String()+" mL "+diluent+" = "+concentrationText(c.strength, c.inUnits))
	c.w.Cautions = append(c.w.Cautions, cautionPowder)
	c.powder = nil
}

// dilute is every other step. It gives the volume mixed, or nil when the step cannot be done.
func (c *chain) dilute(path, name, diluent string, s RecipeStep) *big.Rat {
	take := ratio(s.Take)
	switch {
	case !s.Take.Stated() && c.volume == nil:
		c.errorf("empty", path+"/take", name+" does not say how much is taken. Write the volume.")
		return nil
	case !s.Take.Stated():
		take = c.volume
	case c.volume != nil && take.Cmp(c.volume) > 0:
		c.errorf("takes more", path+"/take", name+" takes "+s.Take.String()+" mL, but there are only "+figures(c.volume)+" mL. Correct one of the volumes.")
	}
	before := c.strength
	c.volume = plus(take, ratio(s.Add))
	c.strength = diluted(before, take, ratio(s.Add))
	c.w.Steps = append(c.w.Steps, name+": "+figures(take)+" mL of "+concentrationText(before, c.inUnits)+" + "+s.Add.String()+" mL "+diluent+
		" = "+figures(c.volume)+" mL of "+concentrationText(c.strength, c.inUnits))
	return c.volume
}

// finish holds the final strength and the dose against the chain.
func (c *chain) finish() {
	r := c.recipe
	perML, chained := c.strength, true
	if !r.Final.IsZero() {
		before := len(c.found)
		c.agrees("final", "The strength that comes out", r.Final, c.undiluted())
		chained = len(c.found) == before
	}
	if !r.Give.Stated() {
		if r.Dose.Value.Stated() {
			c.errorf("empty", "give", "A dose is meant, but the volume given is not written. Write it.")
		}
		return
	}
	if c.volume != nil && ratio(r.Give).Cmp(c.volume) > 0 {
		c.errorf("takes more", "give", "The volume given, "+r.Give.String()+" mL, is more than the "+figures(c.volume)+" mL there are. Correct one of the volumes.")
	}
	dose := times(perML, ratio(r.Give))
	c.w.Steps = append(c.w.Steps, "Given: "+r.Give.String()+" mL × "+concentrationText(perML, c.inUnits)+" = "+amountText(dose, c.inUnits))
	c.w.Cautions = append(c.w.Cautions, smallVolumes("The volume given", r.Give)...)
	if r.Dose.Value.Stated() && r.Dose.Unit == "" {
		c.errorf("empty", "dose_unit", "The dose, "+r.Dose.Value.String()+", has no unit. Choose mg, micrograms, g or units.")
	} else if r.Dose.Value.Stated() && chained {
		want, inUnits := amountOf(r.Dose)
		c.sameKind("dose", inUnits)
		c.compare("dose", "The dose in "+r.Give.String()+" mL", "dose", dose, want, amountText, c.undiluted())
	}
}

func (c *chain) agrees(path, what string, meant Strength, mayMiss bool) {
	want, inUnits := meant.perMillilitre()
	c.sameKind(path, inUnits)
	c.compare(path, what, "strength", c.strength, want, concentrationText, mayMiss)
}

func (c *chain) sameKind(path string, inUnits bool) {
	if inUnits != c.inUnits {
		c.errorf("units", path, "The recipe starts in "+string(massUnit(c.inUnits))+", but "+string(massUnit(inUnits))+" are written here. Write both in the same kind of unit.")
	}
}

// compare names how far got is from what is meant. mayMiss says that nothing was diluted yet.
func (c *chain) compare(path, what, code string, got, want *big.Rat, write func(*big.Rat, bool) string, mayMiss bool) {
	factor := over(got, want)
	if new(big.Rat).Abs(minus(factor, ratOne)).Cmp(recipeTolerance) <= 0 {
		return
	}
	text := what + " is " + write(got, c.inUnits) + ", but " + write(want, c.inUnits) + " is meant: " + tooMuch(factor) + ". "
	switch {
	case factor.Cmp(ratOne) > 0 && mayMiss:
		code = "missing step"
		text += "A diluting step is missing (1 mL made up to " + figures(factor) + " mL), or a figure is wrong."
	case powerOfTen(factor):
		code = "ten times"
		text += "A zero or a decimal point is out of place. Correct it."
	default:
		text += "Correct the figure that is wrong."
	}
	c.errorf(code, path, text)
}

// undiluted reports whether the recipe at most dissolves its powder.
func (c *chain) undiluted() bool {
	diluting := len(c.recipe.Steps)
	if c.recipe.Vial.Value.Stated() {
		diluting--
	}
	return diluting <= 0
}

// tooMuch says a factor in words: 10 times too much, 5 times too little.
func tooMuch(factor *big.Rat) string {
	if factor.Cmp(ratOne) < 0 {
		return figures(over(ratOne, factor)) + " times too little"
	}
	return figures(factor) + " times too much"
}

// powerOfTen reports whether a factor is 10, 100, 1/10 … within the tolerance of rounding.
func powerOfTen(factor *big.Rat) bool {
	if factor.Sign() <= 0 {
		return false
	}
	if factor.Cmp(ratOne) < 0 {
		factor = over(ratOne, factor)
	}
	for tens := big.NewRat(10, 1); tens.Cmp(ratMillion) <= 0; tens = times(tens, big.NewRat(10, 1)) {
		if new(big.Rat).Abs(minus(over(factor, tens), ratOne)).Cmp(recipeTolerance) <= 0 {
			return true
		}
	}
	return false
}

// ratMillion is a million: no slip of the decimal point is larger.
var ratMillion = big.NewRat(1_000_000, 1)

// show makes the result and the label of a recipe without errors.
func (c *chain) show() {
	c.w.Result = showConcentration(c.strength, c.inUnits)
	if c.recipe.Give.Stated() {
		dose := times(c.strength, ratio(c.recipe.Give))
		c.w.Result = append(c.w.Result, Shown{ID: "dose", Label: "Amount in " + c.recipe.Give.String() + " mL", Value: figures(dose), Unit: string(massUnit(c.inUnits))})
		if !c.inUnits && dose.Cmp(ratOne) < 0 {
			c.w.Result = append(c.w.Result, Shown{ID: "micrograms", Label: "In micrograms", Value: figures(times(dose, ratThousand)), Unit: "micrograms"})
		}
	}
	c.w.SyringeLabel = syringeLabel(c.recipe.Drug, c.labelStrength(), c.inUnits)
	c.w.Cautions = append(c.w.Cautions, cautionPrepared, cautionTwoPeople)
	if c.recipe.Note != "" {
		c.w.Cautions = append(c.w.Cautions, c.recipe.Note)
	}
	if !c.recipe.Confirmed {
		c.w.Cautions = append(c.w.Cautions, forPharmacist)
	}
}

// labelStrength is the strength meant, because a label must not say "about".
func (c *chain) labelStrength() *big.Rat {
	if c.recipe.Final.IsZero() {
		return c.strength
	}
	amount, _ := c.recipe.Final.perMillilitre()
	return amount
}

// syringeLabel is the text for the label of a syringe: drug, amount per mL, and the time left blank to be written by hand.
func syringeLabel(drug string, perML *big.Rat, inUnits bool) []string {
	lines := []string{drug}
	if !inUnits && perML.Cmp(ratOne) < 0 {
		return append(lines, figures(perML)+" mg per mL ("+figures(times(perML, ratThousand))+" micrograms per mL)", labelTime)
	}
	return append(lines, figures(perML)+" "+string(massUnit(inUnits))+" per mL", labelTime)
}

const labelTime = "Time made up: ________"
