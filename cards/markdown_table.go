package cards

import (
	"bytes"
	"strconv"
	"strings"

	"github.com/yuin/goldmark/ast"
	east "github.com/yuin/goldmark/extension/ast"
)

// entry is a label with the sources of its values: a line of a list or a cell of a table.
type entry struct {
	label  string
	line   int
	values []source
}

type source struct {
	text string
	line int
}

// fill reads the entries into the fields. The key is read first, so that
// base, which makes the path of the element, can use it.
func (r *markdownReader) fill(fields []field, entries []entry, base func() string) {
	seen := map[string]bool{}
	for _, keys := range []bool{true, false} {
		for _, e := range entries {
			f, ok := fieldOf(fields, e.label)
			if (ok && f.path == "key") != keys {
				continue
			}
			if !ok {
				r.report(e.line, "label", base(), quote(e.label)+" is not known here. "+didYouMean(e.label, labelsOf(fields)))
				continue
			}
			if seen[f.label] {
				r.report(e.line, "twice", join(base(), f.path), quote(f.label)+" stands twice. Leave one.")
				continue
			}
			seen[f.label] = true
			r.values(f, e, base)
		}
	}
}

func (r *markdownReader) values(f field, e entry, base func() string) {
	for n, v := range e.values {
		text := plainText(v.text)
		if n > 0 && !f.many {
			r.report(v.line, "twice", join(base(), f.path), quote(f.label)+" takes one value. Write it on the line of the label.")
			return
		}
		if text == "" {
			r.report(v.line, "empty", join(base(), f.path), "An empty line under "+quote(f.label)+". Write the text or take the line away.")
			continue
		}
		wrong := f.read(text)
		path := join(base(), f.path)
		if n == 0 {
			r.lines[path] = v.line
		}
		if wrong != nil {
			r.report(v.line, wrong.code, path, f.label+": "+wrong.text)
		}
		r.storable(v.line, path, f.label, text, false)
	}
}

func join(base, path string) string {
	if base == "" {
		return path
	}
	return base + "/" + path
}

func fieldOf(fields []field, label string) (field, bool) {
	for _, f := range fields {
		if strings.EqualFold(f.label, label) {
			return f, true
		}
	}
	return field{}, false
}

func labelsOf(fields []field) []string {
	labels := make([]string, len(fields))
	for i, f := range fields {
		labels[i] = f.label
	}
	return labels
}

// list reads blocks that must be lists of labelled values.
func (r *markdownReader) list(blocks []ast.Node, fields []field, base func() string) {
	var entries []entry
	for _, b := range blocks {
		if b.Kind() != ast.KindList {
			r.unexpected(b, "this place; it is a list of lines like “- Label: value”")
			continue
		}
		for item := b.FirstChild(); item != nil; item = item.NextSibling() {
			if e, ok := r.entry(item); ok {
				entries = append(entries, e)
			}
		}
	}
	r.fill(fields, entries, base)
}

// entry reads "Label: value" and the list below it, if there is one.
func (r *markdownReader) entry(item ast.Node) (entry, bool) {
	first := item.FirstChild()
	line := r.lineOf(item)
	if first == nil || !isText(first) {
		r.report(line, "label", "", "This line of the list has no label. Write it like “- Label: value”.")
		return entry{}, false
	}
	label, value, ok := strings.Cut(r.text(first), ":")
	if !ok {
		r.report(line, "label", "", "No colon after the label in "+quote(plainText(label))+". Write it like “- Label: value”.")
		return entry{}, false
	}
	e := entry{label: plainText(label), line: line}
	if strings.TrimSpace(value) != "" {
		e.values = append(e.values, source{value, line})
	}
	for b := first.NextSibling(); b != nil; b = b.NextSibling() {
		if b.Kind() != ast.KindList {
			r.unexpected(b, "a list of labels and values")
			continue
		}
		for below := b.FirstChild(); below != nil; below = below.NextSibling() {
			e.values = append(e.values, r.below(below))
		}
	}
	return e, true
}

// below reads one line of a list below a label.
func (r *markdownReader) below(item ast.Node) source {
	first := item.FirstChild()
	v := source{line: r.lineOf(item)}
	if first == nil {
		return v
	}
	for b := first; b != nil; b = b.NextSibling() {
		if b != first || !isText(b) {
			r.unexpected(b, "a line of a list; write plain words on one line")
		}
	}
	if isText(first) {
		v.text = r.text(first)
	}
	return v
}

func isText(n ast.Node) bool {
	return n.Kind() == ast.KindParagraph || n.Kind() == ast.KindTextBlock
}

