package battery

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"sideport/server/edits"
)

// absent is the value of a unit that a body does not have.
const absent = ""

// unitsOf takes a body apart into what people decide as a whole: each element
// of a list, each field, each paragraph of the notes. Written from the words of
// the design ("all limits of one phase; one item; …"), not from the merge.
func (o *oracle) unitsOf(kind edits.Kind, body json.RawMessage) map[string]string {
	if body == nil {
		return map[string]string{}
	}
	memo := string(kind) + string(body)
	if units, ok := o.parts[memo]; ok {
		return units
	}
	units := map[string]string{}
	if kind == edits.Card || kind == edits.Case {
		takeApart(units, body)
	} else {
		units[edits.WholeDocument] = compact(body)
	}
	o.parts[memo] = units
	return units
}

func takeApart(units map[string]string, body json.RawMessage) {
	var fields map[string]json.RawMessage
	if json.Unmarshal(body, &fields) != nil {
		return
	}
	for name, raw := range fields {
		var list []json.RawMessage
		var sub map[string]json.RawMessage
		switch {
		case name == "notes":
			paragraphUnits(units, raw)
		case json.Unmarshal(raw, &list) == nil:
			for _, element := range list {
				var named struct{ Key string }
				if json.Unmarshal(element, &named) == nil {
					units[name+"/"+named.Key] = compact(element)
				}
			}
		case json.Unmarshal(raw, &sub) == nil:
			for field, value := range sub {
				units[name+"/"+field] = compact(value)
			}
		default:
			units[name] = compact(raw)
		}
	}
}

// paragraphUnits makes each paragraph a unit that is there or not. Its place is no unit of its own.
func paragraphUnits(units map[string]string, raw json.RawMessage) {
	var notes string
	if json.Unmarshal(raw, &notes) != nil || notes == "" {
		return
	}
	for _, p := range strings.Split(notes, "\n\n") {
		units["notes/"+p] += "there "
	}
}

// keysOf lists the units of all bodies in one order.
func keysOf(bodies ...map[string]string) []string {
	all := map[string]bool{}
	for _, b := range bodies {
		for unit := range b {
			all[unit] = true
		}
	}
	return slices.Sorted(maps.Keys(all))
}
