package cards

import (
	"strings"

	"pgregory.net/rapid"
)

// Generators of random cards whose texts are storable. The cards need not be
// sensible (Check may find much): they are for laws that hold for every card.

// storableCard draws a card that Format and Parse must carry without loss.
func storableCard() *rapid.Generator[Card] {
	return rapid.Custom(func(t *rapid.T) Card {
		return Card{
			ID: CardID(keyGen().Draw(t, "id")), Title: nameGen().Draw(t, "title"),
			Technique: drawChoice[Technique](t, "technique"), TechniqueName: drawText(t, "technique name"),
			Owner: PersonID(keyGen().Draw(t, "owner")), Review: rapid.SampledFrom([]Date{"", "2027-03-31", "2028-02-29"}).Draw(t, "review"),
			Basics: drawBasics(t), Machine: drawMachine(t),
			Items: drawList(t, "items", drawItem), Drugs: drawList(t, "drugs", drawDrug),
			Phases: drawList(t, "phases", drawPhase), Steps: drawList(t, "steps", drawStep),
			Triggers: drawList(t, "triggers", drawTrigger), Variants: drawList(t, "variants", drawVariant),
			Fit: drawList(t, "fit", drawFit), Notes: bodyGen().Draw(t, "notes"), Extra: drawSections(t),
		}
	})
}

// words holds what Markdown, HTML or a table could take for a mark, beside plain words of several scripts.
var words = []string{
	"chop", "Sub-Tenon's", "5", "0.12", "1.", "12)", "-", "--", "---", "+", "*", "**", "_", "__", "`", "```", "~~~", "|", "\\", "\\|", "#", "##", "=", "===", ">", "<",
	"<b>", "<!--", "-->", "&", "&amp;", "&#124;", "&copy", "[", "]", "[a]", "[a]:", "](", "!", "![", "http://a.example", ":", "a:b", "Key:", "(", ")", "{#id}", "  ", " ",
	"µ", "é", "ß", "眼", "עין", "👁", "\u00a0", "\u200d", "\ufeff", "\ufffd", "½", "’", "“", "$", "^", "%", "@", "mailto:", "| --- |", ":-:", "\"", "'", ";",
}

// textGen draws a one-line text, often made of marks.
func textGen() *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		if rapid.Bool().Draw(t, "free") {
			s := strings.TrimSpace(rapid.StringN(0, 20, 80).Draw(t, "text"))
			if StorableText(s, false) == "" {
				return s
			}
		}
		if rapid.IntRange(0, 19).Draw(t, "long") == 0 { // many of one mark must not look like a hostile file
			return strings.TrimSpace(strings.Repeat(rapid.SampledFrom([]string{"|", "- ", "> ", "1. ", "1 - ", "1 ", "* ", "\\|", "#", "`"}).Draw(t, "mark"), 150))
		}
		s := strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 0, 6).Draw(t, "words"), rapid.SampledFrom([]string{"", " "}).Draw(t, "between"))
		return strings.TrimSpace(s)
	})
}

// nameGen draws a text that is not empty.
func nameGen() *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		if s := textGen().Draw(t, "name"); s != "" {
			return s
		}
		return "Name"
	})
}

func keyGen() *rapid.Generator[string] {
	return rapid.StringMatching(`[a-z0-9]{1,8}(-[a-z0-9]{1,5}){0,3}`)
}

// drawKey draws the key a name gives, as most are, or another.
func drawKey(t *rapid.T, name string) Key {
	if slug := Slug(name); slug != "" && rapid.Bool().Draw(t, "own key") {
		return slug
	}
	return Key(keyGen().Draw(t, "key"))
}

func drawText(t *rapid.T, label string) string {
	if rapid.Bool().Draw(t, label+"?") {
		return textGen().Draw(t, label)
	}
	return ""
}

func drawChoice[T ~string](t *rapid.T, name ChoiceName) T {
	return T(rapid.SampledFrom(append([]string{""}, Choices[name]...)).Draw(t, string(name)))
}

func quantityGen() *rapid.Generator[Quantity] {
	return rapid.OneOf(
		rapid.Just(Quantity{}),
		rapid.Custom(func(t *rapid.T) Quantity { return Whole(rapid.Int64Range(-9, 999).Draw(t, "whole")) }),
		rapid.Custom(func(t *rapid.T) Quantity {
			return FromMillionths(rapid.Int64Range(-quantityLimit*quantityScale+1, quantityLimit*quantityScale-1).Draw(t, "millionths"))
		}),
	)
}