// readTable reads a part that holds tables with one element a row. named
// completes the key of an element; nil when the elements have none.
func readTable[T any](r *markdownReader, s *part, list string, to *[]T, fieldsOf func(*T) []field, named func(*T) (*Key, string)) {
	r.noParts(s, "Only tables belong here")
	var blank T
	labels := labelsOf(fieldsOf(&blank))
	for _, b := range s.blocks {
		if b.Kind() != east.KindTable {
			r.unexpected(b, "this place; it holds a table with the columns "+strings.Join(labels, ", "))
			continue
		}
		columns := r.columns(b, labels, list)
		for row := b.FirstChild().NextSibling(); row != nil; row = row.NextSibling() {
			var element T
			readRow(r, row, columns, list, len(*to)+1, &element, fieldsOf, named)
			*to = append(*to, element)
		}
	}
}

func readRow[T any](r *markdownReader, row ast.Node, columns []string, list string, n int, element *T, fieldsOf func(*T) []field, named func(*T) (*Key, string)) {
	line := r.lineOf(row)
	var entries []entry
	for i, cell := range r.cells(row, list) {
		if i < len(columns) && columns[i] != "" && strings.TrimSpace(cell) != "" {
			entries = append(entries, entry{label: columns[i], line: line, values: []source{{cell, line}}})
		}
	}
	base := func() string {
		if named == nil {
			return list + "/" + strconv.Itoa(n)
		}
		key, name := named(element)
		return list + "/" + string(keyOr(*key, name))
	}
	r.fill(fieldsOf(element), entries, base)
	r.lines[base()] = line
	if named == nil {
		return
	}
	key, name := named(element)
	*key = keyOr(*key, name)
	if name == "" {
		r.report(line, "empty", base(), "This row has no name. Write it in the first column, or take the row away.")
	}
	r.needKey(line, base(), *key, name)
}

// columns returns the known label of each column, "" for one that is not known or stands twice.
func (r *markdownReader) columns(table ast.Node, known []string, path string) []string {
	header := table.FirstChild()
	line := r.lineOf(header)
	var labels []string
	for _, cell := range r.cells(header, path) {
		label := ""
		for _, k := range known {
			if strings.EqualFold(k, plainText(cell)) {
				label = k
			}
		}
		switch {
		case label == "":
			r.report(line, "label", path, "The column "+quote(plainText(cell))+" is not known. "+didYouMean(plainText(cell), known))
		case contains(labels, label):
			r.report(line, "twice", path, "The column "+quote(label)+" stands twice. Leave one.")
			label = ""
		}
		labels = append(labels, label)
	}
	return labels
}

// cells returns the sources of a row's cells. Cells beyond the last column,
// which a Markdown reader drops, are reported: most often a | was meant as a letter.
func (r *markdownReader) cells(row ast.Node, path string) []string {
	var cells []string
	end := -1
	for c := row.FirstChild(); c != nil; c = c.NextSibling() {
		text := ""
		if lines := c.Lines(); lines.Len() > 0 {
			at := lines.At(0)
			text, end = string(at.Value(r.source)), at.Stop
		}
		cells = append(cells, text)
	}
	if end < 0 {
		return cells
	}
	rest, _, _ := bytes.Cut(r.source[end:], []byte("\n"))
	if rest = bytes.TrimSpace(rest); len(rest) > 0 && string(rest) != "|" {
		r.report(r.lineOf(row), "table", path, "This row has more cells than the table has columns. Write \\| for a | that is part of a text.")
	}
	return cells
}

// limits reads tables of limits.
func (r *markdownReader) limits(tables []ast.Node, path string, to *Limits) {
	rows := limitRows(to)
	seen := map[string]bool{}
	for _, table := range tables {
		columns := r.columns(table, limitColumns, path)
		for row := table.FirstChild().NextSibling(); row != nil; row = row.NextSibling() {
			r.limit(row, columns, rows, seen, path)
		}
	}
}

func (r *markdownReader) limit(row ast.Node, columns []string, rows []limitRow, seen map[string]bool, path string) {
	line := r.lineOf(row)
	cells := make([]string, len(limitColumns))
	for i, cell := range r.cells(row, path) {
		for j, label := range limitColumns {
			if i < len(columns) && columns[i] == label {
				cells[j] = plainText(cell)
			}
		}
	}
	label := cells[columnLimit]
	for _, l := range rows {
		if !strings.EqualFold(l.label, label) {
			continue
		}
		at := path + "/" + l.path
		if seen[l.label] {
			r.report(line, "twice", at, quote(l.label)+" stands twice. Leave one.")
			return
		}
		seen[l.label] = true
		r.lines[at] = line
		for _, wrong := range l.readCells(cells) {
			r.report(line, wrong.code, at, l.label+": "+wrong.text)
		}
		return
	}
	known := make([]string, len(rows))
	for i, l := range rows {
		known[i] = l.label
	}
	r.report(line, "label", path, "The limit "+quote(label)+" is not known. "+didYouMean(label, known))
}
