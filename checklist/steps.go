package checklist

import (
	"strings"
	"unicode"

	"sideport/cards"
)

// denials before a word say that the step leaves it out: "no hydrodissection in this eye".
var denials = []string{"no", "not", "never", "without", "avoid", "don't"}

// mentions reports whether a step does something: a word of its key, its title
// or its text begins with one of the words. A word denied in the title or the text does not count.
func mentions(s cards.Step, words []string) bool {
	return speaksOf(s.Key.Words(), words) || speaksOf(s.Title, words) || speaksOf(s.Do, words)
}

func speaksOf(text string, words []string) bool {
	before := ""
	for w := range strings.FieldsFuncSeq(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' }) {
		for _, word := range words {
			if strings.HasPrefix(w, word) && !has(denials, before) {
				return true
			}
		}
		before = w
	}
	return false
}

// steps sets out the card's steps. One that must not be done in this case is
// a conflict that somebody must answer, like an item that must not be used.
func (m *maker) steps() {
	for _, s := range m.in.Card.Steps {
		line := StepLine{Key: s.Key, Title: s.Title, Phase: s.Phase, Do: s.Do, Checkpoint: s.Checkpoint}
		for _, b := range m.banned {
			if len(b.steps) == 0 || !mentions(s, b.steps) {
				continue
			}
			line.Struck = StruckConflict
			line.Why = joinWhy(line.Why, b.why)
			text := "do not do this step in this case. Somebody must answer for it."
			if b.text != "" {
				text = b.text
			}
			m.special(WeightStop, "Step "+quote(s.Title)+" of the card: "+text, b.why)
		}
		m.stepLines = append(m.stepLines, line)
	}
}
