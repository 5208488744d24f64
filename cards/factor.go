package cards

// FactorID names a case factor: a fact of one eye, one patient or one list
// that changes the set-up. Never identity.
type FactorID string

// FactorKind says what values a factor takes.
type FactorKind string

const (
	FactorChoice FactorKind = "choice" // one of Options
	FactorSet    FactorKind = "set"    // any of Options, or the single value "none"
	FactorNumber FactorKind = "number" // a Quantity within Min and Max
	FactorText   FactorKind = "text"   // a short free text, never identity
)

// Values every factor may take beside its own.
const (
	Yes      = "yes"
	No       = "no"
	NotKnown = "not known" // a real answer, different from "no", from "none" and from any number
	None     = "none"      // a set that was asked and is empty
)

// Factor is one row of the factor vocabulary.
type Factor struct {
	ID      FactorID   `json:"id"`
	Label   string     `json:"label"`
	Group   string     `json:"group"`
	Kind    FactorKind `json:"kind"`
	Options []string   `json:"options,omitempty"`
	Unit    string     `json:"unit,omitempty"`
	Min     Quantity   `json:"min,omitzero"`
	Max     Quantity   `json:"max,omitzero"`
	Step    Quantity   `json:"step,omitzero"`
	Source  string     `json:"source,omitempty"` // of the bounds
	// Derived factors are reckoned from the entered ones in one place (checklist.Derive) and are never entered.
	Derived bool `json:"derived,omitempty"`
	// Hint is one line under the field.
	Hint string `json:"hint,omitempty"`
	// OnlyWith names the factor without which this one makes no sense, and
	// OnlyWithValues its answers that make it worth asking (any answer when
	// empty): there is no INR to ask for without an anticoagulant.
	OnlyWith       FactorID `json:"only_with,omitempty"`
	OnlyWithValues []string `json:"only_with_values,omitempty"`
}

var yesNo = []string{Yes, No}

func number(id FactorID, label, group, unit, min, max, step, source string) Factor {
	return Factor{ID: id, Label: label, Group: group, Kind: FactorNumber, Unit: unit,
		Min: MustQuantity(min), Max: MustQuantity(max), Step: MustQuantity(step), Source: source}
}

func (f Factor) onlyWith(other FactorID, values ...string) Factor {
	f.OnlyWith, f.OnlyWithValues = other, values
	return f
}

// Groups of factors, in the order a form asks for them.
const (
	groupEye     = "The eye"
	groupNucleus = "Nucleus and lens"
	groupFront   = "Pupil, zonules, chamber"
	groupPatient = "The patient"
	groupAllergy = "Allergies"
	groupLens    = "Lens plan"
	groupTeam    = "Team"
)

// NucleusGrade is the one derived factor: a grade from 1 to 5 reckoned from
// whichever nucleus scale was entered. The correspondence is customary and
// approximate, and is labelled so wherever it is shown.
const NucleusGrade FactorID = "nucleus-grade"

