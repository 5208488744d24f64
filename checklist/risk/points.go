package risk

// Items the two point scores share. Only the points of the others differ.
var (
	dense = scored(3, "dense-cataract", "Dense, total, white or brunescent cataract",
		is("white", "yes"), is("brunescent", "yes"), atLeast("nucleus-grade", "4"), is("dense-cataract", "yes")).
		substituting("The score says dense and gives no grade. White, brunescent, nucleus grade 4 or 5 (customary, approximate) or the surgeon's own word counts.")
	pseudoexfoliation = scored(3, "pseudoexfoliation", "Pseudoexfoliation", is("pseudoexfoliation", "yes"))
	phacodonesis      = scored(3, "phacodonesis", "Phacodonesis", is("loose-zonules", "yes")).
				substituting("The score says phacodonesis. Loose zonules or a moving lens stands for it.")
	cornealScarring = scored(1, "corneal-scarring", "Corneal scarring", is("corneal-scarring", "yes"))
	smallPupil      = scored(1, "small-pupil", "Small pupil, below 3 mm", below("dilated-pupil", "3")).
			substituting("The dilated pupil of the case stands for the pupil of the score.")
	shallowChamber = scored(1, "shallow-chamber", "Shallow chamber, depth below 2.5 mm", below("chamber-depth", "2.5")).
			substituting("The score does not say from where the depth is measured. The case's figure is compared as it stands.")
	above88        = scored(1, "age", "Age above 88", is("age-band", "89"), is("age-band", "90 or over"))
	ametropia      = scored(1, "high-ametropia", "High ametropia, above 6 D either way", is("high-ametropia", "yes"))
	capsulePlaque  = scored(1, "capsule-plaque", "Posterior capsule plaque", is("capsule-plaque", "yes"))
	posteriorPolar = scored(1, "posterior-polar", "Posterior polar cataract", is("posterior-polar", "yes"))
	otherRisk      = scored(1, "other-risk", "Another risk the surgeon assessed", is("cannot-lie-flat", "yes"), is("other-risk", "yes")).
			substituting("The score leaves this to the surgeon, for example a poor position. Cannot lie flat counts as one.")
)

func vitrectomy(points int) Item {
	return scored(points, "previous-vitrectomy", "Previous vitrectomy", is("previous-vitrectomy", "yes"))
}

var muhtaseb = Model{
	ID: PointScore, Name: "Point score of 2004",
	Authors: "Muhtaseb, Kalhoro and Ionides", Journal: "British Journal of Ophthalmology", Year: 2004,
	Population: "1,441 operations in the study; its table of groups covers 1,000", Operations: 1000,
	Outcome: "rupture of the posterior capsule",
	Reading: "Points are added. The sum places the case in one of four groups; the figure is what was seen in that group.",
	Items: []Item{dense, pseudoexfoliation, phacodonesis, vitrectomy(1), cornealScarring, smallPupil,
		shallowChamber, above88, ametropia, capsulePlaque, posteriorPolar, otherRisk},
	Groups: []Group{
		{"group 1", 0, RankLow, 579, 9, "4.32", "1.04", "0.17", "0"},
		{"group 2", 1, RankLow, 255, 4, "7.45", "0.39", "0.39", "0"},
		{"group 3", 3, RankRaised, 141, 7, "13.48", "5.67", "0.71", "1.42"},
		{"group 4", 6, RankHigh, 25, 2, "32", "8", "4", "4"},
	},
	Limits: []string{
		"The group numbers are the source's. The words low, raised and high are this program's: groups 1 and 2 had the same share of ruptures.",
		"Group 4 had 25 operations: its share is very unsure.",
		"Published in 2004. In a national audit ruptures fell from 1.95 % (2006 to 2010) to 1.01 % (2016 to 2022), so the shares are likely to be too high today.",
		"People grade depth and density differently: where an expert scored again, 31.6 % and not 19.6 % were at high risk. Measure the depth in mm.",
	},
}

var newZealand = Model{
	ID: NewZealand, Name: "New Zealand variant of the point score",
	Authors: "Han and others", Journal: "read in a review and not in the paper,", Year: 2020,
	Population: "621 operations in New Zealand, 500 of them scored", Operations: 500,
	Outcome: "rupture of the posterior capsule",
	Reading: "Points are added. In the published service a consultant operated when the score was above 3.",
	Items: []Item{dense, pseudoexfoliation, phacodonesis, vitrectomy(3),
		scored(3, "only-eye", "Only eye", is("only-eye", "yes")),
		scored(2, "alpha-antagonist", "Alpha antagonist", is("alpha-blocker", "tamsulosin"), is("alpha-blocker", "another alpha-blocker")),
		cornealScarring, smallPupil, shallowChamber, above88, ametropia, capsulePlaque, posteriorPolar, otherRisk},
	Groups: []Group{
		{Name: "0 to 3 points", From: 0, Rank: RankNotHigh},
		{Name: "more than 3 points", From: 4, Rank: RankHigh},
	},
	Limits: []string{
		"Reported at second hand: the figures were read in a review, not in the paper.",
		"The source draws one line, above 3 points, and gives no figure for either side of it. Over the whole series: complications 3 %, capsule rupture 0.8 %.",
		"“Not high” is not “low”: pseudoexfoliation alone stays below the line.",
		"Previous vitrectomy counts 3 points here and 1 in the score of 2004.",
	},
}
