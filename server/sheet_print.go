package main

import (
	"fmt"
	"io"
	"strings"

	"sideport/checklist"
)

// printSheet writes a sheet for a terminal or a plain printer: every line
// with its state in words, nothing told by colour or position alone.
func printSheet(w io.Writer, s checklist.Sheet) error {
	p := &printer{w: w}
	c := s.Made.Case
	p.line("%s", s.Title)
	p.line("%s, list of %s, place %d", s.Technique, c.List, c.Position)
	p.line("Made from card %s revision %d and house rules revision %d. Prepares and reminds; local protocol and the surgeon decide.",
		s.Made.Card, s.Made.CardRevision, s.Made.RulesRevision)
	p.special(s)
	p.facts(s)
	p.setup(s)
	p.limits(s)
	p.pauses(s)
	p.triggers(s)
	return p.err
}

type printer struct {
	w   io.Writer
	err error
}

func (p *printer) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format+"\n", args...)
	}
}

func (p *printer) heading(title string) { p.line("\n%s\n%s", title, strings.Repeat("-", len(title))) }

func (p *printer) why(why []checklist.Why) {
	for _, y := range why {
		if y.From == checklist.FromCard || y.From == checklist.FromPauses {
			continue // what stands on every line says nothing
		}
		p.line("      why: %s%s", y.Text, bracketed(string(y.Mark)))
	}
}

func bracketed(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ")"
}

func (p *printer) special(s checklist.Sheet) {
	if len(s.Special)+len(s.Variants)+len(s.Fit) == 0 {
		return
	}
	p.heading("Special for this case")
	for _, x := range s.Special {
		p.line("  %s: %s", x.Weight, x.Text)
		p.why(x.Why)
	}
	for _, v := range s.Variants {
		held := "used"
		if !v.Holds {
			held = "not known, not used: ask"
		}
		p.line("  variant %s: %s", v.Title, held)
		p.why(v.Why)
	}
	for _, f := range s.Fit {
		known := ""
		if !f.Known {
			known = " (not known)"
		}
		p.line("  speaks %s this card: %s%s: %s", f.Speaks, f.Text, known, f.Reason)
	}
}

func (p *printer) facts(s checklist.Sheet) {
	p.heading("Facts")
	for _, f := range s.Facts {
		p.line("  %s: %s", f.Label, f.Text)
	}
	for _, f := range s.NotKnown {
		p.line("  %s: %s", f.Label, f.Text)
	}
}

func (p *printer) setup(s checklist.Sheet) {
	p.heading("Set up")
	for _, l := range s.Setup {
		p.line("  %-10s %2d x %s%s%s", l.State, l.Quantity, l.Name, struck(l.Struck, l.Instead), bracketed(string(l.Place)))
		if l.Note != "" {
			p.line("      %s", l.Note)
		}
		p.why(l.Why)
	}
	for _, d := range s.Drugs {
		p.line("  %-10s %s, %s%s", d.State, d.Name, d.Text, struck(d.Struck, d.Instead))
		if d.Prepared != "" {
			p.line("      prepared: %s", d.Prepared)
		}
		p.why(d.Why)
	}
}

func struck(s checklist.Struck, instead string) string {
	switch {
	case s == "":
		return ""
	case instead != "":
		return fmt.Sprintf(" [%s: %s instead]", s, instead)
	}
	return fmt.Sprintf(" [%s]", s)
}

func (p *printer) limits(s checklist.Sheet) {
	p.heading("Starting limits")
	for _, l := range s.Limits {
		values := make([]string, len(l.Values))
		for i, v := range l.Values {
			values[i] = v.Text()
		}
		p.line("  %s: %s", l.Name, strings.Join(values, "; "))
		for _, caution := range l.Cautions {
			p.line("      caution: %s", caution)
		}
		p.why(l.Why)
	}
}

func (p *printer) pauses(s checklist.Sheet) {
	for _, pause := range s.Pauses {
		long := ""
		if pause.Long {
			long = ", passes a minute"
		}
		title := string(pause.ID)
		p.heading(strings.ToUpper(title[:1]) + title[1:])
		p.line("  %s (about %d seconds%s)", pause.When, pause.Seconds, long)
		for _, l := range pause.Lines {
			p.line("  %s asks %s: %s", l.Ask, l.Answer, l.Text)
			if l.Stored != "" {
				p.line("      stored: %s", l.Stored)
			}
			p.why(l.Why)
		}
	}
}

func (p *printer) triggers(s checklist.Sheet) {
	if len(s.Triggers) == 0 {
		return
	}
	p.heading("If…")
	for _, t := range s.Triggers {
		p.line("  %s", t.Trigger.Title)
		p.line("      seen: %s", t.Trigger.Seen)
		p.line("      say: %s", t.Trigger.Say)
		p.roleLines("surgeon", t.Trigger.Surgeon)
		p.roleLines("scrub nurse", t.Trigger.Scrub)
		p.roleLines("circulating nurse", t.Trigger.Circulating)
		p.roleLines("anaesthesia", t.Trigger.Anaesthesia)
		for _, o := range t.Opens {
			state := string(o.State)
			if state == "" {
				state = "not on this sheet"
			}
			p.line("      open: %s (%s)", o.Name, state)
		}
		p.why(t.Why)
	}
}

func (p *printer) roleLines(role string, lines []string) {
	for _, l := range lines {
		p.line("      %s: %s", role, l)
	}
}
