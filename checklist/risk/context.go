package risk

// contextTables say what later and larger series found. They are other models
// of other years: nothing in Assess uses them, and they are never joined with it.
var contextTables = []Table{
	{
		ID: "how-often", Title: "How often the capsule ruptured, by series", Source: "the series named in each row",
		Columns: []string{"series", "years", "operations", "share, %", "what is counted"},
		Rows: [][]Cell{
			{label("Narendran and others, Eye 2009"), published("2001 to 2006"), published("55,567"), published("1.92"), label("rupture, vitreous loss or both")},
			{label("National audit, first report (Day and others, Eye 2015)"), published("2006 to 2010"), published("180,114"), published("1.95"), label("rupture or vitreous loss")},
			{label("National audit, report 17 (Sim and others, Eye 2024)"), published("2016 to 2022"), published("961,208"), published("1.01"), label("rupture, 9,730 operations")},
			{label("European registry (Segers and others, Journal of Cataract and Refractive Surgery 2022)"), published("2008 to 2018"), published("2,853,376"), published("1.1"), label("rupture, 31,749 operations")},
		},
		Notes: []string{
			"Both have fallen: European registry 1.44 % in 2008, 0.60 % in 2018; national audit 1.95 % about 2010, 0.87 % in 2021/22 (the last two read in a news item).",
			"An older model therefore gives figures that are likely to be too high today.",
		},
	},
	{
		ID: "national-audit-2024", Title: "National audit, report 17: odds ratios", Source: "Sim, Donachie, Day and Buchan, Eye 2024",
		Columns: []string{"factor", "odds ratio", "95 % interval"},
		Rows: [][]Cell{
			{label("Less experienced trainee"), published("3.75"), published("3.33 to 4.24")},
			{label("Pseudoexfoliation or phacodonesis"), published("3.47"), published("3.05 to 3.94")},
			{label("Younger men"), published("3.05"), published("2.23 to 4.16")},
			{label("Brunescent, white or mature cataract"), published("2.41"), published("2.24 to 2.6")},
		},
		Notes: []string{
			"961,208 operations in 136 centres by 3,198 surgeons, April 2016 to March 2022.",
			"Also raised, ratio not read: glaucoma, worse sight, earlier injections into the eye, high myopia, previous vitrectomy, diabetes, diabetic retinopathy, amblyopia, greater age, shallower chamber, cannot lie flat or cooperate.",
			"This is another model than that of 2009. Their ratios are never mixed.",
		},
	},
	{
		ID: "european-registry-2022", Title: "European registry: odds ratios", Source: "Segers and others, Journal of Cataract and Refractive Surgery 2022",
		Columns: []string{"factor", "odds ratio", "95 % interval"},
		Rows: [][]Cell{
			{label("Corneal opacities"), published("3.21"), published("3.02 to 3.41")},
			{label("Diabetic retinopathy"), published("2.74"), memory("2.59 to 2.9")},
			{label("Poor sight before the operation"), memory("1.98"), memory("1.88 to 2.07")},
			{label("White cataract"), memory("1.87"), memory("1.72 to 2.03")},
			{label("Age, each year"), published("1.007"), label("")},
		},
		Notes: []string{
			"2,853,376 operations. Of the interval for diabetic retinopathy only the upper limit is unconfirmed.",
			"Previous vitrectomy did not raise the risk here; it did in the national audit of 2024. The sources disagree.",
		},
	},
	{
		ID: "sensitivity", Title: "Sensitivity of three ways of judging", Source: "abstract of an Australian and New Zealand college congress, 2022",
		Columns: []string{"way of judging", "flagged as high risk, %", "sensitivity, %", "specificity, %"},
		Rows: [][]Cell{
			{label("Clinical judgement"), published("34.8"), published("56.7"), label("not read")},
			{label("United Kingdom complexity score"), published("10.1"), published("19.5"), published("90.1")},
			{label("New Zealand score"), published("6.5"), published("11.1"), published("93.4")},
		},
		Notes: []string{
			"3,245 eyes. The scores missed four of five, or more, of what they are meant to find: a score can add a precaution and never removes one.",
			"Where an expert scored again, 31.6 % and not 19.6 % were at high risk, mainly for depth of the chamber and density: measure the depth in mm.",
			"A model a department made for itself in 2025 told cases apart only modestly (area under the curve 0.62 when tried forward).",
		},
	},
}
