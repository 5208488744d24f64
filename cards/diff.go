package cards

import "slices"

// Diff says in words what changed from one revision to another, in the order
// of the card. Limits are said value by value, because that is what somebody
// standing at the machine asks, and so is everything else of what stays;
// what is added is said whole, what is removed by its name.
func Diff(from, to Card) []string {
	d := &differ{}
	for _, f := range headerFields {
		d.changed(f.label, f.words(from), f.words(to), same(f.get(from), f.get(to)))
	}
	diffList(d, "Item", from.Items, to.Items, itemKey, itemName)
	diffList(d, "Drug", from.Drugs, to.Drugs, drugKey, drugName)
	d.phases(from.Phases, to.Phases)
	diffList(d, "Step", from.Steps, to.Steps, stepKey, stepName)
	diffList(d, "Trigger", from.Triggers, to.Triggers, triggerKey, triggerName)
	diffList(d, "Variant", from.Variants, to.Variants, variantKey, variantName)
	diffList(d, "Fit", from.Fit, to.Fit, fitKey, fitName)
	if from.Notes != to.Notes {
		d.out = append(d.out, "Notes changed")
	}
	diffList(d, "Section", from.Extra, to.Extra, sectionKey, sectionName)
	return d.out
}

// The key and the name of each kind of element, shared by Diff and Merge.
func itemKey(i Item) string        { return string(i.Key) }
func itemName(i Item) string       { return i.Name }
func drugKey(d Drug) string        { return string(d.Key) }
func drugName(d Drug) string       { return d.Name }
func phaseKey(p Phase) string      { return string(p.Key) }
func phaseLabel(p Phase) string    { return p.Name }
func stepKey(s Step) string        { return string(s.Key) }
func stepName(s Step) string       { return s.Title }
func triggerKey(t Trigger) string  { return string(t.Key) }
func triggerName(t Trigger) string { return t.Title }
func variantKey(v Variant) string  { return string(v.Key) }
func variantName(v Variant) string { return v.Title }
func sectionKey(s Section) string  { return s.Title }
func sectionName(s Section) string { return s.Title }
func fitName(f Fit) string         { return f.When.String() }
func fitKey(f Fit) string          { return string(f.Speaks) + " " + testKey(f.When) }
func testKey(t Test) string        { return string(t.Factor) + " " + string(t.Op) + " " + t.Value }

type differ struct{ out []string }

func (d *differ) changed(label, from, to string, equal bool) {
	switch {
	case equal:
	case from == "":
		d.out = append(d.out, label+" added: "+to)
	case to == "":
		d.out = append(d.out, label+" removed (was "+from+")")
	default:
		d.out = append(d.out, label+" "+from+" → "+to)
	}
}

func diffList[T any](d *differ, kind string, from, to []T, key, name func(T) string) {
	d.list(kind, elements(from, key, name), elements(to, key, name))
}

func (d *differ) list(kind string, from, to []element) {
	old, now := byKey(from), byKey(to)
	for _, e := range from {
		if now[e.key] == nil {
			d.out = append(d.out, kind+" “"+e.name+"” removed")
		}
	}
	for _, e := range to {
		was := old[e.key]
		switch {
		case was == nil:
			d.out = append(d.out, kind+" “"+e.name+"” added: "+describe(e.value))
		case !same(was.value, e.value):
			d.element(kind, *was, e)
		}
	}
	if !slices.Equal(kept(from, now), kept(to, old)) {
		d.out = append(d.out, kind+"s in another order")
	}
}

func (d *differ) phases(from, to []Phase) {
	var rest []Phase // from, with the limits of to, so that only other changes are left
	now := Card{Phases: to}
	for _, p := range from {
		next, ok := now.Phase(p.Key)
		if !ok {
			rest = append(rest, p)
			continue
		}
		said := len(d.out)
		d.limits(p.Name, p.Limits, next.Limits)
		if !same(p.Limits, next.Limits) && said == len(d.out) {
			d.out = append(d.out, p.Name+": how a limit is applied changed")
		}
		p.Limits = next.Limits
		rest = append(rest, p)
	}
	diffList(d, "Phase", rest, to, phaseKey, phaseLabel)
}

// limits says each value that changed: "Chop vacuum 350 → 400 mmHg".
func (d *differ) limits(phase string, from, to Limits) {
	old, now := ShowLimits(from), ShowLimits(to)
	for _, s := range old {
		if _, still := shown(now, s.ID); !still {
			d.out = append(d.out, phase+" "+lowerFirst(s.Label)+" removed (was "+valueText(s)+")")
		}
	}
	for _, s := range now {
		before, existed := shown(old, s.ID)
		switch {
		case !existed:
			d.out = append(d.out, phase+" "+lowerFirst(s.Label)+" added: "+valueText(s))
		case before != s && before.Extra == s.Extra:
			d.out = append(d.out, phase+" "+lowerFirst(s.Label)+" "+before.Value+" → "+valueText(Shown{Value: s.Value, Unit: s.Unit}))
		case before != s:
			d.out = append(d.out, phase+" "+lowerFirst(s.Label)+" "+valueText(before)+" → "+valueText(s))
		}
	}
}

func shown(list []Shown, id string) (Shown, bool) {
	for _, s := range list {
		if s.ID == id {
			return s, true
		}
	}
	return Shown{}, false
}

func valueText(s Shown) string {
	t := s.Value
	if s.Unit != "" {
		t += " " + s.Unit
	}
	if s.Extra != "" {
		t += ", " + s.Extra
	}
	return t
}