// drawList draws up to three elements; a list without elements is nil, as Parse gives it back.
func drawList[T any](t *rapid.T, label string, draw func(*rapid.T) T) []T {
	var list []T
	for range rapid.IntRange(0, 3).Draw(t, label) {
		list = append(list, draw(t))
	}
	return list
}

func drawBasics(t *rapid.T) Basics {
	q := quantityGen()
	return Basics{
		GloveSize: q.Draw(t, "glove"), GownSize: drawText(t, "gown"), Handedness: drawChoice[Handedness](t, "handedness"),
		Seat: drawChoice[Seat](t, "seat"), MainPlace: drawChoice[IncisionAt](t, "incision"), MainWidth: q.Draw(t, "main width"),
		SideHours: q.Draw(t, "side hours"), SideHand: drawChoice[Hand](t, "hand"), SideWidth: q.Draw(t, "side width"),
		PupilDistance: q.Draw(t, "pupil distance"), EyepieceLeft: q.Draw(t, "left"), EyepieceRight: q.Draw(t, "right"),
		Anaesthesia: drawChoice[Anaesthesia](t, "anaesthesia"), AnaesthesiaNote: drawText(t, "anaesthesia note"),
	}
}

func drawMachine(t *rapid.T) Machine {
	q := quantityGen()
	return Machine{Profile: drawText(t, "profile"), Pump: drawChoice[Pump](t, "pump"), Irrigation: drawChoice[Irrigation](t, "irrigation"),
		TipGauge: q.Draw(t, "gauge"), TipAngle: q.Draw(t, "angle"), Pedal: drawText(t, "pedal")}
}

func drawAllergens(t *rapid.T) []Allergen {
	return drawList(t, "allergens", func(t *rapid.T) Allergen {
		return Allergen(rapid.SampledFrom(Choices["allergen"]).Draw(t, "allergen"))
	})
}

func drawItem(t *rapid.T) Item {
	name := nameGen().Draw(t, "item")
	return Item{Key: drawKey(t, name), Name: name, Kind: drawChoice[ItemKind](t, "item kind"), Quantity: rapid.IntRange(0, 99).Draw(t, "quantity"),
		State: drawChoice[State](t, "state"), Counted: rapid.Bool().Draw(t, "counted"), Place: drawChoice[Place](t, "place"),
		Note: drawText(t, "note"), Allergens: drawAllergens(t)}
}

func drawMeasure(t *rapid.T, units ChoiceName) Measure {
	q := quantityGen().Draw(t, "measure")
	if !q.Stated() {
		return Measure{}
	}
	return Measure{Value: q, Unit: Unit(rapid.SampledFrom(Choices[units]).Draw(t, "unit"))}
}

func drawDrug(t *rapid.T) Drug {
	name := nameGen().Draw(t, "drug")
	return Drug{Key: drawKey(t, name), Name: name, Strength: drawMeasure(t, "strength"), Dose: drawMeasure(t, "dose"),
		Volume: quantityGen().Draw(t, "volume"), Route: drawChoice[Route](t, "route"), State: drawChoice[State](t, "state"),
		Prepared: drawText(t, "prepared"), Allergens: drawAllergens(t), Note: drawText(t, "note")}
}

func drawLimits(t *rapid.T) Limits {
	q := quantityGen()
	return Limits{
		Ultrasound: drawChoice[Ultrasound](t, "ultrasound"), Mode: drawChoice[Mode](t, "mode"),
		Power: q.Draw(t, "power"), PowerControl: drawChoice[Control](t, "control"), PulseRate: q.Draw(t, "rate"),
		DutyCycle: q.Draw(t, "duty"), BurstLength: q.Draw(t, "burst"), Vacuum: q.Draw(t, "vacuum"),
		VacuumControl: drawChoice[Control](t, "control"), Flow: q.Draw(t, "flow"), Bottle: q.Draw(t, "bottle"),
		Pressure: q.Draw(t, "pressure"), CutRate: q.Draw(t, "cut rate"),
	}
}

