package checklist

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"sideport/cards"
)

// textWidth is the width of a terminal line.
const textWidth = 80

// Text writes a sheet for a terminal: plain words in 80 columns, every line
// with its reason. It reads nothing but the sheet.
func Text(s Sheet) string {
	w := &textWriter{}
	w.head(s)
	w.special(s.Special)
	w.facts(s)
	w.variants(s)
	w.setup(s)
	w.limits(s.Limits)
	w.steps(s.Steps)
	for _, p := range s.Pauses {
		w.pause(p)
	}
	w.triggers(s.Triggers)
	w.shown("Surgeon and machine", s.Basics)
	return w.b.String()
}

type textWriter struct{ b strings.Builder }

// title begins a part.
func (w *textWriter) title(s string) {
	w.b.WriteString("\n" + s + "\n" + strings.Repeat("-", utf8.RuneCountInString(s)) + "\n")
}

// line writes text after a mark; further lines stand under the text.
func (w *textWriter) line(indent int, mark, text string) {
	lead := strings.Repeat(" ", indent) + mark
	hang := strings.Repeat(" ", utf8.RuneCountInString(lead))
	w.b.WriteString(wrap(lead, hang, text))
}

// wrap breaks text at spaces. A word longer than a line stays whole: nothing read here may be cut.
func wrap(lead, hang, text string) string {
	var b strings.Builder
	b.WriteString(lead)
	width, empty := utf8.RuneCountInString(lead), true
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		if !empty && width+1+n > textWidth {
			b.WriteString("\n" + hang)
			width, empty = utf8.RuneCountInString(hang), true
		}
		if !empty {
			b.WriteByte(' ')
			width++
		}
		b.WriteString(word)
		width, empty = width+n, false
	}
	return strings.TrimRight(b.String(), " ") + "\n"
}

func (w *textWriter) why(indent int, list []Why) {
	for _, y := range list {
		if y.From == FromCard || y.From == FromPauses {
			continue // what is usual needs no reason in a text; the sheet has it
		}
		text := y.Text
		if y.Mark != "" {
			text += " [" + string(y.Mark) + "]"
		}
		if y.Starter {
			text += " [starter rule, not yet confirmed by the unit]"
		}
		w.line(indent, "why: ", text)
	}
}

func (w *textWriter) head(s Sheet) {
	w.line(0, "", s.Title)
	w.line(0, "", s.Technique+", list of "+string(s.Made.Case.List)+", surgeon "+string(s.Made.Case.Surgeon))
	w.line(0, "", "Made from card "+string(s.Made.Card)+" revision "+strconv.Itoa(s.Made.CardRevision)+" and house rules revision "+strconv.Itoa(s.Made.RulesRevision)+".")
	w.line(0, "", "It prepares and reminds; it does not decide. Local protocols go first.")
	if s.Made.Case.Removed {
		w.line(0, "", "This case was taken off the list.")
	}
	if s.Made.Case.Note != "" {
		w.line(0, "Note: ", s.Made.Case.Note)
	}
}

func (w *textWriter) special(list []Special) {
	if len(list) == 0 {
		return
	}
	w.title("Special for this case")
	for _, s := range list {
		w.line(0, upperFirst(string(s.Weight))+": ", s.Text)
		w.why(9, s.Why)
	}
}

func (w *textWriter) facts(s Sheet) {
	w.title("Facts")
	for _, f := range s.Facts {
		w.line(0, "", f.Label+": "+f.Text)
	}
	if len(s.NotKnown) == 0 {
		return
	}
	labels := make([]string, len(s.NotKnown))
	for n, f := range s.NotKnown {
		labels[n] = lowerFirst(f.Label)
	}
	w.line(0, "", "Not known, which is not “no”:")
	w.line(2, "", strings.Join(labels, "; "))
}

func (w *textWriter) variants(s Sheet) {
	if len(s.Variants)+len(s.Fit) == 0 {
		return
	}
	w.title("Card and case")
	for _, v := range s.Variants {
		state := "applies"
		if !v.Holds {
			state = "not applied: it cannot be told whether it applies"
		}
		w.line(0, "Variant "+quote(v.Title)+" ", state)
		w.why(2, v.Why)
		if v.Note != "" {
			w.line(2, "note: ", v.Note)
		}
	}
	for _, f := range s.Fit {
		speaks := "Speaks " + string(f.Speaks)
		if !f.Known {
			speaks = "Would speak " + string(f.Speaks)
		}
		w.line(0, speaks+" the card: ", f.Text+". "+upperFirst(f.Reason))
	}
}

func (w *textWriter) setup(s Sheet) {
	for _, state := range []cards.State{cards.Open, cards.HaveReady} {
		w.title(map[cards.State]string{cards.Open: "Open on the table", cards.HaveReady: "Have ready, unopened"}[state])
		for _, l := range s.Setup {
			if l.State == state && l.Struck == "" {
				w.item(l)
			}
		}
		for _, d := range s.Drugs {
			if d.State == state && d.Struck == "" {
				w.drug(d)
			}
		}
	}
	w.struck(s)
}

