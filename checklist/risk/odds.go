package risk

import (
	"sideport/cards"
	"sideport/checklist"
)

// BaselinePercent is p0 of the odds-ratio model: every item at its reference
// level. Value from memory, unconfirmed; the published range begins at "less
// than 0.75 %".
const BaselinePercent = "0.75"

// HighTimesAverage is where this program writes "high" in the odds-ratio
// model: at so many times the average of the series. The model has no groups
// of its own; no source, for the unit to confirm.
const HighTimesAverage = 4

// weighed is an item of the odds-ratio model that is there or not.
func weighed(ratio, id, label string, when ...cards.Test) Item {
	return levels(id, label, cards.No, level(cards.Yes, ratio, when...))
}

func level(name, ratio string, when ...cards.Test) Level {
	return Level{Name: name, Ratio: cards.MustQuantity(ratio), When: when, Mark: checklist.MarkMemory}
}

func levels(id, label, reference string, others ...Level) Item {
	return Item{ID: id, Label: label, Levels: append([]Level{level(reference, "1")}, others...)}
}

// narendran holds ratios that are all values from memory, unconfirmed: the
// paper's own table was not reachable.
var narendran = Model{
	ID: OddsRatios, Name: "Odds-ratio model of 2009",
	Authors: "Narendran and others", Journal: "Eye", Year: 2009,
	Population: "55,567 operations in 12 National Health Service trusts, November 2001 to July 2006", Operations: 55567,
	Outcome: "capsule rupture, vitreous loss or both",
	Reading: "Ratios multiply the odds of the baseline, never its percentage.",
	Items: []Item{
		levels("age", "Age", "under 60",
			level("60 to 69", "1.14", is("age-band", "60 to 69")),
			level("70 to 79", "1.42", is("age-band", "70 to 79")),
			level("80 to 89", "1.58", is("age-band", "80 to 88"), is("age-band", "89")),
			level("90 or over", "2.37", is("age-band", "90 or over"))),
		levels("sex", "Sex", "female", level("male", "1.28", is("sex", "male"))),
		weighed("1.30", "glaucoma", "Glaucoma", is("glaucoma", "yes")),
		weighed("1.63", "diabetic-retinopathy", "Diabetic retinopathy", is("diabetic-eye-disease", "yes")).
			substituting("The model says diabetic retinopathy. Diabetic eye disease stands for it."),
		weighed("2.99", "brunescent-or-white", "Brunescent or white cataract", is("brunescent", "yes"), is("white", "yes")),
		weighed("2.46", "no-fundal-view", "No fundal view or vitreous opacities", is("fundal-view", "no"), is("vitreous-opacities", "yes")),
		weighed("2.92", "pseudoexfoliation-or-phacodonesis", "Pseudoexfoliation or phacodonesis", is("pseudoexfoliation", "yes"), is("loose-zonules", "yes")).
			substituting("The model says phacodonesis. Loose zonules or a moving lens stands for it."),
		levels("pupil", "Pupil size, the surgeon's category", "large",
			level("medium", "1.14", is("pupil-category", "medium")),
			level("small", "1.45", is("pupil-category", "small"), below("dilated-pupil", "3"))).
			substituting("The model gives no millimetres. A dilated pupil below 3 mm, small by every published cut-off, counts as small; any other says nothing here."),
		weighed("1.47", "axial-length", "Axial length of 26 mm or more", atLeast("axial-length", "26")),
		weighed("1.51", "doxazosin", "Doxazosin", is("alpha-blocker", "another alpha-blocker"), is("alpha-blocker", "tamsulosin")).
			substituting("The model says doxazosin; tamsulosin was not the significant drug there (from memory, unconfirmed). Any alpha-blocker counts here, as in later use of the model."),
		weighed("1.27", "cannot-lie-flat", "Cannot lie flat", is("cannot-lie-flat", "yes")),
		levels("surgeon-grade", "Grade of the surgeon", "consultant",
			level("associate specialist", "0.87", is("surgeon-grade", "associate specialist")),
			level("staff grade", "0.36", is("surgeon-grade", "staff grade")),
			level("fellow", "1.65", is("surgeon-grade", "fellow")),
			level("specialist registrar", "1.60", is("surgeon-grade", "specialist registrar")),
			level("junior trainee", "3.73", is("surgeon-grade", "junior trainee"))),
	},
	Baseline: cards.MustQuantity(BaselinePercent),
	Average:  cards.MustQuantity("1.92"),
	Limits: []string{
		"Every ratio and the baseline are unconfirmed: values from memory, to be compared with the paper before anybody relies on them.",
		"The model has no groups. The words are this program's: low below the average of the series (1.92 %), high from 4 times that; no source.",
		"Ruptures have become about half as frequent since (1.01 % in 2016 to 2022), so the figures are likely to be too high today.",
		"In 100 operations on eyes with retinal disease the model foresaw 5 % and 1 % was seen (letter in Eye 2011).",
	},
}
