package cards

const (
	// forPharmacist is said of every recipe that the unit has not confirmed.
	forPharmacist = "For the unit's pharmacist to confirm. Not confirmed yet."
	markMemory    = "For the unit's pharmacist to confirm. Practice from memory, unconfirmed; arithmetic checked."
	markArith     = "For the unit's pharmacist to confirm. Arithmetic only, no source for the practice."
	noteVolume    = "Larger volumes of the same proportions are used on purpose: small ones are made up inaccurately."
	saline        = "sodium chloride 0.9 %, free of preservative"
	bss           = "balanced salt solution"
)

func milligrams(n string) Measure { return Measure{MustQuantity(n), "mg"} }

func micrograms(n string) Measure { return Measure{MustQuantity(n), "micrograms"} }

func taking(take, add, diluent, syringe, reach string) RecipeStep {
	return RecipeStep{Take: MustQuantity(take), Add: MustQuantity(add), Diluent: diluent, Syringe: MustQuantity(syringe), Reach: MustStrength(reach)}
}

// intracameralCefuroxime ends every recipe for 1 mg in 0.1 mL (ESCRS multicentre trial, Journal of Cataract and Refractive Surgery 2007).
func intracameralCefuroxime(id Key, title, vial, mark, note string, steps ...RecipeStep) Recipe {
	return Recipe{ID: id, Title: title, Drug: "Cefuroxime", Vial: milligrams(vial), Steps: steps, Final: MustStrength("10 mg/mL"),
		Give: MustQuantity("0.1"), Dose: milligrams("1"), Mark: mark, Note: note}
}

// undiluted is a recipe without steps: a ready product and what is in the volume given.
func undilutedProduct(id Key, title, drug, strength, give string, dose Measure, mark string) Recipe {
	return Recipe{ID: id, Title: title, Drug: drug, Ready: MustStrength(strength), Final: MustStrength(strength), Give: MustQuantity(give), Dose: dose, Mark: mark}
}

// StarterRecipes are recipes a unit may start from. None is confirmed: a
// recipe is shown as text and is off until the unit's pharmacist confirms it in
// the unit's settings. Volumes in mL; the chain of each is checked by test.
func StarterRecipes() []Recipe {
	return append(antibioticRecipes(), append(pupilRecipes(), otherRecipes()...)...)
}

func antibioticRecipes() []Recipe {
	const twoSteps = "Without the second step 0.1 mL holds 10 mg, ten times too much."
	return []Recipe{
		intracameralCefuroxime("cefuroxime-750-mg", "Cefuroxime 1 mg in 0.1 mL from a 750 mg vial", "750",
			"For the unit's pharmacist to confirm. First step seen in a published hospital protocol; second step from memory, unconfirmed.", twoSteps,
			taking("", "7.5", saline, "10", "100 mg/mL"), taking("1", "9", saline, "10", "10 mg/mL")),
		intracameralCefuroxime("cefuroxime-250-mg", "Cefuroxime 1 mg in 0.1 mL from a 250 mg vial", "250", markMemory, twoSteps,
			taking("", "2.5", saline, "5", "100 mg/mL"), taking("1", "9", saline, "10", "10 mg/mL")),
		intracameralCefuroxime("cefuroxime-250-mg-large", "Cefuroxime 1 mg in 0.1 mL from a 250 mg vial, larger volume", "250",
			"For the unit's pharmacist to confirm. Inferred from the 12.5 mL protocol of Lockington, Journal of Cataract and Refractive Surgery 2010.",
			"With 12.5 mL the made-up dose was 1.17 mg (0.62 to 1.77) where 1 mg was meant; with 2.5 mL and a 1 mL syringe 2.05 mg (0.52 to 7.25).",
			taking("", "12.5", saline, "20", "20 mg/mL"), taking("1", "1", saline, "2", "10 mg/mL")),
		intracameralCefuroxime("cefuroxime-50-mg", "Cefuroxime 1 mg in 0.1 mL from a 50 mg single-use vial", "50", markMemory,
			"The vial holds 50 mg, not 50 mg/mL. Taken as 50 mg/mL it is five times too strong.", taking("", "5", saline, "5", "10 mg/mL")),
		undilutedProduct("moxifloxacin-0-5", "Moxifloxacin 0.5 %, given undiluted", "Moxifloxacin", "5 mg/mL", "0.1", micrograms("500"),
			"For the unit's pharmacist to confirm. Amount seen in a published abstract. Two stock strengths with different volumes exist; mixing them up has harmed (United States advisory, October 2022)."),
		undilutedProduct("moxifloxacin-0-1", "Moxifloxacin 0.1 %, given undiluted", "Moxifloxacin", "1 mg/mL", "0.1", micrograms("100"),
			"For the unit's pharmacist to confirm. Amount seen: Arbisser 2008."),
		{ID: "moxifloxacin-0-15", Title: "Moxifloxacin 0.15 % from 0.5 %", Drug: "Moxifloxacin", Ready: MustStrength("5 mg/mL"),
			Steps: []RecipeStep{taking("3", "7", bss, "10", "1.5 mg/mL")}, Final: MustStrength("1.5 mg/mL"), Give: MustQuantity("0.1"), Dose: micrograms("150"), Mark: markMemory,
			Note: "0.3 to 0.4 mL holds 450 to 600 micrograms: say which volume is meant."},
	}
}

