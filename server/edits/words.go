package edits

import (
	"bytes"
	"strconv"
	"strings"

	"sideport/cards"
	"sideport/checklist"
)

// The words for changes of rule books, people and the unit; those of cards
// and cases are in their own packages.

func rulesText(b checklist.RuleBook) string {
	return b.Title + ", " + count(len(b.Rules), "rule") + ", " + count(len(b.Pauses), "pause")
}

func personText(p cards.Person) string {
	roles := make([]string, len(p.Roles))
	for i, r := range p.Roles {
		roles[i] = string(r)
	}
	return p.Name + ": " + strings.Join(roles, ", ")
}

func unitText(u cards.EyeUnit) string { return u.Name }

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

func diffRules(from, to checklist.RuleBook) []string {
	var out []string
	out = changed(out, "Title", from.Title, to.Title)
	out = changed(out, "Owner", from.Owner, to.Owner)
	out = changed(out, "Review date", string(from.Review), string(to.Review))
	out = diffParts(out, "Pause", from.Pauses, to.Pauses, func(p checklist.PauseScript) string { return string(p.ID) })
	return diffParts(out, "Rule", from.Rules, to.Rules, func(r checklist.Rule) string { return r.ID })
}

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

// diffParts says which named parts of a list were added, changed or removed.
func diffParts[T any](out []string, what string, from, to []T, name func(T) string) []string {
	old := map[string][]byte{}
	for _, part := range from {
		old[name(part)] = mustCanonical(part)
	}
	kept := map[string]bool{}
	for _, part := range to {
		n := name(part)
		kept[n] = true
		switch before, ok := old[n]; {
		case !ok:
			out = append(out, what+" "+n+" added")
		case !bytes.Equal(before, mustCanonical(part)):
			out = append(out, what+" "+n+" changed")
		}
	}
	for _, part := range from {
		if !kept[name(part)] {
			out = append(out, what+" "+name(part)+" removed")
		}
	}
	return out
}
