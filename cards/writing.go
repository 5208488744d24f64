package cards

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// The writing rules of numbers, units and eyes: the ways of writing that are
// misread in theatre (error-prone abbreviations, symbols and dose designations,
// medication-safety lists). What can be read as another amount, another drug
// strength or another eye is an error; what is only against good style is a
// caution.

const sourceWriting = "error-prone abbreviations, symbols and dose designations, medication-safety lists of 2005 and 2006"

// doseUnits are the units a number may be written with. The long forms stand first.
var doseUnits = []string{"micrograms", "microgram", "mmHg", "cmH2O", "mg", "kg", "mL", "ml", "mm", "cm", "ms", "kPa", "units", "unit", "g", "L", "D", "%"}

// tightUnits are those that are missed when no space stands before them. g, L
// and D are left out: 3D, 20G and 2L are also names.
var tightUnits = []string{"micrograms", "microgram", "mcg", "mmHg", "cmH2O", "mg", "kg", "mL", "ml", "mm", "cm", "ms", "kPa", "units", "%"}

// CheckWords finds ways of writing in a free text that are misread. label names
// the text in the sentences; aloud says that somebody reads it out.
//
// Errors, by code: "leading zero" (.5), "trailing zero" (1.0 mg), "decimal
// comma" (1,5 mL), "micrograms" (µg, ug), "units" (10 U, IU) and "eye" (OD, OS,
// OU). Cautions: "micrograms" (mcg), "trailing zero" without a unit, "eye" (RE,
// LE), "space" (5mL), "plural" (mLs), "ratio" (1:1000 without mg/mL, 1:3),
// "grouping" (100000), "fraction" (1/2), and in a text read aloud "symbol" (< >
// @ & + °).
// Source: medication-safety lists of error-prone notations.
func CheckWords(path, label, text string, aloud bool) Problems {
	w := &wording{path: path, label: label, text: text, perML: saysStrength(text)}
	for at := 0; at < len(text); {
		switch c := text[at]; {
		case isDigit(c):
			at = w.number(at)
		case w.barePoint(at):
			end := w.digitsEnd(at + 1)
			w.error("leading zero", text[at:end], "is read as "+text[at+1:end]+". Write 0"+text[at:end]+".")
			at = end
		case startsWithLetter(text[at:]):
			at = w.word(at)
		default:
			at++
		}
	}
	w.symbols(aloud)
	return w.found
}

// wording is a text being looked through.
type wording struct {
	checker
	path, label, text string
	perML             bool // the text gives a strength per mL somewhere
}

func (w *wording) error(code, bad, why string) {
	w.errorf(code, w.path, w.label+": "+quote(bad)+" "+why)
}

