package cards

import (
	"strings"
	"unicode/utf8"
)

// Titles of the sections, in the order they are written.
const (
	sectionSurgeon  = "Surgeon"
	sectionMachine  = "Machine"
	sectionItems    = "Items"
	sectionDrugs    = "Drugs"
	sectionPhases   = "Phases"
	sectionSteps    = "Steps"
	sectionTriggers = "Triggers"
	sectionVariants = "Variants"
	sectionFit      = "Fit"
	sectionNotes    = "Notes"
)

var sectionTitles = []string{sectionSurgeon, sectionMachine, sectionItems, sectionDrugs, sectionPhases,
	sectionSteps, sectionTriggers, sectionVariants, sectionFit, sectionNotes}

// KnownSection reports whether a section title is one of the form's own. A kept section (Card.Extra) cannot have such a title.
func KnownSection(title string) bool {
	for _, t := range sectionTitles {
		if strings.EqualFold(t, title) {
			return true
		}
	}
	return false
}

// limitsHeading begins the heading of the limits a variant brings for a phase.
const limitsHeading = "Limits of "

// Format writes the card as Markdown, always the same way: equal cards give
// equal bytes. Parse gives the card back if its texts are storable (see
// StorableText), its keys valid, its choices and conditions known, no line of
// a list is empty, no kept section has the title of another or of a section
// of the form, and the whole is within the size of a file (1 MiB, 10,000
// lines). Lists without elements come back as nil.
func Format(c Card) []byte {
	w := &markdownWriter{}
	w.heading(1, c.Title)
	w.list(headerFieldsOf(&c))
	w.listSection(sectionSurgeon, basicsFields(&c.Basics))
	w.listSection(sectionMachine, machineFields(&c.Machine))
	tableSection(w, 2, sectionItems, c.Items, itemFields)
	tableSection(w, 2, sectionDrugs, c.Drugs, drugFields)
	parts(w, sectionPhases, c.Phases, func(p *Phase) {
		w.heading(3, p.Name)
		w.list(phaseFields(p))
		w.limits(&p.Limits)
	})
	parts(w, sectionSteps, c.Steps, func(s *Step) {
		w.heading(3, s.Title)
		w.list(stepFields(s))
	})
	parts(w, sectionTriggers, c.Triggers, func(t *Trigger) {
		w.heading(3, t.Title)
		w.list(triggerFields(t))
	})
	parts(w, sectionVariants, c.Variants, w.variant)
	tableSection(w, 2, sectionFit, c.Fit, fitFields)
	if c.Notes != "" {
		w.section(sectionNotes, c.Notes)
	}
	for _, s := range c.Extra {
		w.section(s.Title, s.Body)
	}
	return []byte(w.String())
}

type markdownWriter struct{ strings.Builder }

func (w *markdownWriter) line(s string) {
	w.WriteString(s)
	w.WriteByte('\n')
}

// heading is preceded by a blank line, except at the beginning of the file.
func (w *markdownWriter) heading(level int, title string) {
	if w.Len() > 0 {
		w.line("")
	}
	w.line(strings.TrimSpace(strings.Repeat("#", level) + " " + escapeText(title, false)))
}

func (w *markdownWriter) section(title, body string) {
	w.heading(2, title)
	if body != "" {
		w.line("")
		w.line(body)
	}
}

func (w *markdownWriter) listSection(title string, fields []field) {
	for _, f := range fields {
		if len(f.write()) > 0 {
			w.heading(2, title)
			w.list(fields)
			return
		}
	}
}

// list writes the fields that say something; several values stand in a list below their label.
func (w *markdownWriter) list(fields []field) {
	first := true
	for _, f := range fields {
		values := f.write()
		if len(values) == 0 {
			continue
		}
		if first {
			w.line("")
			first = false
		}
		if !f.many {
			w.line("- " + f.label + ": " + escapeText(values[0], false))
			continue
		}
		w.line("- " + f.label + ":")
		for _, v := range values {
			w.line("  - " + escapeText(v, true))
		}
	}
}

func parts[T any](w *markdownWriter, title string, elements []T, write func(*T)) {
	if len(elements) == 0 {
		return
	}
	w.heading(2, title)
	for i := range elements {
		write(&elements[i])
	}
}

func (w *markdownWriter) variant(v *Variant) {
	w.heading(3, v.Title)
	w.list(variantFields(v))
	for i := range v.Phases {
		w.heading(4, limitsHeading+string(v.Phases[i].Phase))
		w.limits(&v.Phases[i].Limits)
	}
	tableSection(w, 4, sectionItems, v.Items, itemFields)
}

func (w *markdownWriter) limits(l *Limits) {
	rows := [][]string{limitColumns}
	for _, r := range limitRows(l) {
		if cells := r.cells(); cells != nil {
			rows = append(rows, cells)
		}
	}
	if len(rows) > 1 {
		w.table(rows)
	}
}

// tableSection writes one row an element. Columns that no row fills are left out.
func tableSection[T any](w *markdownWriter, level int, title string, elements []T, fieldsOf func(*T) []field) {
	if len(elements) == 0 {
		return
	}
	w.heading(level, title)
	var blank T
	columns := fieldsOf(&blank)
	used := make([]bool, len(columns))
	all := make([][]string, len(elements))
	for i := range elements {
		all[i] = make([]string, len(columns))
		for j, f := range fieldsOf(&elements[i]) {
			all[i][j] = strings.Join(f.write(), " ")
			used[j] = used[j] || columns[j].always || all[i][j] != ""
		}
	}
	header := make([]string, len(columns))
	for j, f := range columns {
		header[j] = f.label
	}
	rows := [][]string{onlyUsed(header, used)}
	for _, row := range all {
		rows = append(rows, onlyUsed(row, used))
	}
	w.table(rows)
}

func onlyUsed(row []string, used []bool) []string {
	var kept []string
	for j, cell := range row {
		if used[j] {
			kept = append(kept, cell)
		}
	}
	return kept
}

// columnWidthLimit bounds the padding: a long note must not push the columns after it off the paper.
const columnWidthLimit = 36

// table writes rows, the first of which is the header, with the columns lined up.
func (w *markdownWriter) table(rows [][]string) {
	width := make([]int, len(rows[0]))
	escaped := make([][]string, len(rows))
	for i, row := range rows {
		for j, cell := range row {
			cell = escapeText(cell, false)
			escaped[i] = append(escaped[i], cell)
			width[j] = max(width[j], 3, min(utf8.RuneCountInString(cell), columnWidthLimit))
		}
	}
	w.line("")
	for i, row := range escaped {
		w.row(row, width, " ")
		if i == 0 {
			w.row(make([]string, len(row)), width, "-")
		}
	}
}

func (w *markdownWriter) row(cells []string, width []int, pad string) {
	for j, cell := range cells {
		w.WriteString("| " + cell + strings.Repeat(pad, max(0, width[j]-utf8.RuneCountInString(cell))) + " ")
	}
	w.line("|")
}
