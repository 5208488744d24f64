package checklist

import "sideport/cards"

// withholding says what must not be used because of an allergy, and what the unit has set in its place.
type withholding struct {
	items      []cards.Key
	allergens  []cards.Allergen
	substitute *cards.Item
	text       string
	why        Why
}

// ban says what must not be used in this case for another reason.
type ban struct {
	items []cards.Key
	steps []string
	text  string
	why   Why
}

// strike is one reason for not using a thing.
type strike struct {
	*withholding
	allergens []string // the ones that matched
}

// strike decides what is shown struck out. Nothing struck ever disappears,
// and nothing takes its place that the unit has not set.
func (m *maker) strike() {
	m.withholdKnownAllergens()
	m.withhold()
	for _, t := range m.things {
		m.decide(t)
	}
}

// withholdKnownAllergens is the safety net under the rule book: a thing that
// contains what the patient is allergic to is withheld whether or not a rule says so.
func (m *maker) withholdKnownAllergens() {
	f, _ := cards.FactorByID("allergies")
	values, _ := m.answers.Fact("allergies")
	for _, a := range inOrder(f.Options, values) {
		m.withheld = append(m.withheld, withholding{allergens: []cards.Allergen{cards.Allergen(a)},
			why: Why{From: FromFact, ID: "allergies", Text: "fact: allergy to " + a}})
	}
}

// withhold applies every withholding to every thing, and to the substitutes
// that this brings in, until nothing changes. It ends because a withholding
// strikes a thing once and there are finitely many substitutes.
func (m *maker) withhold() {
	for changed := true; changed; {
		changed = false
		for n := range m.withheld {
			w := &m.withheld[n]
			for _, t := range m.things { // what is added here is met in the next round
				if !t.struckBy(w) && w.matches(t) {
					t.strikes = append(t.strikes, strike{withholding: w, allergens: w.shared(t)})
					changed = true
				}
			}
		}
		for _, t := range m.things {
			changed = m.substitute(t) || changed
		}
	}
}

// substitute lays out what the unit has set in place of a struck thing.
func (m *maker) substitute(t *thing) bool {
	changed := false
	for _, s := range t.strikes {
		if s.substitute == nil || len(t.leftOut) > 0 {
			continue
		}
		why := s.why
		why.Text += ": instead of " + t.name
		if there := m.find(s.substitute.Key); there == nil || !there.brought(why) {
			m.add(*s.substitute, why)
			changed = true
		}
	}
	return changed
}

// brought reports whether the thing is already there for this reason; the reason may have grown by what it changed.
func (t *thing) brought(why Why) bool {
	for _, w := range t.why {
		if w.ID == why.ID && w.From == why.From && len(w.Text) >= len(why.Text) && w.Text[:len(why.Text)] == why.Text {
			return true
		}
	}
	return false
}

func (t *thing) struckBy(w *withholding) bool {
	for _, s := range t.strikes {
		if s.withholding == w {
			return true
		}
	}
	return false
}

func (w *withholding) matches(t *thing) bool {
	return has(w.items, t.key) || len(w.shared(t)) > 0
}

func (w *withholding) shared(t *thing) []string {
	var out []string
	for _, a := range w.allergens {
		if has(t.allergens, a) {
			out = append(out, string(a))
		}
	}
	return out
}

// decide says how a thing is struck. "Do not use" weighs more than an
// allergy, and both more than being left out by a variant, which takes the
// thing off the table before either could matter.
func (m *maker) decide(t *thing) {
	if len(t.leftOut) > 0 {
		t.struck, t.special = StruckLeftOut, true
		t.why = joinWhy(t.why, t.leftOut...)
		return
	}
	for _, s := range t.strikes {
		t.why = joinWhy(t.why, s.why)
	}
	if len(t.strikes) > 0 {
		t.special = true
		m.allergy(t)
	}
	if banned := m.bans(t); len(banned) > 0 {
		t.struck, t.special = StruckConflict, true
		m.conflict(t, banned)
	}
}

func (m *maker) bans(t *thing) []ban {
	var out []ban
	for _, b := range m.banned {
		if has(b.items, t.key) {
			out = append(out, b)
		}
	}
	return out
}

func (m *maker) conflict(t *thing, banned []ban) {
	for _, b := range banned {
		text := upperFirst(t.name) + ": do not use in this case. Somebody must answer for it or take it away."
		if b.text != "" {
			text = upperFirst(t.name) + ": " + b.text
		}
		t.why = joinWhy(t.why, b.why)
		m.special(WeightStop, text, b.why)
	}
}

// allergy strikes a thing for an allergy and says what stands in its place, or that nothing does.
func (m *maker) allergy(t *thing) {
	text, whys := "Withheld: "+t.name, []Why{}
	var allergens []string
	for _, s := range t.strikes {
		whys = append(whys, s.why)
		allergens = append(allergens, s.allergens...)
	}
	if len(allergens) > 0 {
		text += " (contains " + listAnd(sortedOnce(allergens)) + ")"
	}
	names := m.insteadOf(t, map[*thing]bool{})
	switch len(names) {
	case 0:
		t.struck = StruckWithheld
		m.special(WeightStop, text+". Nothing is set in its place: ask what to use.", whys...)
	case 1:
		t.struck, t.instead = StruckSubstituted, names[0]
		m.special(WeightCaution, text+". Set by the unit in its place: "+names[0]+".", whys...)
	default:
		t.struck, t.instead = StruckSubstituted, listOr(names)
		m.special(WeightStop, text+". The unit has set "+listAnd(names)+" in its place: somebody must say which.", whys...)
	}
	for _, s := range t.strikes {
		if s.text != "" {
			m.special(WeightCaution, upperFirst(t.name)+": "+s.text, s.why)
		}
	}
}

// insteadOf names the substitutes that may themselves be used; a substitute
// that is struck hands on to its own substitute.
func (m *maker) insteadOf(t *thing, seen map[*thing]bool) []string {
	if seen[t] {
		return nil
	}
	seen[t] = true
	var names []string
	for _, s := range t.strikes {
		if s.substitute == nil {
			continue
		}
		other := m.find(s.substitute.Key)
		next := []string{other.name}
		if len(other.strikes) > 0 || len(m.bans(other)) > 0 {
			next = m.insteadOf(other, seen)
		}
		for _, name := range next {
			if !has(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}
