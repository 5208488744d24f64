package checklist

import (
	"slices"
	"strings"
)

// lowerFirst lets a label stand inside a sentence. Abbreviations such as INR stay as they are.
func lowerFirst(s string) string {
	if s == "" || (len(s) > 1 && s[1] >= 'A' && s[1] <= 'Z') {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func quote(s string) string { return "“" + s + "”" }

func has[T comparable](list []T, v T) bool { return slices.Contains(list, v) }

// sortedOnce sorts a list and keeps each value once.
func sortedOnce[T ~string](list []T) []T {
	slices.Sort(list)
	return slices.Compact(list)
}

// listOr joins names as a person would: "a, b or c".
func listOr(names []string) string { return listWith(names, " or ") }

// listAnd joins names as a person would: "a, b and c".
func listAnd(names []string) string { return listWith(names, " and ") }

func listWith(names []string, last string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + last + names[len(names)-1]
}