func drawPhase(t *rapid.T) Phase {
	name := nameGen().Draw(t, "phase")
	return Phase{Key: drawKey(t, name), Name: name, Kind: drawChoice[PhaseKind](t, "phase kind"), Limits: drawLimits(t), Note: drawText(t, "note")}
}

func drawReference(t *rapid.T) string {
	if rapid.Bool().Draw(t, "refers") {
		return keyGen().Draw(t, "reference")
	}
	return ""
}

func drawKeyRef(t *rapid.T) Key { return Key(keyGen().Draw(t, "key")) }

func drawName(t *rapid.T) string { return nameGen().Draw(t, "line") }

func drawStep(t *rapid.T) Step {
	title := nameGen().Draw(t, "step")
	return Step{Key: drawKey(t, title), Title: title, Phase: Key(drawReference(t)), Do: drawText(t, "do"), Checkpoint: drawText(t, "checkpoint")}
}

func drawTrigger(t *rapid.T) Trigger {
	title := nameGen().Draw(t, "trigger")
	return Trigger{Key: drawKey(t, title), Title: title, Seen: drawText(t, "seen"), Say: drawText(t, "say"),
		Surgeon: drawList(t, "surgeon", drawName), Scrub: drawList(t, "scrub", drawName),
		Circulating: drawList(t, "circulating", drawName), Anaesthesia: drawList(t, "anaesthesia", drawName),
		Open: drawList(t, "open", drawKeyRef), NextCard: CardID(drawReference(t)), NextStep: drawText(t, "next"), Source: drawText(t, "source")}
}

// drawTest draws a condition that CheckTest accepts.
func drawTest(t *rapid.T) Test {
	f := rapid.SampledFrom(Factors).Draw(t, "factor")
	test := Test{Factor: f.ID, Op: rapid.SampledFrom(Ops[f.Kind]).Draw(t, "op"), Value: None}
	switch f.Kind {
	case FactorNumber:
		test.Value = FromMillionths(rapid.Int64Range(f.Min.Millionths(), f.Max.Millionths()).Draw(t, "value")).String()
	case FactorChoice, FactorSet:
		test.Value = rapid.SampledFrom(f.Options).Draw(t, "option")
	}
	return test
}

func drawVariant(t *rapid.T) Variant {
	title := nameGen().Draw(t, "variant")
	return Variant{Key: drawKey(t, title), Title: title, When: drawList(t, "when", drawTest),
		Phases: drawList(t, "limits", func(t *rapid.T) PhaseChange { return PhaseChange{drawKeyRef(t), drawLimits(t)} }),
		Items:  drawList(t, "items", drawItem), Without: drawList(t, "without", drawKeyRef), Note: drawText(t, "note")}
}

func drawFit(t *rapid.T) Fit {
	return Fit{Speaks: drawChoice[Speaks](t, "speaks"), When: drawTest(t), Reason: drawText(t, "reason")}
}

// bodyLines are lines of Markdown from which bodies are made; those that cannot be stored are drawn again.
var bodyLines = []string{
	"", "", "Warm the fluid.", "### Heading", "#### Deeper #", "- a list", "  - below", "1. one", "> quote", "```", "~~~", "    code", "\tcode", "| a | b |", "| - | - |",
	"===", "---", "***", "[a]: /b", "[a][b] `c` **d**", "<div>", "<!-- open", "-->", "\\", "&amp;", "trailing  ", "眼", "# one", "## two", "* * *", "+", "-", "10) ten",
}

func bodyGen() *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		lines := rapid.SliceOfN(rapid.SampledFrom(bodyLines), 0, 8).Draw(t, "lines")
		if s := trimBlankLines(strings.Join(lines, "\n")); StorableText(s, true) == "" {
			return s
		}
		return "Plain."
	})
}

// drawSections draws sections with titles of their own.
func drawSections(t *rapid.T) []Section {
	var sections []Section
	seen := map[string]bool{"": true}
	for range rapid.IntRange(0, 2).Draw(t, "sections") {
		title := nameGen().Draw(t, "section")
		if seen[strings.ToLower(title)] || KnownSection(title) {
			continue
		}
		seen[strings.ToLower(title)] = true
		sections = append(sections, Section{Title: title, Body: bodyGen().Draw(t, "body")})
	}
	return sections
}