func pupilRecipes() []Recipe {
	phenylephrine := func(id Key, title, ready string, step RecipeStep) Recipe {
		return Recipe{ID: id, Title: title, Drug: "Phenylephrine", Ready: MustStrength(ready), Steps: []RecipeStep{step}, Final: MustStrength("15 mg/mL"),
			Give: MustQuantity("0.6"), Dose: milligrams("9"), Mark: markArith, Note: noteVolume + " Free of preservative."}
	}
	irrigation := func(id Key, title, take, reach string) Recipe {
		return Recipe{ID: id, Title: title, Drug: "Adrenaline", Ready: MustStrength("1 mg/mL"), Steps: []RecipeStep{{Take: MustQuantity(take), Add: Whole(500),
			Diluent: "irrigating solution in its bottle", Reach: MustStrength(reach)}}, Final: MustStrength(reach), Mark: markMemory,
			Note: "Free of preservative. The ampoule of 1 mg/mL is also labelled 1:1000."}
	}
	return []Recipe{
		phenylephrine("phenylephrine-from-2-5", "Phenylephrine 9 mg in 0.6 mL from 2.5 %", "25 mg/mL", taking("6", "4", bss, "10", "15 mg/mL")),
		phenylephrine("phenylephrine-from-10", "Phenylephrine 9 mg in 0.6 mL from 10 %", "100 mg/mL", taking("1.5", "8.5", bss, "10", "15 mg/mL")),
		irrigation("adrenaline-irrigation", "Adrenaline 1 microgram/mL in the irrigation", "0.5", "1 micrograms/mL"),
		irrigation("adrenaline-irrigation-low", "Adrenaline 0.6 micrograms/mL in the irrigation", "0.3", "0.6 micrograms/mL"),
		undilutedProduct("carbachol", "Carbachol 0.01 %, given undiluted", "Carbachol", "0.1 mg/mL", "0.5", milligrams("0.05"), markMemory),
		{ID: "acetylcholine", Title: "Acetylcholine 1 % from a 20 mg vial", Drug: "Acetylcholine", Vial: milligrams("20"),
			Steps: []RecipeStep{{Add: Whole(2), Diluent: "the diluent supplied", Reach: MustStrength("10 mg/mL")}}, Final: MustStrength("10 mg/mL"),
			Give: MustQuantity("0.5"), Dose: milligrams("5"), Mark: markMemory, Note: "Made up only when asked for; it does not keep."},
	}
}

func otherRecipes() []Recipe {
	return []Recipe{
		undilutedProduct("lidocaine-intracameral", "Lidocaine 1 %, intracameral", "Lidocaine", "10 mg/mL", "0.5", milligrams("5"),
			"For the unit's pharmacist to confirm. Volume seen in a trial of 162 eyes. Free of preservative."),
		undilutedProduct("trypan-blue", "Trypan blue 0.06 %, given undiluted", "Trypan blue", "0.6 mg/mL", "0.1", milligrams("0.06"), markMemory),
		{ID: "triamcinolone", Title: "Triamcinolone 4 mg/mL to stain vitreous", Drug: "Triamcinolone", Ready: MustStrength("40 mg/mL"),
			Steps: []RecipeStep{taking("1", "9", bss, "10", "4 mg/mL")}, Final: MustStrength("4 mg/mL"), Mark: markMemory, Note: "Wash the preservative out first."},
	}
}