func (w *wording) style(code, bad, why string) {
	w.caution(code, w.path, w.label+": "+quote(bad)+" "+why, sourceWriting)
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func startsWithLetter(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return unicode.IsLetter(r)
}

// barePoint reports whether a decimal point with nothing before it stands at
// at. After a letter, a bracket or another point it is a full stop: "No.5".
func (w *wording) barePoint(at int) bool {
	if w.text[at] != '.' || at+1 == len(w.text) || !isDigit(w.text[at+1]) {
		return false
	}
	before, _ := utf8.DecodeLastRuneInString(w.text[:at])
	return at == 0 || !unicode.IsLetter(before) && before != '.' && before != ')'
}

// after reports whether s stands directly before at.
func (w *wording) after(at int, s string) bool { return strings.HasSuffix(w.text[:at], s) }

func (w *wording) digitsEnd(at int) int {
	for at < len(w.text) && isDigit(w.text[at]) {
		at++
	}
	return at
}

// number looks at a number with its points and commas and at what follows it. It gives where to go on.
func (w *wording) number(at int) int {
	end := w.digitsEnd(at)
	for end+1 < len(w.text) && (w.text[end] == '.' || w.text[end] == ',') && isDigit(w.text[end+1]) {
		end = w.digitsEnd(end + 1)
	}
	n, rest := w.text[at:end], w.text[end:]
	unit, spaced := unitAfter(rest)
	if strings.Count(n, ".") <= 1 { // with more points it is a version or a day
		w.point(n, unit)
		w.comma(n, unit)
	}
	if tight := prefixUnit(rest, tightUnits); tight != "" {
		w.style("space", n+tight, "has no space before the unit. Write "+n+" "+tight+".")
	}
	if word := firstWord(spaced); word == "U" && !strings.HasPrefix(spaced, "U-") {
		w.error("units", n+" U", "is read as another digit. Write units in full.")
	}
	w.ratio(at, n, rest)
	w.fraction(at, n, rest)
	if whole, _, _ := strings.Cut(n, "."); len(whole) >= 5 && !strings.Contains(whole, ",") && !w.after(at, "-") {
		w.style("grouping", n, "is a long row of digits. Group it in threes, or write thousand or million.")
	}
	if w.glued(at) && contains(doseUnits, unit) {
		w.style("space", wordBefore(w.text[:at])+n, "runs the name into the dose. Put a space between.")
	}
	return end
}

// unitAfter gives the unit that follows a number, and the text from there without the space.
func unitAfter(rest string) (unit, spaced string) {
	spaced = strings.TrimLeft(rest, " \u00a0\u202f")
	return prefixUnit(spaced, doseUnits), spaced
}

// prefixUnit gives the unit s begins with, when no letter follows it.
func prefixUnit(s string, units []string) string {
	for _, u := range units {
		if after, found := strings.CutPrefix(s, u); found && (after == "" || !startsWithLetter(after) && !isDigit(after[0])) {
			return u
		}
	}
	return ""
}

// firstWord is the letters s begins with.
func firstWord(s string) string {
	if end := strings.IndexFunc(s, func(r rune) bool { return !unicode.IsLetter(r) }); end >= 0 {
		return s[:end]
	}
	return s
}

func wordBefore(s string) string {
	if at := strings.LastIndexFunc(s, func(r rune) bool { return !unicode.IsLetter(r) }); at >= 0 {
		_, size := utf8.DecodeRuneInString(s[at:])
		return s[at+size:]
	}
	return s
}

// glued reports whether a word of at least three letters runs into the number at at.
func (w *wording) glued(at int) bool { return len(wordBefore(w.text[:at])) >= 3 }

func (w *wording) point(n, unit string) {
	whole, fraction, found := strings.Cut(n, ".")
	if !found || fraction[len(fraction)-1] != '0' {
		return
	}
	plain := strings.TrimRight(whole+"."+fraction, "0")
	plain = strings.TrimSuffix(plain, ".")
	if unit != "" {
		w.error("trailing zero", n+" "+unit, "is read as ten times as much. Write "+plain+" "+unit+".")
		return
	}
	w.style("trailing zero", n, "ends in a zero after the point. Write "+plain+" where it is an amount.")
}

// comma finds a comma used as decimal point before a unit; groups of three digits are not one.
func (w *wording) comma(n, unit string) {
	groups := strings.Split(strings.SplitN(n, ".", 2)[0], ",")
	if unit == "" || len(groups) == 1 {
		return
	}
	for i, g := range groups {
		if (i > 0 && len(g) != 3) || len(groups[0]) > 3 || groups[0] == "0" {
			w.error("decimal comma", n+" "+unit, "can be read two ways. Write a decimal point.")
			return
		}
	}
}

// ratio finds 1:n. Two digits after the colon are left alone: 1:30 is a time.
func (w *wording) ratio(at int, n, rest string) {
	if n != "1" || !strings.HasPrefix(rest, ":") || w.after(at, ":") || w.after(at, ".") {
		return
	}
	end := w.digitsEnd(at + 2)
	digits := w.text[at+2 : end]
	bad := w.text[at:end]
	switch {
	case digits == "" || len(digits) == 2 && !strings.HasPrefix(w.text[end:], ",") && !thousands(w.text[end:]):
	case len(digits) == 1 && !strings.HasPrefix(w.text[end:], ",") && !thousands(w.text[end:]):
		w.style("ratio", bad, "can mean 1 part and "+digits+" parts or 1 in "+digits+". Write the volumes and mg per mL.")
	case !w.perML:
		w.style("ratio", bad, "is a ratio alone. Write mg per mL beside it.")
	}
}

// thousands reports whether a space and three digits follow, as in 10 000.
func thousands(s string) bool {
	return len(s) >= 4 && s[0] == ' ' && isDigit(s[1]) && isDigit(s[2]) && isDigit(s[3])
}

// saysStrength reports whether the text gives a strength per mL anywhere.
func saysStrength(text string) bool {
	for _, unit := range []string{"mg/mL", "mg per mL", "microgram/mL", "micrograms/mL", "micrograms per mL", "microgram per mL", "units/mL", "units per mL"} {
		if strings.Contains(text, unit) {
			return true
		}
	}
	return false
}

func (w *wording) fraction(at int, n, rest string) {
	for _, f := range []struct{ over, under, words string }{{"1", "2", "half"}, {"1", "3", "a third"}, {"1", "4", "a quarter"}, {"3", "4", "three quarters"}} {
		if n == f.over && strings.HasPrefix(rest, "/"+f.under) && !w.after(at, "/") && (len(rest) == 2 || !isDigit(rest[2]) && rest[2] != '/' && rest[2] != '.') {
			w.style("fraction", n+"/"+f.under, "is easily misread. Write "+f.words+".")
		}
	}
}

// misreadWords are whole words that are misread, with what to write.
var misreadWords = []struct {
	word, code, mend string
	level            Level
}{
	{"OD", "eye", "is read as another eye or as daily. Write right eye.", LevelError},
	{"OS", "eye", "is read as another eye or as mouth. Write left eye.", LevelError},
	{"OU", "eye", "is read as another eye. Write both eyes.", LevelError},
	{"RE", "eye", "is an abbreviation. Write right eye.", LevelCaution},
	{"LE", "eye", "is an abbreviation. Write left eye.", LevelCaution},
	{"IU", "units", "is read as IV or as 10. Write units in full.", LevelError},
	{"ug", "micrograms", "is read as mg. Write micrograms.", LevelError},
	{"mcg", "micrograms", "is an abbreviation. Write micrograms in full.", LevelCaution},
	{"mLs", "plural", "has a plural s. Write mL.", LevelCaution},
	{"mls", "plural", "has a plural s. Write mL.", LevelCaution},
	{"mgs", "plural", "has a plural s. Write mg.", LevelCaution},
	{"mms", "plural", "has a plural s. Write mm.", LevelCaution},
	{"cms", "plural", "has a plural s. Write cm.", LevelCaution},
}

// word looks at a whole word; letters with stops between them (O.D.) count as one.
func (w *wording) word(at int) int {
	word := firstWord(w.text[at:])
	end := at + len(word)
	plain := word
	for len(word) == 1 && end+1 < len(w.text) && w.text[end] == '.' && len(firstWord(w.text[end+1:])) == 1 {
		if len(plain) < 3 { // three letters are none of the eyes
			plain += w.text[end+1 : end+2]
		}
		end += 2
	}
	w.micro(word)
	for _, m := range misreadWords {
		switch {
		case plain != m.word:
		case m.level == LevelError:
			w.error(m.code, w.text[at:end], m.mend)
		default:
			w.style(m.code, w.text[at:end], m.mend)
		}
	}
	return end
}

// micro finds both characters for micro in a word. Before g it is a dose.
func (w *wording) micro(word string) {
	for _, sign := range []string{"µ", "μ"} {
		if strings.Contains(word, sign+"g") {
			w.error("micrograms", sign+"g", "is read as mg. Write micrograms.")
		} else if strings.Contains(word, sign) {
			w.style("micro", word, "is read as m. Write micro in full, for example micrometres.")
		}
	}
}

// symbols finds signs used as words in a text that is read aloud.
func (w *wording) symbols(aloud bool) {
	if !aloud {
		return
	}
	for _, s := range []struct{ sign, words string }{{"<", "less than"}, {">", "more than"}, {"@", "at"}, {"&", "and"}, {"+", "plus"}, {"°", "degrees"}} {
		if strings.Contains(w.text, s.sign) {
			w.style("symbol", s.sign, "is misread aloud. Write "+s.words+".")
		}
	}
}
