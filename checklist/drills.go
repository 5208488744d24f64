package checklist

import "sideport/cards"

// drills sets out the triggers, the raised ones first: the card's own, then
// the unit's where the card has none of the same key. What each opens is
// looked up on the sheet.
func (m *maker) drills() {
	m.triggers = make([]TriggerSheet, 0, len(m.in.Card.Triggers)+len(m.in.Rules.Drills))
	for _, raised := range []bool{true, false} {
		for n := range m.in.Card.Triggers {
			if t := &m.in.Card.Triggers[n]; (len(m.raised[t.Key]) > 0) == raised {
				m.triggers = append(m.triggers, m.drill(t, raised, m.cardWhy))
			}
		}
		for n := range m.in.Rules.Drills {
			if t := &m.in.Rules.Drills[n]; (len(m.raised[t.Key]) > 0) == raised && !hasTrigger(m.in.Card.Triggers, t.Key) {
				m.triggers = append(m.triggers, m.drill(t, raised, unitDrillWhy(t)))
			}
		}
	}
	m.raisedInVain()
}

func unitDrillWhy(t *cards.Trigger) Why {
	return Why{From: FromDrills, ID: string(t.Key), Text: "unit drill " + quote(t.Title) + ": the card has none of its own", Source: t.Source}
}

func (m *maker) drill(t *cards.Trigger, raised bool, why Why) TriggerSheet {
	out := TriggerSheet{Trigger: *t, Raised: raised, Why: joinWhy([]Why{why}, m.raised[t.Key]...)}
	for _, key := range t.Open {
		out.Opens = append(out.Opens, m.opens(&out, key))
	}
	return out
}

// opens looks up what a drill opens. A surgeon's own drill that opens what is
// not there contradicts the card. A drill of the unit is spoken of only where
// a fact of the case raised it; otherwise the drill itself says what is not on the sheet.
func (m *maker) opens(d *TriggerSheet, key cards.Key) Opens {
	thing, why := m.find(key), d.Why[0]
	says := func(name string) string { return "The drill " + quote(d.Trigger.Title) + " opens " + name }
	switch {
	case thing == nil:
		if why.From == FromCard || d.Raised {
			m.special(WeightCaution, says(key.Words())+", which is not on this sheet. Have it ready or agree on another way.", why)
		}
		return Opens{Key: key, Name: key.Words()}
	case thing.struck != "":
		m.special(WeightCaution, says(thing.name)+", which is struck out on this sheet ("+string(thing.struck)+"). Agree on another way.", why)
		return Opens{Key: key, Name: thing.name}
	}
	return Opens{Key: key, Name: thing.name, State: thing.state}
}

// raisedInVain says which drills the rules asked for and neither the card nor the unit has.
func (m *maker) raisedInVain() {
	for n := range m.in.Rules.Rules {
		for _, a := range m.in.Rules.Rules[n].Do {
			if a.Kind == RaiseDrill && len(m.raised[a.Trigger]) > 0 && !hasTrigger(m.in.Card.Triggers, a.Trigger) && !hasTrigger(m.in.Rules.Drills, a.Trigger) {
				m.special(WeightCaution, "A house rule raises the drill "+quote(a.Trigger.Words())+", which neither the card nor the unit has. Agree on it at the team brief.", m.raised[a.Trigger]...)
			}
		}
	}
}

func hasTrigger(list []cards.Trigger, key cards.Key) bool {
	for n := range list {
		if list[n].Key == key {
			return true
		}
	}
	return false
}
