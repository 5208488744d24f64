package checklist

import "sideport/cards"

// What is customarily said of the techniques. None of it is a rule of the
// unit; it stands beside the surgeon's own reasons and is marked for what it is.

const (
	practice     = "common practice, no source"
	sourceWindow = "customary technique window, value from memory, unconfirmed"
	sourcePark   = "trial of 2013 (Park): in grade 4 chop used less time, energy and fluid than divide and conquer and stop and chop; at lower grades no difference"
	sourceGuedes = "nine studies put together 2024 (Guedes): chop used less ultrasound than divide and conquer; that it costs fewer cells is disputed (Storr-Paulsen 2008 found equal loss)"
	sourcePupil  = "published cut-offs for a small pupil run from 3 to 5 mm; the reason is common practice, no source"
)

var (
	quickChop = []cards.Technique{cards.VerticalChop, cards.HorizontalChop}
	inTheBag  = []cards.Technique{cards.DivideAndConquer, cards.StopAndChop, cards.VerticalChop, cards.HorizontalChop}
)

// techniqueFit is a reason for or against every card of some techniques, or
// every card that opens an item.
type techniqueFit struct {
	techniques []cards.Technique
	opens      cards.Key
	when       cards.Test
	speaks     cards.Speaks
	reason     string
	source     string
	mark       Mark
}

func (f techniqueFit) speaksOf(card cards.Card) bool {
	if f.opens == "" {
		return has(f.techniques, card.Technique)
	}
	i, ok := card.Item(f.opens)
	return ok && i.State == cards.Open
}

func grade(op cards.Op, value string) cards.Test {
	return cards.Test{Factor: cards.NucleusGrade, Op: op, Value: value}
}

func yes(id cards.FactorID) cards.Test { return cards.Test{Factor: id, Op: cards.Is, Value: cards.Yes} }

func of(techniques ...cards.Technique) []cards.Technique { return techniques }

var smallPupil = cards.Test{Factor: "dilated-pupil", Op: cards.Below, Value: "5"}

// techniqueFits in the order in which they are read.
var techniqueFits = []techniqueFit{
	{techniques: of(cards.VerticalChop), when: grade(cards.AtLeast, "3"), speaks: cards.SpeaksFor, reason: "a dense nucleus, 3+ and above, holds on the tip and splits", source: practice, mark: MarkPractice},
	{techniques: of(cards.VerticalChop), when: grade(cards.AtMost, "1"), speaks: cards.SpeaksAgainst, reason: "a soft nucleus does not hold on the tip", source: practice, mark: MarkPractice},
	{techniques: of(cards.VerticalChop), when: yes("posterior-subcapsular"), speaks: cards.SpeaksAgainst, reason: "where the opacity is mainly posterior subcapsular the nucleus is often soft and does not hold on the tip", source: practice, mark: MarkPractice},
	{opens: "vertical-chopper", when: yes("trainee"), speaks: cards.SpeaksAgainst, reason: "a sharp second instrument raises the risk to the capsule in a learner's hand", source: practice, mark: MarkPractice},

	{techniques: of(cards.HorizontalChop), when: grade(cards.AtLeast, "1"), speaks: cards.SpeaksFor, reason: "horizontal chop suits soft and hard nuclei", source: practice, mark: MarkPractice},
	{techniques: of(cards.HorizontalChop), when: smallPupil, speaks: cards.SpeaksAgainst, reason: "the pass under the capsule rim is blind, a small pupil hides the periphery, and the rim on the far side can tear", source: sourcePupil, mark: MarkPractice},

	{techniques: of(cards.DivideAndConquer), when: yes("trainee"), speaks: cards.SpeaksFor, reason: "the usual first technique and the usual choice for a learner", source: practice, mark: MarkPractice},
	{techniques: of(cards.DivideAndConquer), when: smallPupil, speaks: cards.SpeaksAgainst, reason: "two grooves run towards a periphery that a small pupil hides", source: sourcePupil, mark: MarkPractice},
	{techniques: of(cards.DivideAndConquer, cards.StopAndChop), when: grade(cards.AtLeast, "4"), speaks: cards.SpeaksAgainst, reason: "more ultrasound than chop without a groove in grade 4 nuclei", source: sourcePark, mark: MarkPublished},
	{techniques: of(cards.DivideAndConquer), when: yes("guttata"), speaks: cards.SpeaksAgainst, reason: "most ultrasound of the techniques, under a cornea to be spared", source: sourceGuedes, mark: MarkPublished},

	{techniques: of(cards.StopAndChop), when: grade(cards.AtLeast, "2"), speaks: cards.SpeaksFor, reason: "one groove gives room, and the halves are firm enough to be chopped", source: sourceWindow, mark: MarkMemory},
	{techniques: quickChop, when: yes("guttata"), speaks: cards.SpeaksFor, reason: "no groove, so less ultrasound under a cornea to be spared", source: sourceGuedes, mark: MarkPublished},

	{techniques: of(cards.Flip), when: grade(cards.AtMost, "1"), speaks: cards.SpeaksFor, reason: "a soft nucleus tilts and is aspirated with little power", source: sourceWindow, mark: MarkMemory},
	{techniques: of(cards.Flip), when: grade(cards.AtLeast, "3"), speaks: cards.SpeaksAgainst, reason: "a nucleus of grade 3 and above is firm and does not turn easily", source: sourceWindow, mark: MarkMemory},

	{techniques: inTheBag, when: yes("posterior-polar"), speaks: cards.SpeaksAgainst, reason: "the last piece has nothing between the tip and a posterior capsule that may be open already", source: practice, mark: MarkPractice},
}

