package edits

import (
	"strconv"
	"strings"

	"sideport/cards"
)

// The words for changes of people and the unit; those of cards, cases and
// rule books are in their own packages.

func personText(p cards.Person) string {
	roles := make([]string, len(p.Roles))
	for i, r := range p.Roles {
		roles[i] = string(r)
	}
	return p.Name + ": " + strings.Join(roles, ", ")
}

func unitText(u cards.EyeUnit) string { return u.Name }

func diffPeople(from, to cards.Person) []string {
	var out []string
	out = changed(out, "Person", personText(from), personText(to))
	return changed(out, "Invented", strconv.FormatBool(from.Invented), strconv.FormatBool(to.Invented))
}

func diffUnits(from, to cards.EyeUnit) []string {
	out := changed(nil, "Name", from.Name, to.Name)
	return changed(out, "Demonstration", strconv.FormatBool(from.Demo), strconv.FormatBool(to.Demo))
}

func changed(out []string, label, from, to string) []string {
	if from == to {
		return out
	}
	return append(out, label+" "+orNone(from)+" → "+orNone(to))
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}
