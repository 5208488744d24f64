package checklist

import "sideport/cards"

// drills sets out the card's triggers, the raised ones first, and resolves
// what each opens against what the sheet really has.
func (m *maker) drills() {
	m.triggers = []TriggerSheet{}
	for _, raised := range []bool{true, false} {
		for _, t := range m.in.Card.Triggers {
			if (len(m.raised[t.Key]) > 0) == raised {
				m.triggers = append(m.triggers, m.drill(t, raised))
			}
		}
	}
	m.raisedInVain()
}

func (m *maker) drill(t cards.Trigger, raised bool) TriggerSheet {
	out := TriggerSheet{Trigger: t, Raised: raised, Why: joinWhy([]Why{m.cardWhy}, m.raised[t.Key]...)}
	for _, key := range t.Open {
		out.Opens = append(out.Opens, m.opens(t, key))
	}
	return out
}

func (m *maker) opens(t cards.Trigger, key cards.Key) Opens {
	thing := m.find(key)
	if thing == nil {
		m.special(WeightCaution, "The drill "+quote(t.Title)+" opens "+key.Words()+", which is not on this sheet. Have it ready or agree on another way.", m.cardWhy)
		return Opens{Key: key, Name: key.Words()}
	}
	if thing.struck != "" {
		m.special(WeightCaution, "The drill "+quote(t.Title)+" opens "+thing.name+", which is struck out on this sheet ("+string(thing.struck)+"). Agree on another way.", m.cardWhy)
		return Opens{Key: key, Name: thing.name}
	}
	return Opens{Key: key, Name: thing.name, State: thing.state}
}

// raisedInVain says which drills the rules asked for and the card does not have.
func (m *maker) raisedInVain() {
	for _, r := range m.in.Rules.Rules {
		for _, a := range r.Do {
			if a.Kind == RaiseDrill && len(m.raised[a.Trigger]) > 0 && !m.hasTrigger(a.Trigger) {
				m.special(WeightCaution, "A house rule raises the drill "+quote(a.Trigger.Words())+", which the card does not have. Agree on it at the team brief.", m.raised[a.Trigger]...)
			}
		}
	}
}

func (m *maker) hasTrigger(key cards.Key) bool {
	for _, t := range m.in.Card.Triggers {
		if t.Key == key {
			return true
		}
	}
	return false
}