// Factors is the vocabulary of case factors in the order a form asks for them.
var Factors = []Factor{
	{ID: "eye", Label: "Eye", Group: groupEye, Kind: FactorChoice, Options: []string{"right eye", "left eye"}},
	{ID: "anaesthesia", Label: "Anaesthesia", Group: groupEye, Kind: FactorChoice, Options: Choices["anaesthesia"]},
	number("axial-length", "Axial length", groupEye, "mm", "14", "40", "0.01", "plausibility band; average adult about 23.8 mm (published chapter on short and long eyes)"),
	number("chamber-depth", "Anterior chamber depth", groupEye, "mm", "0.5", "6", "0.01", "plausibility band, value from memory; shallow below 2.5 mm (Muhtaseb 2004)"),
	{ID: "chamber-from", Label: "Chamber depth measured from", Group: groupEye, Kind: FactorChoice, Options: []string{"epithelium", "endothelium"}, OnlyWith: "chamber-depth"},
	{ID: "guttata", Label: "Corneal guttata", Group: groupEye, Kind: FactorChoice, Options: yesNo},
	number("cell-density", "Endothelial cell density", groupEye, "cells/mm²", "100", "6000", "1", "plausibility band, value from memory; no agreed safety limit exists"),
	number("corneal-thickness", "Central corneal thickness", groupEye, "micrometres", "300", "1000", "1", "plausibility band, value from memory; 640 or more discussed for combined surgery (Seitzman 2005)"),
	{ID: "corneal-scarring", Label: "Corneal scarring", Group: groupEye, Kind: FactorChoice, Options: yesNo},
	{ID: "high-ametropia", Label: "Ametropia above 6 D", Group: groupEye, Kind: FactorChoice, Options: yesNo, Source: "above 6 D either way (Muhtaseb 2004)", Hint: "Short or long sight, before the cataract changed it."},
	{ID: "previous-vitrectomy", Label: "Previous vitrectomy", Group: groupEye, Kind: FactorChoice, Options: yesNo},
	Factor{ID: "silicone-oil", Label: "Silicone oil in the eye", Group: groupEye, Kind: FactorChoice, Options: yesNo}.onlyWith("previous-vitrectomy", Yes),
	{ID: "fundal-view", Label: "Fundus can be seen", Group: groupEye, Kind: FactorChoice, Options: yesNo},
	{ID: "glaucoma", Label: "Glaucoma", Group: groupEye, Kind: FactorChoice, Options: yesNo},
	{ID: "uveitis", Label: "Uveitis", Group: groupEye, Kind: FactorChoice, Options: []string{No, "quiet for 3 months or more", "active or quiet for less than 3 months"}},
	{ID: "diabetic-eye-disease", Label: "Diabetic eye disease", Group: groupEye, Kind: FactorChoice, Options: yesNo},
	{ID: "maculopathy", Label: "Maculopathy", Group: groupEye, Kind: FactorChoice, Options: yesNo, Hint: "Of whatever cause: diabetic, with age, or another."},
	{ID: "only-eye", Label: "Only seeing eye", Group: groupEye, Kind: FactorChoice, Options: yesNo},
	{ID: "infection-risk", Label: "Infection near the eye (lids, tear sac)", Group: groupEye, Kind: FactorChoice, Options: yesNo},

	number("nucleus-locs", "Nucleus, LOCS III opalescence", groupNucleus, "", "0.1", "6.9", "0.1", "LOCS III decimal scale (Chylack 1993); range from memory"),
	{ID: "nucleus-clinical", Label: "Nucleus, clinical grade", Group: groupNucleus, Kind: FactorChoice, Options: []string{"trace", "1+", "2+", "3+", "4+"}},
	{ID: NucleusGrade, Label: "Nucleus grade 1 to 5", Group: groupNucleus, Kind: FactorNumber, Min: Whole(1), Max: Whole(5), Step: Whole(1), Derived: true, Source: "customary correspondence, approximate, no agreed conversion"},
	{ID: "white", Label: "White cataract", Group: groupNucleus, Kind: FactorChoice, Options: yesNo},
	Factor{ID: "intumescent", Label: "White and swollen (intumescent)", Group: groupNucleus, Kind: FactorChoice, Options: yesNo}.onlyWith("white", Yes),
	{ID: "brunescent", Label: "Brunescent cataract", Group: groupNucleus, Kind: FactorChoice, Options: yesNo},
	{ID: "posterior-subcapsular", Label: "Mainly posterior subcapsular", Group: groupNucleus, Kind: FactorChoice, Options: yesNo},
	{ID: "capsule-plaque", Label: "Posterior capsule plaque", Group: groupNucleus, Kind: FactorChoice, Options: yesNo},
	{ID: "posterior-polar", Label: "Posterior polar", Group: groupNucleus, Kind: FactorChoice, Options: yesNo},
	number("posterior-polar-size", "Posterior polar opacity", groupNucleus, "mm", "0.5", "10", "0.1", "plausibility band, value from memory; 4 mm or more tore more often (series of 2010)").onlyWith("posterior-polar", Yes),

	number("dilated-pupil", "Dilated pupil", groupFront, "mm", "1", "10", "0.5", "plausibility band, value from memory; published cut-offs for small run from 3 to 5 mm"),
	{ID: "alpha-blocker", Label: "Alpha-blocker, ever taken", Group: groupFront, Kind: FactorChoice, Options: []string{No, "tamsulosin", "another alpha-blocker"}, Hint: "Stopping the drug does not remove the risk."},
	{ID: "pseudoexfoliation", Label: "Pseudoexfoliation", Group: groupFront, Kind: FactorChoice, Options: yesNo},
	{ID: "loose-zonules", Label: "Loose zonules or a moving lens", Group: groupFront, Kind: FactorChoice, Options: yesNo, Hint: "Phacodonesis, or a dialysis that is known."},

	{ID: "age-band", Label: "Age band", Group: groupPatient, Kind: FactorChoice, Options: []string{"under 60", "60 to 69", "70 to 79", "80 to 88", "89", "90 or over"}},
	{ID: "cannot-lie-flat", Label: "Cannot lie flat", Group: groupPatient, Kind: FactorChoice, Options: yesNo},
	{ID: "tremor", Label: "Tremor or restless head", Group: groupPatient, Kind: FactorChoice, Options: yesNo},
	{ID: "hearing", Label: "Hard of hearing", Group: groupPatient, Kind: FactorChoice, Options: yesNo},
	{ID: "language", Label: "Needs an interpreter", Group: groupPatient, Kind: FactorChoice, Options: yesNo},
	{ID: "closed-spaces", Label: "Fear of closed spaces", Group: groupPatient, Kind: FactorChoice, Options: yesNo},
	{ID: "sedation", Label: "Sedation planned", Group: groupPatient, Kind: FactorChoice, Options: yesNo},
	{ID: "oxygen", Label: "Oxygen under the drape", Group: groupPatient, Kind: FactorChoice, Options: yesNo},
	{ID: "diabetes", Label: "Diabetes", Group: groupPatient, Kind: FactorChoice, Options: yesNo},
	{ID: "anticoagulant", Label: "Anticoagulant", Group: groupPatient, Kind: FactorChoice, Options: []string{No, "warfarin", "another anticoagulant", "antiplatelet only"}},
	number("inr", "INR", groupPatient, "", "0.5", "10", "0.1", "plausibility band, value from memory").onlyWith("anticoagulant", "warfarin", "another anticoagulant"),

	{ID: "allergies", Label: "Allergies", Group: groupAllergy, Kind: FactorSet, Options: Choices["allergen"]},
	{ID: "allergy-other", Label: "Other allergy, in words", Group: groupAllergy, Kind: FactorText, Hint: "A substance only. Never a name, number or date of birth."},

	number("lens-power", "Lens power", groupLens, "D", "-20", "60", "0.5", "plausibility band, value from memory"),
	number("backup-power", "Backup lens power", groupLens, "D", "-20", "60", "0.5", "plausibility band, value from memory"),
	{ID: "toric", Label: "Toric lens", Group: groupLens, Kind: FactorChoice, Options: yesNo},
	number("toric-axis", "Toric axis", groupLens, "degrees", "0", "180", "1", "axis is modulo 180").onlyWith("toric", Yes),

	{ID: "trainee", Label: "Trainee operating", Group: groupTeam, Kind: FactorChoice, Options: yesNo},
}

// factorRows finds a factor's row in Factors by its id.
var factorRows = func() map[FactorID]int {
	rows := make(map[FactorID]int, len(Factors))
	for n, f := range Factors {
		rows[f.ID] = n
	}
	return rows
}()

// FactorByID returns the factor's row.
func FactorByID(id FactorID) (Factor, bool) {
	n, ok := factorRows[id]
	if !ok {
		return Factor{}, false
	}
	return Factors[n], true
}
