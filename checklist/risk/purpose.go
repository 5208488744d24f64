package risk

// Purpose is the intended purpose of this part, to be read and confirmed by
// the unit lead who turns it on. docs/risk.md holds the same words.
const Purpose = "This part shows an eye surgeon what published population models say about rupture of the posterior capsule for the facts of one eye, " +
	"so that the surgeon, beside the own judgement, can decide to add a precaution. " +
	"It is for surgeons who know the models and their limits, while a list is prepared. " +
	"It is not for telling a patient a figure, not for withholding a precaution or an operation, not for setting a machine, a lens or a dose, " +
	"not for deciding who operates, and not for comparing surgeons or units. " +
	"It is off until the unit lead has read this and turns it on. Local protocol comes first."

// Words that stand with every assessment.
const (
	CautionPopulation  = "Population estimates; they do not replace judgement."
	CautionSensitivity = "The sensitivity of such scores is low: in 3,245 eyes it was 19.5 % for a United Kingdom complexity score and 11.1 % for the New Zealand score, against 56.7 % for clinical judgement (congress abstract 2022)."
	CautionAddsOnly    = "A score can add a precaution and never removes one."
	CautionSeparate    = "Each model stands alone. Their figures are never joined, and they may disagree."
	CautionLocal       = "Nothing here sets a machine limit, a lens, a dose or who operates. Local protocol comes first."
)

func cautions() []string {
	return []string{CautionPopulation, CautionSensitivity, CautionAddsOnly, CautionSeparate, CautionLocal}
}
