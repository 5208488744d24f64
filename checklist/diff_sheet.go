package checklist

import (
	"slices"
	"strconv"
	"strings"

	"sideport/cards"
)

// LineChange says what became of one line of a sheet.
type LineChange string

const (
	LineAdded   LineChange = "added"
	LineRemoved LineChange = "removed"
	LineChanged LineChange = "changed"
	LineReason  LineChange = "reason" // the line reads the same, its reason another
)

// SheetChange is one line in which two sheets of one case differ, ready to read.
type SheetChange struct {
	Part   string     `json:"part"` // "Set up", "Sign in"
	Change LineChange `json:"change"`
	Text   string     `json:"text"`          // as it is afterwards; as it was, where it is removed
	Was    string     `json:"was,omitempty"` // as it was, where it is changed
}

// TrialCase is a case on which a change of the house rules is tried.
type TrialCase struct {
	Card cards.Card `json:"card"`
	Case Case       `json:"case"`
}

// Trial says what a change of the house rules does to the sheet of one case.
type Trial struct {
	Case    CaseID        `json:"case"`
	Changes []SheetChange `json:"changes"`
	// Problems say why there is no sheet to compare.
	Problems cards.Problems `json:"problems,omitempty"`
}

// Try makes the sheet of a case with both rule books and compares the two.
func Try(from, to RuleBook, c TrialCase) Trial {
	before, problems := Generate(Input{Card: c.Card, Rules: from, Case: c.Case})
	after, more := Generate(Input{Card: c.Card, Rules: to, Case: c.Case})
	out := Trial{Case: c.Case.ID, Changes: []SheetChange{}}
	if out.Problems = append(problems, more...); len(out.Problems) == 0 {
		out.Changes = append(out.Changes, DiffSheets(before, after)...)
	}
	return out
}

// DiffSheets says in which lines two sheets of one case differ, part by part.
// What they were made from is not compared.
func DiffSheets(from, to Sheet) []SheetChange {
	var out []SheetChange
	before, after := sheetLines(from), sheetLines(to)
	for _, l := range before {
		if !slices.ContainsFunc(after, l.isAt) {
			out = append(out, SheetChange{Part: l.part, Change: LineRemoved, Text: l.text})
		}
	}
	for _, l := range after {
		n := slices.IndexFunc(before, l.isAt)
		switch {
		case n < 0:
			out = append(out, SheetChange{Part: l.part, Change: LineAdded, Text: l.text})
		case before[n].text != l.text:
			out = append(out, SheetChange{Part: l.part, Change: LineChanged, Text: l.text, Was: before[n].text})
		case before[n].why != l.why:
			out = append(out, SheetChange{Part: l.part, Change: LineReason, Text: l.text, Was: before[n].why})
		}
	}
	return out
}

// sheetLine is one line of a sheet as a person reads it.
type sheetLine struct{ part, key, text, why string }

func (l sheetLine) isAt(x sheetLine) bool { return l.part == x.part && l.key == x.key }

func sheetLines(s Sheet) []sheetLine {
	var out []sheetLine
	for _, x := range s.Special {
		out = append(out, sheetLine{"Special", x.Text, string(x.Weight) + ": " + x.Text, whyText(x.Why)})
	}
	for _, x := range s.Setup {
		out = append(out, sheetLine{"Set up", string(x.Key), x.inWords(), whyText(x.Why)})
	}
	for _, x := range s.Drugs {
		out = append(out, sheetLine{"Drugs", string(x.Key), phrases(x.Name, x.Text, string(x.State), struckText(x.Struck, x.Instead)), whyText(x.Why)})
	}
	for _, x := range s.Limits {
		out = append(out, sheetLine{"Limits", string(x.Phase), x.Name + ": " + shownText(x.Values), whyText(x.Why)})
	}
	for _, x := range s.Steps {
		out = append(out, sheetLine{"Steps", string(x.Key), phrases(x.Title, struckText(x.Struck, "")), whyText(x.Why)})
	}
	for _, p := range s.Pauses {
		for _, x := range p.Lines {
			out = append(out, sheetLine{upperFirst(string(p.ID)), x.ID, phrases(x.Text, x.Expect, x.Stored), whyText(x.Why)})
		}
	}
	for _, x := range s.Triggers {
		out = append(out, sheetLine{"If…", string(x.Trigger.Key), x.inWords(), whyText(x.Why)})
	}
	return out
}

func (l SetupLine) inWords() string {
	counted := ""
	if l.Counted {
		counted = "counted"
	}
	return phrases(strconv.Itoa(l.Quantity)+" × "+l.Name, string(l.State), counted, struckText(l.Struck, l.Instead))
}

func (t TriggerSheet) inWords() string {
	raised := ""
	if t.Raised {
		raised = "more likely in this case"
	}
	var opens []string
	for _, o := range t.Opens {
		opens = append(opens, phrases(o.Name, string(o.State)))
	}
	return phrases(t.Trigger.Title, raised, strings.Join(opens, ", "))
}

func struckText(s Struck, instead string) string {
	if instead != "" {
		return string(s) + ": " + instead
	}
	return string(s)
}

func whyText(list []Why) string {
	out := make([]string, len(list))
	for n, w := range list {
		out[n] = w.Text
	}
	return strings.Join(out, "; ")
}

// phrases joins what is stated.
func phrases(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), ", ")
}
