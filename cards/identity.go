package cards

import "strings"

// Identity warns of free text that looks like a number or a birthday of a
// patient: nothing in this program may say who the patient is. It is a
// caution, because a day or a lot number may be meant. label names the text.
func Identity(path, label, text string) Problems {
	found := ""
	switch {
	case !strings.ContainsAny(text, "0123456789"):
		return nil
	case looksLikeDate(text):
		found = "a date"
	case longestDigits(text) >= longDigits:
		found = "a long number"
	default:
		return nil
	}
	return Problems{{Level: LevelCaution, Code: CodeIdentity, Path: path,
		Text: label + " holds what looks like " + found + ". Nothing here may say who the patient is: take it away if it does."}}
}

// CodeIdentity is the code of the problems that Identity finds.
const CodeIdentity = "identity"

// longDigits is the length from which digits in a row look like a patient's
// number. No dose, power or measurement of the vocabulary is that long.
const longDigits = 6

// longestDigits counts the longest run of digits. Single spaces and hyphens
// between digits do not end a run: numbers of patients are written in groups.
func longestDigits(s string) int {
	longest, run := 0, 0
	for n := 0; n < len(s); n++ {
		switch c := s[n]; {
		case c >= '0' && c <= '9':
			run++
			longest = max(longest, run)
		case (c == ' ' || c == '-') && n > 0 && isDigit(s[n-1]):
		default:
			run = 0
		}
	}
	return longest
}

// looksLikeDate finds three numbers joined by one kind of mark (1.2.1950, 1950-02-01, 01/02/50),
// or a day and a year around the name of a month (1 Feb 1950).
func looksLikeDate(s string) bool {
	for _, mark := range []string{".", "/", "-"} {
		for _, word := range strings.FieldsFunc(s, func(r rune) bool { return !(r >= '0' && r <= '9') && string(r) != mark }) {
			if dateNumbers(strings.Split(strings.Trim(word, mark), mark)) {
				return true
			}
		}
	}
	return namedMonth(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ' ' || r == ',' || r == '.' || r == '-' }))
}

func dateNumbers(parts []string) bool {
	if len(parts) != 3 {
		return false
	}
	for _, p := range parts {
		if len(p) == 0 || len(p) == 3 || len(p) > 4 {
			return false
		}
	}
	return true
}

const months = "jan feb mar apr may jun jul aug sep oct nov dec"

// namedMonth finds "1 Feb 50" and "Feb 1950".
func namedMonth(words []string) bool {
	for n, w := range words {
		if len(w) < 3 || !strings.Contains(months, w[:3]) || n+1 == len(words) || !isDigit(words[n+1][0]) {
			continue
		}
		if len(words[n+1]) == 4 || (n > 0 && isDigit(words[n-1][0])) {
			return true
		}
	}
	return false
}