func (w *textWriter) item(l SetupLine) {
	text := l.Name
	for _, more := range []string{countedText(l.Counted), string(l.Place), l.Note} {
		if more != "" {
			text += ", " + more
		}
	}
	w.line(0, mark(l.Special), strconv.Itoa(l.Quantity)+" x "+text)
	w.why(4, l.Why)
}

func countedText(counted bool) string {
	if counted {
		return "counted"
	}
	return ""
}

// mark sets apart what is special for this case.
func mark(special bool) string {
	if special {
		return "* "
	}
	return "  "
}

func (w *textWriter) drug(d DrugLine) {
	text := d.Name + ": " + d.Text
	for _, more := range []string{d.Prepared, d.Note} {
		if more != "" {
			text += "; " + more
		}
	}
	w.line(0, mark(d.Special), text)
	w.why(4, d.Why)
}

// struck lists what was taken off: nothing struck disappears.
func (w *textWriter) struck(s Sheet) {
	titled := false
	one := func(name string, struck Struck, instead string, why []Why) {
		if struck == "" {
			return
		}
		if !titled {
			w.title("Struck out")
			titled = true
		}
		text := name + ": " + string(struck)
		if instead != "" {
			text += "; instead: " + instead
		}
		w.line(0, "x ", text)
		w.why(4, why)
	}
	for _, l := range s.Setup {
		one(l.Name, l.Struck, l.Instead, l.Why)
	}
	for _, d := range s.Drugs {
		one(d.Name+" ("+d.Text+")", d.Struck, d.Instead, d.Why)
	}
}

func (w *textWriter) limits(list []PhaseLimits) {
	if len(list) == 0 {
		return
	}
	w.title("Starting limits")
	for _, p := range list {
		w.line(0, p.Name+": ", shownText(p.Values))
		if p.Variant != "" {
			w.line(2, "instead of: ", shownText(p.Base))
		}
		w.why(2, p.Why)
		if p.Note != "" {
			w.line(2, "note: ", p.Note)
		}
		for _, c := range p.Cautions {
			w.line(2, "Caution: ", c)
		}
	}
}

func shownText(values []Shown) string {
	if len(values) == 0 {
		return "nothing stated"
	}
	texts := make([]string, len(values))
	for n, v := range values {
		texts[n] = lowerFirst(v.Text())
	}
	return strings.Join(texts, "; ")
}

func (w *textWriter) steps(list []StepLine) {
	if len(list) == 0 {
		return
	}
	w.title("Steps")
	for n, s := range list {
		text := s.Title
		if s.Do != "" {
			text += ": " + s.Do
		}
		mark := strconv.Itoa(n+1) + ". "
		if s.Struck != "" {
			mark += "(" + string(s.Struck) + ") "
		}
		w.line(0, mark, text)
		if s.Checkpoint != "" {
			w.line(3, "check: ", s.Checkpoint)
		}
		w.why(3, s.Why)
	}
}

func (w *textWriter) pause(p Pause) {
	w.title(upperFirst(string(p.ID)))
	w.line(0, "", upperFirst(p.When)+". Lines: "+strconv.Itoa(len(p.Lines))+", about "+strconv.Itoa(p.Seconds)+" seconds to read and answer.")
	if p.Long {
		w.line(0, "", "Longer than a minute.")
	}
	for n, l := range p.Lines {
		mark := strconv.Itoa(n+1) + ". "
		switch {
		case l.Question:
			mark += "(added, needs an answer) "
		case l.Added:
			mark += "(added) "
		}
		w.line(0, mark, l.Text)
		w.line(3, "", l.Ask+" asks, "+l.Answer+" answers"+afterColon(l.Expect))
		if l.Stored != "" {
			w.line(3, "stored: ", l.Stored)
		}
		w.why(3, l.Why)
	}
}

func afterColon(s string) string {
	if s == "" {
		return ""
	}
	return ": " + s
}

func (w *textWriter) triggers(list []TriggerSheet) {
	if len(list) == 0 {
		return
	}
	w.title("If the eye does not behave")
	for _, t := range list {
		w.trigger(t)
	}
}

func (w *textWriter) trigger(t TriggerSheet) {
	w.line(0, mark(t.Raised), t.Trigger.Title+". Seen: "+t.Trigger.Seen)
	w.line(4, "say: ", t.Trigger.Say)
	for _, role := range []struct {
		name  string
		lines []string
	}{{RoleSurgeon, t.Trigger.Surgeon}, {RoleScrub, t.Trigger.Scrub}, {RoleCirculating, t.Trigger.Circulating}, {RoleAnaesthesia, t.Trigger.Anaesthesia}} {
		if len(role.lines) > 0 {
			w.line(4, role.name+": ", strings.Join(role.lines, "; "))
		}
	}
	for _, o := range t.Opens {
		state := string(o.State)
		if state == "" {
			state = "struck out, or not on this sheet"
		}
		w.line(4, "open: ", o.Name+" ("+state+")")
	}
	for _, next := range []string{string(t.Trigger.NextCard), t.Trigger.NextStep} {
		if next != "" {
			w.line(4, "next: ", next)
		}
	}
	w.why(4, t.Why)
}

func (w *textWriter) shown(title string, values []Shown) {
	if len(values) == 0 {
		return
	}
	w.title(title)
	for _, v := range values {
		w.line(0, "", v.Text())
	}
}
