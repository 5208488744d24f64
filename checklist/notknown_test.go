package checklist

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sideport/cards"
)

// drawnTechniqueCards are small cards of every technique, so that rules on techniques are met.
func drawnTechniqueCard(t *rapid.T) cards.Card {
	return rapid.SampledFrom(allTechniques()).Draw(t, "card")
}

// forget takes some answers away, by leaving them out or by answering "not known".
func forget(t *rapid.T, c Case) Case {
	out := c
	out.Facts = maps.Clone(c.Facts)
	for _, id := range sortedKeys(c.Facts) {
		switch {
		case id == "eye" || !rapid.Bool().Draw(t, "forget "+string(id)):
		case rapid.Bool().Draw(t, "leave out "+string(id)):
			delete(out.Facts, id)
		default:
			out.Facts[id] = Value{cards.NotKnown}
		}
	}
	return out
}

// Forgetting a fact never answers a question: a rule that held may no longer
// be answered, one that did not may no longer be, and no rule turns round.
// (The nucleus grade is left out: another scale may then give it.)
func TestForgettingNeverAnswersARule(t *testing.T) {
	book := Starter()
	conditions := book.Conditions()
	rapid.Check(t, func(t *rapid.T) {
		technique := drawnTechniqueCard(t).Technique
		c := drawCase(t, "case")
		for _, id := range scales {
			delete(c.Facts, id)
		}
		all, _ := Derive(c)
		some, _ := Derive(forget(t, c))
		for n, r := range book.Rules {
			before, after := conditions[n].Holds(all, technique), conditions[n].Holds(some, technique)
			if after != before && after != cards.Unknown {
				t.Fatalf("%s was %d and is %d after facts were forgotten", r.ID, before, after)
			}
		}
	})
}

// fixedAsk are facts that a fixed line of a pause asks for.
var fixedAsk = []cards.FactorID{"anaesthesia", "sedation", "oxygen", "tremor", "hearing", "language", "closed-spaces", "allergies"}

// onlyWhereInDoubt are measured where another answer gives the reason, and nothing is laid out for an age.
var onlyWhereInDoubt = []cards.FactorID{"cell-density", "corneal-thickness", "age-band"}

// What is not known adds nothing, is listed, and is asked for: whichever rule
// cannot be answered, each fact it lacks is asked for by a line of some pause.
func TestNotKnownNeverReadsAsNormal(t *testing.T) {
	book := Starter()
	conditions := book.Conditions()
	rapid.Check(t, func(t *rapid.T) {
		card := drawnTechniqueCard(t)
		c := forget(t, drawCase(t, "case"))
		c.Card = card.ID
		s := sheetFor(t, card, book, c)
		answers, _ := Derive(c)
		asked := factsAsked(book, s)
		for n, r := range book.Rules {
			if conditions[n].Holds(answers, card.Technique) != cards.Unknown {
				continue
			}
			if acted := actedBy(s, r.ID); acted != "" {
				t.Fatalf("%s cannot be answered and yet %s", r.ID, acted)
			}
			for _, id := range missing(conditions[n].deciding(answers, card.Technique), answers) {
				listed := slices.ContainsFunc(s.NotKnown, func(l FactLine) bool { return l.Factor == id }) || id == cards.NucleusGrade || id == "allergy-other"
				if !listed {
					t.Fatalf("%s lacks %s, which is not listed as not known", r.ID, id)
				}
				if !asked[id] && !has(fixedAsk, id) && !has(onlyWhereInDoubt, id) && id != "allergy-other" {
					t.Fatalf("%s lacks %s, and nobody asks for it", r.ID, id)
				}
			}
		}
	})
}

// factsAsked are the facts of the rules that the questions of a sheet come from.
func factsAsked(book RuleBook, s Sheet) map[cards.FactorID]bool {
	rules := map[string]Rule{}
	for _, r := range book.Rules {
		rules[r.ID] = r
	}
	asked := map[cards.FactorID]bool{}
	for _, p := range s.Pauses {
		for _, l := range p.Lines {
			for _, w := range l.Why {
				if l.Question && w.From == FromRule && rules[w.ID].Unknown != nil {
					for _, id := range rules[w.ID].When.factors() {
						asked[id] = true
					}
				}
			}
		}
	}
	return asked
}

// actedBy says what on the sheet comes from a rule, beside its question.
func actedBy(s Sheet, id string) string {
	from := func(list []Why) bool {
		return slices.ContainsFunc(list, func(w Why) bool { return w.From == FromRule && w.ID == id })
	}
	for _, l := range s.Setup {
		if from(l.Why) {
			return "it lays out " + l.Name
		}
	}
	for _, x := range s.Special {
		if from(x.Why) {
			return "it warns: " + x.Text
		}
	}
	for _, d := range s.Triggers {
		if from(d.Why) {
			return "it raises " + d.Trigger.Title
		}
	}
	for _, p := range s.Pauses {
		for _, l := range p.Lines {
			if from(l.Why) && !l.Question {
				return "it adds the line " + l.Text
			}
		}
	}
	return ""
}

// What a rule opens names the fact it is opened for, with the answer.
func TestWhatIsOpenedNamesTheFact(t *testing.T) {
	book, card := Starter(), fullCard()
	rapid.Check(t, func(t *rapid.T) {
		for _, l := range sheetFor(t, card, book, drawCase(t, "case")).Setup {
			i, own := card.Item(l.Key)
			if l.State != cards.Open || own && i.State == cards.Open {
				continue
			}
			if !slices.ContainsFunc(l.Why, func(w Why) bool {
				return w.From == FromVariant || w.From == FromRule && strings.Contains(w.Text, "(") && strings.Contains(w.Text, ": ")
			}) {
				t.Fatalf("%s is opened and no fact is named: %+v", l.Name, l.Why)
			}
		}
	})
}
