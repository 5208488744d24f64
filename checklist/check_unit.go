package checklist

import (
	"slices"
	"strconv"

	"sideport/cards"
)

// What the unit says of itself in its rule book: settings, parts and drills.

func (k *bookChecker) settings(b RuleBook) {
	seen := map[string]bool{}
	for n, s := range b.Settings {
		k.in("settings", n, string(s.ID), func() {
			k.id(string(s.ID), seen)
			k.need("label", s.Label)
			k.optional("unit", s.Unit)
			k.need("source", s.Source)
			k.oneOf("mark", string(s.Mark), marks())
			k.settingValue(s)
			if !b.uses(s.ID) {
				k.caution("not used", "id", "is used by no rule and shown at no line. Use it or remove it.")
			}
		})
	}
}

func marks() []string {
	return []string{string(MarkPublished), string(MarkMemory), string(MarkPractice)}
}

func (k *bookChecker) settingValue(s Setting) {
	if !s.Value.Stated() || !s.Min.Stated() || !s.Max.Stated() {
		k.errorf("empty", "value", "lacks its value or the published range. Write value, min and max.")
		return
	}
	switch {
	case s.Min.Cmp(s.Max) > 0:
		k.errorf("bounds", "min", "has the range %s to %s. Write the lower figure as min.", s.Min, numberText(s.Max.String(), s.Unit))
	case s.Value.Cmp(s.Min) < 0 || s.Value.Cmp(s.Max) > 0:
		k.caution("outside", "value", "is set to %s, outside what it is chosen from: %s. Keep it only on purpose.", numberText(s.Value.String(), s.Unit), s.ranged())
	}
}

// uses reports whether a rule compares with the setting or a line shows it.
func (b RuleBook) uses(id cards.Key) bool {
	for _, p := range b.Pauses {
		if slices.ContainsFunc(p.Lines, func(l ScriptLine) bool { return l.Value == string(id) }) {
			return true
		}
	}
	return slices.ContainsFunc(b.Rules, func(r Rule) bool {
		return has(r.When.settings(), id) ||
			slices.ContainsFunc(r.Do, func(a Action) bool { return a.Line != nil && a.Line.Value == string(id) })
	})
}

// compare checks a test against a setting of the unit. The setting must be
// usable as an answer to the factor: a number, in its unit, within its bounds.
func (k *bookChecker) compare(t cards.Test) {
	s, known := k.book.Setting(t.Setting)
	f, ok := cards.FactorByID(t.Factor)
	switch {
	case !ok:
		k.test(cards.Test{Factor: t.Factor, Op: t.Op, Value: t.Value})
	case t.Value != "":
		k.errorf("contradiction", "test", "compares %s with the value %s and with the setting %s. Keep one.", quote(f.Label), quote(t.Value), quote(string(t.Setting)))
	case !known:
		k.errorf("no such setting", "test", "compares with the setting %s, which the book does not have. Add it to the settings, or write a value.", quote(string(t.Setting)))
	case f.Kind != cards.FactorNumber:
		k.errorf("comparison", "test", "compares %s with a setting; only a number can be. Write a value.", quote(f.Label))
	case s.Unit != f.Unit:
		k.errorf("unit", "test", "compares %s in %s with the setting %s in %s. Use one unit.", quote(f.Label), orDigits(f.Unit), quote(s.Label), orDigits(s.Unit))
	case s.Value.Stated():
		k.test(cards.Test{Factor: t.Factor, Op: t.Op, Value: s.Value.String()})
	}
}

func orDigits(unit string) string {
	if unit == "" {
		return "plain digits"
	}
	return unit
}

func (k *bookChecker) turnedOn(p Parts) {
	k.in("parts", -1, "", func() {
		k.in("risk", -1, "", func() { k.risk(p.Risk) })
		seen := map[cards.Key]bool{}
		for n, r := range p.Recipes {
			k.in("recipes", n, string(r.Recipe), func() { k.recipe(r, seen) })
		}
	})
}

func (k *bookChecker) risk(s Switch) {
	if !s.On {
		if s != (Switch{}) {
			k.errorf("contradiction", "on", "is off, and says who turned it on. Turn it on, or take the rest away.")
		}
		return
	}
	if !cards.ValidKey(string(s.By)) {
		k.errorf("empty", "by", "is on and does not say who turned it on. Choose the unit lead who did.")
	}
	k.dated("date", s.Date)
	if !s.PurposeRead {
		k.errorf("empty", "purpose_read", "is on without its purpose having been read. The unit lead reads the purpose and confirms it.")
	}
}

func (k *bookChecker) recipe(r ConfirmedRecipe, seen map[cards.Key]bool) {
	if !slices.ContainsFunc(cards.StarterRecipes(), func(x cards.Recipe) bool { return x.ID == r.Recipe }) {
		k.errorf("no such recipe", "recipe", "is confirmed, but there is no recipe %s. Choose one of the list.", quote(string(r.Recipe)))
	}
	if seen[r.Recipe] {
		k.errorf("twice", "recipe", "is confirmed twice. Keep one.")
	}
	seen[r.Recipe] = true
	k.need("by", r.By)
	k.dated("date", r.Date)
}

func (k *bookChecker) dated(field string, d cards.Date) {
	if d == "" || !d.Valid() {
		k.errorf("date", field, "has the day %s, which is not a day. Write it like 2027-03-31.", quote(string(d)))
	}
}

// drills checks the unit's own drills as a card's are checked. A drill of the
// unit serves every surgeon, so it names no surgeon's card.
func (k *bookChecker) drills(list []cards.Trigger) {
	seen := map[string]bool{}
	for n, t := range list {
		k.in("drills", n, string(t.Key), func() {
			k.id(string(t.Key), seen)
			k.need("source", t.Source)
			k.foreign(cards.CheckDrill(k.path(true), k.label(), t))
			if t.NextCard != "" {
				k.errorf("contradiction", "next_card", "names the card %s. A drill of the unit serves every surgeon: say in words what comes next.", quote(string(t.NextCard)))
			}
		})
	}
}

// foreign takes over what package cards found, with the line of the part that is checked.
func (k *bookChecker) foreign(found cards.Problems) {
	for _, p := range found {
		if k.lines != nil {
			p.Line = k.lines.at(k.path(false))
			p.Text = "Line " + strconv.Itoa(p.Line) + ": " + p.Text
		}
		k.found = append(k.found, p)
	}
}
