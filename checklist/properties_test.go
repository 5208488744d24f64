package checklist

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sideport/cards"
)

// drawAnswer draws a valid answer to a factor, "not known" among them.
func drawAnswer(t *rapid.T, f cards.Factor) Value {
	switch f.Kind {
	case cards.FactorNumber:
		step := f.Step.Millionths()
		n := rapid.Int64Range(0, (f.Max.Millionths()-f.Min.Millionths())/step).Draw(t, string(f.ID))
		return Value{cards.FromMillionths(f.Min.Millionths() + n*step).String()}
	case cards.FactorSet:
		members := rapid.SliceOfNDistinct(rapid.SampledFrom(f.Options), 0, 3, rapid.ID[string]).Draw(t, string(f.ID))
		if len(members) == 0 {
			return Value{cards.None}
		}
		return members
	case cards.FactorText:
		return Value{rapid.SampledFrom([]string{cards.None, "nickel", "egg white"}).Draw(t, string(f.ID))}
	}
	options := f.Options
	if f.ID != "eye" {
		options = append(slices.Clone(f.Options), cards.NotKnown)
	}
	return Value{rapid.SampledFrom(options).Draw(t, string(f.ID))}
}

// drawCase draws a valid case with any facts answered.
func drawCase(t *rapid.T, label string) Case {
	c := plainCase()
	c.Position = rapid.IntRange(1, 9).Draw(t, label+" position")
	delete(c.Facts, "allergies")
	for _, f := range cards.Factors {
		if !f.Derived && f.ID != "eye" && rapid.Bool().Draw(t, label+" answers "+string(f.ID)) {
			c.Facts[f.ID] = drawAnswer(t, f)
		}
	}
	for _, f := range cards.Factors { // a valid case does not contradict itself
		if other := ruledOutBy(f); other != "" && slices.Equal(c.Facts[other], Value{cards.No}) {
			delete(c.Facts, f.ID)
		}
	}
	return c
}

// fullCard is a card on which every kind of thing stands.
func fullCard() cards.Card {
	card := plainCard()
	hook := cards.Item{Key: "iris-hooks", Name: "Iris hooks", Kind: "consumable", Quantity: 5, State: cards.Open}
	small := cards.Variant{Key: "small", Title: "Small pupil", When: []cards.Test{{Factor: "dilated-pupil", Op: cards.Below, Value: "5"}}, Items: []cards.Item{hook}, Phases: []cards.PhaseChange{denseChop(300)}}
	dense := onGrade4("Dense nucleus", func(v *cards.Variant) {
		v.Phases, v.Without = []cards.PhaseChange{denseChop(450)}, []cards.Key{"chopper"}
	})
	card.Variants = []cards.Variant{small, dense}
	card.Fit = []cards.Fit{{Speaks: cards.SpeaksAgainst, When: cards.Test{Factor: "loose-zonules", Op: cards.Is, Value: cards.Yes}, Reason: "chopping pulls"}}
	card.Notes = "Some *notes*."
	return card
}

