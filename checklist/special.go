package checklist

import "sideport/cards"

// special notes a caution or a stop. The same sentence stands once, with the
// heavier weight and every reason.
func (m *maker) special(weight Weight, text string, why ...Why) {
	for n := range m.specials {
		s := &m.specials[n]
		if s.Text != text {
			continue
		}
		if weight == WeightStop {
			s.Weight = WeightStop
		}
		s.Why = joinWhy(s.Why, why...)
		return
	}
	m.specials = append(m.specials, Special{Weight: weight, Text: text, Why: joinWhy(nil, why...)})
}

// joinWhy adds reasons that are not there yet.
func joinWhy(list []Why, more ...Why) []Why {
	for _, w := range more {
		if !has(list, w) {
			list = append(list, w)
		}
	}
	return list
}

// weighed puts the stops before the cautions and keeps the order otherwise.
func (m *maker) weighed() []Special {
	var out []Special
	for _, weight := range []Weight{WeightStop, WeightCaution} {
		for _, s := range m.specials {
			if s.Weight == weight {
				out = append(out, s)
			}
		}
	}
	return out
}

// remarks notes what is unusual about the case itself, and the allergies written in words.
func (m *maker) remarks(cautions cards.Problems) {
	if words := m.answers.answer("allergy-other"); words != "" {
		m.special(WeightStop, "Read the labels against: "+words+".", Why{From: FromFact, ID: "allergy-other", Text: "fact: other allergy, in words"})
	}
	for _, p := range cautions {
		m.special(WeightCaution, p.Text, Why{From: FromFact, ID: p.Path, Text: "facts of the case", Source: p.Source})
	}
}

// fit says what speaks for and against the card. What speaks against it is a
// caution; what would speak if it were known is shown as not known.
func (m *maker) fit() {
	for _, f := range m.in.Card.Fit {
		truth := f.When.Holds(m.answers)
		if truth == cards.False {
			continue
		}
		line := FitLine{Speaks: f.Speaks, Text: testText(f.When, m.answers), Reason: f.Reason, Known: truth == cards.True}
		m.fits = append(m.fits, line)
		if line.Known && f.Speaks == cards.SpeaksAgainst {
			m.special(WeightCaution, "Speaks against this card: "+line.Text+". "+upperFirst(f.Reason), m.cardWhy)
		}
	}
}

// otherAnaesthesia says that the case is planned with another anaesthetic than
// the card was written for: the drugs and needles on its table belong to that one.
func (m *maker) otherAnaesthesia() {
	planned, usual := m.answers.answer("anaesthesia"), string(m.in.Card.Basics.Anaesthesia)
	if planned == "" || planned == cards.NotKnown || usual == "" || planned == usual {
		return
	}
	m.special(WeightCaution, "The card is written for "+usual+" anaesthesia, this case is planned with "+planned+". Ask surgeon and anaesthesia which drugs and needles are laid out.",
		Why{From: FromFact, ID: "anaesthesia", Text: "fact: anaesthesia: " + planned + "; card: usually " + usual, Mark: MarkPractice, Source: "common practice, no source"})
}