// UltrasoundUse is how much ultrasound techniques are expected to use, compared with the others.
type UltrasoundUse struct {
	Techniques []cards.Technique
	Text       string
}

// UltrasoundOrder lists the techniques from the one that is expected to use
// most ultrasound to the ones that use least. Those of one row are not told apart.
var UltrasoundOrder = []UltrasoundUse{
	{of(cards.DivideAndConquer), "Expected to use the most ultrasound of the grooving and chopping techniques."},
	{of(cards.StopAndChop), "Expected to use no more ultrasound than divide and conquer and no less than chop without a groove."},
	{quickChop, "Expected to use the least ultrasound of the grooving and chopping techniques."},
}

// techniqueRemarks are said of a technique whatever the case.
var techniqueRemarks = map[cards.Technique][]string{
	cards.DivideAndConquer: {"Two grooves at right angles, four quadrants. The slowest way, and the usual first technique."},
	cards.StopAndChop:      {"One groove, then the halves are chopped."},
	cards.HorizontalChop:   {"No groove. The chopper passes under the capsule rim unseen; the rim on the far side can tear."},
	cards.VerticalChop:     {"No groove. The second instrument is sharp."},
}

const sculptAndSegment = "Grooving: about half the tip occluded, low vacuum, continuous ultrasound. Segments: tip fully occluded, high vacuum, higher maximum power, pulsed or continuous."

func remarksOn(t cards.Technique) []FitRemark {
	var out []FitRemark
	common := func(text string) { out = append(out, FitRemark{Text: text, Source: practice, Mark: MarkPractice}) }
	for _, text := range techniqueRemarks[t] {
		common(text)
	}
	if t == cards.DivideAndConquer || t == cards.StopAndChop {
		common(sculptAndSegment)
	}
	if has(inTheBag, t) {
		common("The last piece has nothing between the tip and the posterior capsule.")
	}
	for _, use := range UltrasoundOrder {
		if has(use.Techniques, t) {
			out = append(out, FitRemark{Text: use.Text, Source: sourceGuedes + "; " + sourcePark, Mark: MarkPublished})
		}
	}
	return out
}
