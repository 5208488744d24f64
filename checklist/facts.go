package checklist

import (
	"strings"

	"sideport/cards"
)

// Answers are the facts of a case as conditions see them: what was answered,
// and the one grade reckoned from it. What nobody answered, and what was
// answered "not known", is not in it, so it can never be taken for "no".
type Answers struct {
	values map[cards.FactorID][]string
	// gradeFrom says what the nucleus grade was reckoned from.
	gradeFrom string
	// settings of the unit, to say beside a comparison which one it was made with.
	settings []Setting
}

// setting returns the unit's setting with the id.
func (a Answers) setting(id cards.Key) (Setting, bool) {
	book := RuleBook{Settings: a.settings}
	return book.Setting(id)
}

// Fact returns what was answered; see cards.Facts.
func (a Answers) Fact(id cards.FactorID) (values []string, known bool) {
	values, known = a.values[id]
	return values, known
}

// answer returns the single answer to a factor, "" when there is none.
func (a Answers) answer(id cards.FactorID) string {
	if values := a.values[id]; len(values) == 1 {
		return values[0]
	}
	return ""
}

// Derive makes the answers of a case and reckons the nucleus grade. The
// caution says when the scales that were entered disagree by more than a grade.
func Derive(c Case) (Answers, cards.Problems) {
	a := Answers{values: make(map[cards.FactorID][]string, len(c.Facts)+1)}
	for id, v := range c.Facts {
		if known, ok := knownValues(v); ok {
			a.values[id] = known
		}
	}
	grades := nucleusGrades(a)
	if len(grades) == 0 {
		return a, nil
	}
	low, high := grades[0], grades[0]
	for _, g := range grades[1:] {
		if g.grade < low.grade {
			low = g
		}
		if g.grade > high.grade {
			high = g
		}
	}
	a.values[cards.NucleusGrade] = []string{string('0' + rune(high.grade))}
	a.gradeFrom = high.from
	if high.grade-low.grade <= 1 {
		return a, nil
	}
	return a, cards.Problems{{
		Level: cards.LevelCaution, Code: "nucleus scales", Path: "facts/" + string(cards.NucleusGrade),
		Text:   "Nucleus: " + low.text() + " and " + high.text() + " differ by more than a grade. The higher one counts here. Look again and correct the one that is wrong.",
		Source: gradeSource,
	}}
}

func knownValues(v Value) (known []string, ok bool) {
	switch {
	case len(v) == 0:
		return nil, false
	case len(v) == 1 && (v[0] == cards.NotKnown || v[0] == ""):
		return nil, false
	case len(v) == 1 && v[0] == cards.None:
		return nil, true
	}
	return v, true
}

// gradeSource is what the correspondence of the nucleus scales rests on.
const gradeSource = "customary correspondence of the scales, approximate, no agreed conversion; value from memory, unconfirmed"

// graded is a nucleus grade with the entry it was reckoned from.
type graded struct {
	grade int
	from  string
}

func (g graded) text() string { return g.from + " (about grade " + string('0'+rune(g.grade)) + ")" }

// nucleusGrades reckons a grade from each entry that says something about it.
// The correspondence is customary and approximate (see gradeSource).
func nucleusGrades(a Answers) []graded {
	var out []graded
	if entered := a.answer("nucleus-locs"); entered != "" {
		if q, err := cards.ParseQuantity(entered); err == nil && q.Stated() {
			out = append(out, graded{gradeOfLOCS(q), "LOCS III " + q.String()})
		}
	}
	if entered := a.answer("nucleus-clinical"); clinicalGrades[entered] != 0 {
		out = append(out, graded{clinicalGrades[entered], "clinical " + entered})
	}
	if a.answer("brunescent") == cards.Yes {
		out = append(out, graded{5, "brunescent"})
	}
	return out
}

var clinicalGrades = map[string]int{"trace": 1, "1+": 1, "2+": 2, "3+": 3, "4+": 4}

// locsGrades holds the lowest LOCS III opalescence of the grades 2 to 5.
var locsGrades = []cards.Quantity{cards.Whole(2), cards.Whole(3), cards.Whole(4), cards.Whole(5)}

func gradeOfLOCS(q cards.Quantity) int {
	grade := 1
	for _, from := range locsGrades {
		if q.Cmp(from) >= 0 {
			grade++
		}
	}
	return grade
}

// factText reads the answers to a factor as words, with the unit beside the number.
func (a Answers) factText(f cards.Factor) string {
	values, known := a.Fact(f.ID)
	switch {
	case !known:
		return cards.NotKnown
	case len(values) == 0:
		return cards.None
	case f.ID == cards.NucleusGrade:
		return values[0] + " (approximate, from " + a.gradeFrom + ")"
	case f.Kind == cards.FactorNumber:
		return numberText(values[0], f.Unit)
	case f.Kind == cards.FactorSet:
		return strings.Join(inOrder(f.Options, values), ", ")
	}
	return strings.Join(values, ", ")
}

// numberText writes a number without trailing zeros, and the sign of a
// negative one as a word: a hyphen before a lens power is easily overlooked.
func numberText(value, unit string) string {
	if q, err := cards.ParseQuantity(value); err == nil && q.Stated() {
		value = q.String()
	}
	if rest, negative := strings.CutPrefix(value, "-"); negative {
		value = "minus " + rest
	}
	if unit != "" {
		value += " " + unit
	}
	return value
}

// inOrder lists the members of a set in the order of the vocabulary, so that the order of entry never shows.
func inOrder(options, members []string) []string {
	var out []string
	for _, o := range options {
		for _, m := range members {
			if m == o {
				out = append(out, m)
				break
			}
		}
	}
	return out
}

// asked reports whether a factor is worth asking on these answers: an INR is
// not, where there is no anticoagulant.
func (a Answers) asked(f cards.Factor) bool {
	if f.OnlyWith == "" {
		return true
	}
	values, known := a.Fact(f.OnlyWith)
	if !known {
		return false
	}
	if len(f.OnlyWithValues) == 0 {
		return true
	}
	return len(inOrder(f.OnlyWithValues, values)) > 0
}

// facts lists what is known, in the order of the vocabulary.
func (a Answers) facts() []FactLine {
	var out []FactLine
	for _, f := range cards.Factors {
		if _, known := a.Fact(f.ID); known {
			out = append(out, FactLine{Factor: f.ID, Label: f.Label, Text: a.factText(f)})
		}
	}
	return out
}

// notKnown lists what nobody answered or was answered "not known". Free texts
// are not asked for; one nucleus scale is enough.
func (a Answers) notKnown() []FactLine {
	_, graded := a.Fact(cards.NucleusGrade)
	var out []FactLine
	for _, f := range cards.Factors {
		_, known := a.Fact(f.ID)
		scale := f.ID == "nucleus-locs" || f.ID == "nucleus-clinical"
		if known || f.Derived || f.Kind == cards.FactorText || !a.asked(f) || (graded && scale) {
			continue
		}
		out = append(out, FactLine{Factor: f.ID, Label: f.Label, Text: cards.NotKnown})
	}
	return out
}
