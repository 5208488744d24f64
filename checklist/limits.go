package checklist

import (
	"strings"

	"sideport/cards"
)

// judged is a variant whose condition was asked, with the answer in words.
type judged struct {
	cards.Variant
	why Why
}

// variants asks every variant of the card. One that cannot be told is not
// applied; askVariants asks about it.
func (m *maker) variants() {
	for _, v := range m.in.Card.Variants {
		truth := cards.AllHold(v.When, m.answers)
		if truth == cards.False {
			continue
		}
		why := Why{From: FromVariant, ID: string(v.Key), Text: "variant: " + v.Title + " (" + because(decidingTests(v.When, m.answers), m.answers, "") + ")"}
		m.used = append(m.used, VariantUsed{Key: v.Key, Title: v.Title, Holds: truth == cards.True, Why: []Why{why}, Note: v.Note})
		if truth == cards.True {
			m.applied = append(m.applied, judged{v, why})
			continue
		}
		m.unsure = append(m.unsure, judged{v, why})
	}
}

// askVariants asks the surgeon at the team brief about the variants that
// cannot be told. A rule that asks for the same facts has asked already.
func (m *maker) askVariants() {
	for _, v := range m.unsure {
		deciding := decidingTests(v.When, m.answers)
		m.addLine(addedLine{pause: TeamBrief, missing: [][]cards.FactorID{missing(deciding, m.answers)}, PauseLine: PauseLine{
			ID: "card.variant." + string(v.Key), Text: "Does the variant " + quote(v.Title) + " apply?", Ask: RoleReader, Answer: RoleSurgeon,
			Expect: "yes or no; " + because(deciding, m.answers, ""), Added: true, Question: true, Why: []Why{v.why}}})
	}
}

// decidingTests returns the tests that made a list of tests, all of which must hold, what it is.
func decidingTests(tests []cards.Test, facts cards.Facts) []*cards.Test {
	truth := cards.AllHold(tests, facts)
	var out []*cards.Test
	for n := range tests {
		if tests[n].Holds(facts) == truth {
			out = append(out, &tests[n])
		}
	}
	return out
}

// limits sets out the phases with the card's own limits, or those of the one
// variant that replaces them. found are the problems of the card as it stands.
func (m *maker) limits(found cards.Problems) {
	phases := append([]cards.Phase(nil), m.in.Card.Phases...)
	m.phases = make([]PhaseLimits, len(phases))
	for n := range phases {
		m.phases[n] = m.phase(&phases[n])
	}
	cautions := found.Cautions()
	m.cardCautions(cautions)
	if len(m.applied) > 0 { // only the limits in use are judged
		cautions = cards.CheckPhases(m.in.Card.Machine, phases).Cautions()
	}
	for n := range m.phases {
		p := &m.phases[n]
		p.Cautions = append(p.Cautions, cautions.Under("phases/"+string(p.Phase))...)
		m.doubts(p)
	}
}

// phase chooses the limits of one phase and writes them into p. Two variants that want different limits cannot
// both be right, and nothing here may choose between them: the card's own limits stay and the surgeon is asked.
func (m *maker) phase(p *cards.Phase) PhaseLimits {
	out := PhaseLimits{Phase: p.Key, Name: p.Name, Kind: p.Kind, Note: p.Note, Why: []Why{m.cardWhy}}
	base := p.Limits
	for n, v := range m.replacing(p.Key) {
		l := v.Phases[0].Limits
		if n > 0 && l != p.Limits {
			p.Limits = base
			out.Values, out.Base, out.Variant, out.Cautions = shown(base), nil, "", nil
			out.Why = []Why{m.cardWhy}
			m.variantsDisagree(&out)
			return out
		}
		p.Limits = l
		if n == 0 {
			out.Base, out.Variant, out.Why = cards.ShowLimits(base), v.Key, nil
			out.Cautions = raised(m.in.Card.Machine, p.Kind, base, l)
		}
		out.Why = append(out.Why, v.why)
	}
	out.Values = shown(p.Limits)
	return out
}

// raised says where a variant goes beyond the card's own limits in a way that
// lowers the chamber: a vacuum above by more than a step is tried on a small
// piece first, more flow wants more irrigation (published lectures on fluidics).
func raised(m cards.Machine, kind cards.PhaseKind, base, l cards.Limits) []string {
	var out []string
	vacuum, _ := cards.ParameterByID("vacuum")
	held := kind == cards.Chop || kind == cards.SegmentRemoval // the tip is sealed, and then lets go
	if held && base.Vacuum.Stated() && l.Vacuum.Stated() && l.Vacuum.Millionths()-base.Vacuum.Millionths() > vacuum.Step.Millionths() {
		out = append(out, "Vacuum is above the card's own "+numberText(base.Vacuum.String(), vacuum.Unit)+": see on a small piece first whether the chamber holds.")
	}
	if kind != cards.AnteriorVitrectomy && cards.FlowRaised(m, base, l) {
		out = append(out, "Flow is above the card's own and irrigation is no higher: the pressure in the chamber falls.")
	}
	return out
}

// shown never is nil, so that a phase without limits has an empty list.
func shown(l cards.Limits) []Shown { return append([]Shown{}, cards.ShowLimits(l)...) }

// replacing returns the variants that hold and replace the phase, each with that one change.
func (m *maker) replacing(phase cards.Key) []judged {
	var out []judged
	for _, v := range m.applied {
		for _, change := range v.Phases {
			if change.Phase == phase {
				v.Phases = []cards.PhaseChange{change}
				out = append(out, v)
			}
		}
	}
	return out
}

func (m *maker) variantsDisagree(p *PhaseLimits) {
	var titles []string
	var whys []Why
	for _, v := range m.replacing(p.Phase) {
		titles = append(titles, quote(v.Title))
		whys = append(whys, v.why)
	}
	count := "Two variants both change "
	if len(titles) > 2 {
		count = "Several variants change "
	}
	text := count + p.Name + " (" + listAnd(titles) + "): the surgeon must say which."
	m.special(WeightStop, text, whys...)
	p.Cautions = append(p.Cautions, text+" Shown are the card's own limits.")
}

// doubts says at a phase that a variant nobody can tell yet might replace its limits.
func (m *maker) doubts(p *PhaseLimits) {
	for _, v := range m.unsure {
		for _, change := range v.Phases {
			if change.Phase == p.Phase {
				p.Cautions = append(p.Cautions, "The variant "+quote(v.Title)+" would change these limits; whether it applies is not known.")
			}
		}
	}
}

// cardCautions notes the cautions about the card that stand at no phase, so that none is lost.
func (m *maker) cardCautions(cautions cards.Problems) {
	for _, c := range cautions {
		if strings.HasPrefix(c.Path, "phases/") || strings.HasPrefix(c.Path, "variants/") || c.Code == "not ready" {
			continue // shown at the phase; of no variant in use; judged again on what the sheet has
		}
		if c.Code == cards.CodeIdentity {
			continue // for whoever writes the card, where it is written; nothing to mind beside the table
		}
		why := m.cardWhy
		why.Source = c.Source
		m.special(WeightCaution, c.Text, why)
	}
}