func sheetBytes(t *rapid.T, card cards.Card, book RuleBook, c Case) []byte {
	s, problems := Generate(Input{Card: card, CardRevision: 1, Rules: book, RulesRevision: 1, Case: c})
	if len(problems) > 0 {
		t.Fatalf("no sheet: %v", problems)
	}
	b, err := Canonical(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func sheetFor(t *rapid.T, card cards.Card, book RuleBook, c Case) Sheet {
	s, problems := Generate(Input{Card: card, CardRevision: 1, Rules: book, RulesRevision: 1, Case: c})
	if len(problems) > 0 {
		t.Fatalf("no sheet: %v", problems)
	}
	return s
}

func fixedLines(s Sheet) []string {
	var out []string
	for _, p := range s.Pauses {
		for _, l := range p.Lines {
			if !l.Added {
				out = append(out, string(p.ID)+"/"+l.ID)
			}
		}
	}
	return out
}

func keysOf(s Sheet) []string {
	var out []string
	for _, l := range s.Setup {
		out = append(out, string(l.Key))
	}
	for _, d := range s.Drugs {
		out = append(out, "drug "+string(d.Key))
	}
	slices.Sort(out)
	return out
}

func TestFixedLinesAreNeverRemoved(t *testing.T) {
	book, card := Starter(), fullCard()
	want := fixedLines(generated(t, card, book, plainCase()))
	rapid.Check(t, func(t *rapid.T) {
		if got := fixedLines(sheetFor(t, card, book, drawCase(t, "case"))); !slices.Equal(got, want) {
			t.Fatalf("fixed lines %v, want %v", got, want)
		}
	})
}

// Whatever the facts: everything on the card stands on the sheet once, struck or not.
func TestStruckThingsNeverDisappear(t *testing.T) {
	book, card := Starter(), fullCard()
	rapid.Check(t, func(t *rapid.T) {
		s := sheetFor(t, card, book, drawCase(t, "case"))
		got := keysOf(s)
		if len(slices.Compact(slices.Clone(got))) != len(got) {
			t.Fatalf("a key stands twice: %v", got)
		}
		for _, i := range card.Items {
			if !has(got, string(i.Key)) {
				t.Fatalf("item %s is gone", i.Key)
			}
		}
		for _, d := range card.Drugs {
			if !has(got, "drug "+string(d.Key)) {
				t.Fatalf("drug %s is gone", d.Key)
			}
		}
		for _, l := range s.Setup {
			if l.Struck == StruckSubstituted && l.Instead == "" || len(l.Why) == 0 {
				t.Fatalf("no substitute or no reason: %+v", l)
			}
		}
	})
}

// Nothing that contains what the patient is allergic to is ever shown as usable.
func TestAllergensAreNeverUsable(t *testing.T) {
	book, card := Starter(), fullCard()
	contains := map[string][]cards.Allergen{}
	for _, i := range card.Items {
		contains[string(i.Key)] = i.Allergens
	}
	for _, r := range book.Rules {
		for _, a := range r.Do {
			for _, i := range []*cards.Item{a.Item, a.Substitute} {
				if i != nil {
					contains[string(i.Key)] = append(contains[string(i.Key)], i.Allergens...)
				}
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		c := drawCase(t, "case")
		for _, l := range sheetFor(t, card, book, c).Setup {
			for _, a := range c.Facts["allergies"] {
				if l.Struck == "" && has(contains[string(l.Key)], cards.Allergen(a)) {
					t.Fatalf("%s contains %s and is not struck", l.Key, a)
				}
			}
		}
	})
}

// Not known is never no: wherever answering "no" silences a rule, not
// answering asks.
func TestNotKnownIsNeverNo(t *testing.T) {
	book, card := Starter(), plainCard()
	for _, f := range cards.Factors {
		if !has(f.Options, cards.No) {
			continue
		}
		with := func(answer string) Case {
			facts := []string{string(f.ID) + "=" + answer}
			if f.OnlyWith != "" { // worth asking only where the other is so
				facts = append(facts, string(f.OnlyWith)+"="+f.OnlyWithValues[0])
			}
			return plainCase(facts...)
		}
		no := generated(t, card, book, with(cards.No))
		for _, unanswered := range []string{"", cards.NotKnown} {
			s := generated(t, card, book, with(unanswered))
			conditions := book.Conditions()
			matters := slices.ContainsFunc(book.Rules, func(r Rule) bool {
				when := conditions[slices.IndexFunc(book.Rules, func(x Rule) bool { return x.ID == r.ID })]
				return r.Unasked == "" && truthIn(when, with(unanswered)) != truthIn(when, with(cards.No))
			})
			if matters && questions(s) <= questions(no) {
				t.Errorf("%s=%s asks %d questions, answered no %d", f.ID, unanswered, questions(s), questions(no))
			}
			if !slices.ContainsFunc(s.NotKnown, func(l FactLine) bool { return l.Factor == f.ID }) {
				t.Errorf("%s=%s is not listed as not known", f.ID, unanswered)
			}
		}
	}
}

func truthIn(when Condition, c Case) cards.Truth {
	a, _ := Derive(c)
	return when.Holds(a, plainCard().Technique)
}

// questions counts what must be answered because a fact is missing, the facts
// named in the one general question counted each.
func questions(s Sheet) int {
	n := 0
	for _, p := range s.Pauses {
		for _, l := range p.Lines {
			switch {
			case l.ID == "case.not-known":
				n += len(strings.Split(l.Expect, ","))
			case l.Question:
				n += len(l.Why)
			}
		}
	}
	return n
}

func TestOrderOfActionsDoesNotMatter(t *testing.T) {
	book, card := Starter(), fullCard()
	rapid.Check(t, func(t *rapid.T) {
		c := drawCase(t, "case")
		want := sheetFor(t, card, book, c)
		other := book
		other.Rules = slices.Clone(book.Rules)
		for n := range other.Rules {
			other.Rules[n].Do = slices.Clone(other.Rules[n].Do)
			slices.Reverse(other.Rules[n].Do)
		}
		if rapid.Bool().Draw(t, "rules too") {
			slices.Reverse(other.Rules)
		}
		got := sheetFor(t, card, other, c)
		if !slices.Equal(keysOf(got), keysOf(want)) {
			t.Fatalf("items %v, want %v", keysOf(got), keysOf(want))
		}
		for _, l := range want.Setup {
			struck, _ := struckOf(got, l.Key)
			if struck != l.Struck {
				t.Fatalf("%s is %q in another order, %q before", l.Key, struck, l.Struck)
			}
		}
	})
}

// The same arguments give the same bytes, in whatever order the facts were written.
func TestGenerationIsDeterministic(t *testing.T) {
	book, card := Starter(), fullCard()
	rapid.Check(t, func(t *rapid.T) {
		c := drawCase(t, "case")
		want := sheetBytes(t, card, book, c)
		ids := rapid.Permutation(sortedKeys(c.Facts)).Draw(t, "order")
		var b bytes.Buffer
		b.WriteString(`{"facts":{`)
		for n, id := range ids {
			if n > 0 {
				b.WriteByte(',')
			}
			value, _ := json.Marshal(c.Facts[id])
			b.WriteString(`"` + string(id) + `":` + string(value))
		}
		head, _ := json.Marshal(Case{ID: c.ID, List: c.List, Position: c.Position, Surgeon: c.Surgeon, Card: c.Card})
		b.WriteString("}," + string(head[1:]))
		again, problems := ParseCase(b.Bytes())
		if len(problems.Errors()) > 0 {
			t.Fatalf("%s: %v", b.String(), problems)
		}
		if got := sheetBytes(t, card, book, again); !bytes.Equal(got, want) {
			t.Fatalf("other bytes:\n%s\n%s", got, want)
		}
		if got := sheetBytes(t, card, book, c); !bytes.Equal(got, want) {
			t.Fatal("other bytes the second time")
		}
	})
}

// Generation must not change what it is given: the same card serves every case of a list.
func TestGenerationLeavesItsInputAlone(t *testing.T) {
	book, card := Starter(), fullCard()
	before, _ := cards.Canonical(card)
	bookBefore, _ := cards.Canonical(book)
	rapid.Check(t, func(t *rapid.T) { sheetFor(t, card, book, drawCase(t, "case")) })
	after, _ := cards.Canonical(card)
	bookAfter, _ := cards.Canonical(book)
	if !bytes.Equal(before, after) || !bytes.Equal(bookBefore, bookAfter) {
		t.Error("the card or the rule book was changed")
	}
}

// Every line of every sheet says why it is there.
func TestEveryLineSaysWhy(t *testing.T) {
	book, card := Starter(), fullCard()
	rapid.Check(t, func(t *rapid.T) {
		s := sheetFor(t, card, book, drawCase(t, "case"))
		var whys [][]Why
		for _, x := range s.Special {
			whys = append(whys, x.Why)
		}
		for _, x := range s.Setup {
			whys = append(whys, x.Why)
		}
		for _, x := range s.Drugs {
			whys = append(whys, x.Why)
		}
		for _, x := range s.Limits {
			whys = append(whys, x.Why)
		}
		for _, x := range s.Triggers {
			whys = append(whys, x.Why)
		}
		for _, p := range s.Pauses {
			ids := map[string]bool{}
			for _, l := range p.Lines {
				if ids[l.ID] {
					t.Fatalf("two lines %q at %s", l.ID, p.ID)
				}
				ids[l.ID] = true
				whys = append(whys, l.Why)
			}
		}
		for _, list := range whys {
			if len(list) == 0 || slices.ContainsFunc(list, func(w Why) bool { return w.From == "" || w.ID == "" || w.Text == "" }) {
				t.Fatalf("a reason is missing or empty: %+v", list)
			}
		}
	})
}

func TestGenerateRefuses(t *testing.T) {
	good := Input{Card: plainCard(), Rules: plainBook(), Case: plainCase()}
	for _, row := range []struct {
		name  string
		spoil func(*Input)
		want  string
	}{
		{"a case without an eye", func(in *Input) { in.Case = plainCase("eye=") }, "error empty facts/eye"},
		{"a card with an error", func(in *Input) { in.Card.Title = "" }, "error empty title"},
		{"a rule book without a pause", func(in *Input) { in.Rules.Pauses = in.Rules.Pauses[1:] }, "error empty pauses"},
		{"a rule without its item", func(in *Input) { in.Rules = plainBook(rule("r", Condition{}, Action{Kind: AddItem})) }, "error empty rules/r/do/1/item"},
		{"a line for no pause", func(in *Input) {
			in.Rules = plainBook(asking(rule("r", when("white", cards.Is, cards.Yes)), "tea", "White?"))
		}, "error choice rules/r/unknown/pause"},
		{"another card", func(in *Input) { in.Case.Card = "other" }, "error other card card"},
	} {
		in := good
		row.spoil(&in)
		s, problems := Generate(in)
		if got := codesOf(problems); !slices.Equal(got, []string{row.want}) || s.Title != "" {
			t.Errorf("%s: %q, want %q and no sheet", row.name, got, row.want)
		}
	}
}

// What is merely unusual stands on the sheet and stops nothing.
func TestCautionsStandOnTheSheet(t *testing.T) {
	card := plainCard()
	card.Basics.MainWidth = cards.MustQuantity("3.5")
	s := generated(t, card, plainBook(), plainCase("nucleus-locs=1", "nucleus-clinical=4+"))
	got := strings.Join(specialsOf(s), "\n")
	for _, want := range []string{"caution: Nucleus: LOCS III 1 (about grade 1) and clinical 4+ (about grade 4) differ by more than a grade.", "caution: Main incision width 3.5 mm is outside the usual range"} {
		if !strings.Contains(got, want) {
			t.Errorf("missing %q in\n%s", want, got)
		}
	}
}

func BenchmarkGenerate(b *testing.B) {
	in := Input{Card: fullCard(), CardRevision: 1, Rules: Starter(), RulesRevision: 1, Case: plainCase("dilated-pupil=4.5", "nucleus-locs=4.2", "allergies=iodine,cephalosporin", "alpha-blocker=tamsulosin", "diabetes=yes")}
	b.ReportAllocs()
	for b.Loop() {
		if _, problems := Generate(in); len(problems) > 0 {
			b.Fatal(problems)
		}
	}
}
