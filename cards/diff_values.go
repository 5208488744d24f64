package cards

import (
	"encoding/json"
	"slices"
	"strings"
)

// element says value by value what changed of an element that stays:
// "Moxifloxacin dose 0.5 mg → 0.25 mg". It reads the stored form, so that no
// value, of today or added one day, changes in silence; what cannot be said
// value by value is said whole.
func (d *differ) element(kind string, from, to element) {
	before := len(d.out)
	place := kind + " “" + from.name + "”"
	if kind == "Item" || kind == "Drug" || kind == "Phase" {
		place = from.name
	}
	was, now := storedFields(from.value), storedFields(to.value)
	var fields []string
	for f := range was {
		fields = append(fields, f)
	}
	for f := range now {
		if _, had := was[f]; !had {
			fields = append(fields, f)
		}
	}
	slices.Sort(fields)
	for _, f := range fields {
		old, new := storedText(f, was[f]), storedText(f, now[f])
		d.changed(place+" "+strings.ReplaceAll(f, "_", " "), old, new, old == new)
	}
	if v, ok := from.value.(Variant); ok {
		next := to.value.(Variant)
		d.phases(broughtPhases(from.name, v.Phases), broughtPhases(from.name, next.Phases))
		diffList(d, from.name+": item", v.Items, next.Items, itemKey, itemName)
	}
	if len(d.out) == before {
		d.out = append(d.out, place+": "+describe(from.value)+" → "+describe(to.value))
	}
}

// storedFields are the fields of an element as it is stored, without what a variant brings: that is compared by itself.
func storedFields(v any) map[string]json.RawMessage {
	var fields map[string]json.RawMessage
	_ = json.Unmarshal(raw(v), &fields) // what is no object has no fields, and is said whole
	if _, ok := v.(Variant); ok {
		delete(fields, "phases")
		delete(fields, "items")
	}
	return fields
}

// broughtPhases are the limits of a variant as phases named after it.
func broughtPhases(variant string, changes []PhaseChange) []Phase {
	out := make([]Phase, len(changes))
	for n, c := range changes {
		out[n] = Phase{Key: c.Phase, Name: variant + ", " + c.Phase.Words(), Limits: c.Limits}
	}
	return out
}

// storedText says one stored value as people write it.
func storedText(field string, v json.RawMessage) string {
	var text string
	var list []string
	var measure Measure
	var tests []Test
	switch {
	case len(v) == 0 && field == "counted":
		return No
	case len(v) == 0:
		return ""
	case string(v) == "true":
		return Yes
	case json.Unmarshal(v, &text) == nil && field == "volume":
		return text + " mL"
	case text != "":
		return text
	case json.Unmarshal(v, &list) == nil:
	case json.Unmarshal(v, &measure) == nil:
		return measure.String()
	case json.Unmarshal(v, &tests) == nil:
		for _, t := range tests {
			list = append(list, t.String())
		}
	default:
		return string(v)
	}
	return strings.Join(list, "; ")
}
