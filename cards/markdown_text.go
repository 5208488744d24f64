package cards

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark/util"
)

// Bounds of the Markdown form. They are far above any real card and keep a
// hostile file from costing the reader more than a moment: block parsing grows
// with the square of the nesting and with rows times columns.
const (
	markdownLimit      = 1 << 20 // bytes of a file
	markdownLineLimit  = 10_000  // lines of a file
	markdownDepthLimit = 24      // quotes and lists inside each other, on one line
	markdownIndent     = 100     // columns before the first letter of a line
	markdownPipeLimit  = 40      // column marks on one line
	lineLimit          = 2_000   // bytes of a one-line text
	bodyLimit          = 16_384  // bytes of the notes or of a kept section
)

// StorableText says why s cannot be kept in a card as it is, or "" when it
// can. Every text of a card obeys it, so that the Markdown form gives back
// exactly what was put in.
//
// A one-line text (multiline false) is valid UTF-8 without control characters,
// line separators or marks that turn the direction of text, has no white space
// at either end, and is at most 2,000 bytes long. It may be empty.
//
// The notes and the body of a kept section (multiline true) may also hold line
// feeds and tabs. They are Markdown: no blank line at either end, no heading
// above level 3, every code block closed, at most 16,384 bytes.
func StorableText(s string, multiline bool) string {
	limit := lineLimit
	if multiline {
		limit = bodyLimit
	}
	if len(s) > limit {
		return fmt.Sprintf("is longer than %d bytes; shorten it", limit)
	}
	if !utf8.ValidString(s) {
		return "is not valid UTF-8; save the text as UTF-8"
	}
	for _, r := range s {
		if reason := unstorableRune(r, multiline); reason != "" {
			return reason
		}
	}
	if multiline {
		return unstorableBody(s)
	}
	if strings.TrimSpace(s) != s {
		return "begins or ends with white space; take it away"
	}
	return ""
}

func unstorableRune(r rune, multiline bool) string {
	switch {
	case multiline && (r == '\n' || r == '\t'):
		return ""
	case r == '\n' || r == '\r' || r == '\u2028' || r == '\u2029':
		return "holds a line break; write it on one line"
	case unicode.IsControl(r):
		return fmt.Sprintf("holds the control character %U; take it away", r)
	case r >= '\u202a' && r <= '\u202e', r >= '\u2066' && r <= '\u2069':
		// Such a mark can make 50 read as 05.
		return fmt.Sprintf("holds the invisible mark %U, which turns the direction of text; take it away", r)
	}
	return ""
}

// unstorableBody checks what only a body can get wrong. The probe is a heading
// placed after the body: if the body swallows it, it would swallow the next section of a file too.
func unstorableBody(s string) string {
	if trimBlankLines(s) != s {
		return "begins or ends with a blank line; take it away"
	}
	if line, reason := tooHard(s); reason != "" {
		return fmt.Sprintf("line %d %s", line, reason)
	}
	probe := len(s) + len("\n\n")
	return bodyHeadings(s+"\n\n## .\n", probe)
}

// trimBlankLines takes away the empty lines, and those of spaces and tabs only, at both ends.
func trimBlankLines(s string) string {
	for {
		line, rest, more := strings.Cut(s, "\n")
		if strings.Trim(line, " \t") != "" || (!more && line == "") {
			break
		}
		s = rest
	}
	for {
		i := strings.LastIndexByte(s, '\n')
		if i < 0 || strings.Trim(s[i+1:], " \t") != "" {
			return s
		}
		s = s[:i]
	}
}

// tooHard finds the first line that would make parsing slow, and why.
func tooHard(s string) (line int, reason string) {
	for text := range strings.Lines(s) {
		line++
		switch {
		case line > markdownLineLimit:
			return line, fmt.Sprintf("is one too many; keep to %d lines", markdownLineLimit)
		case strings.Count(text, "|")-strings.Count(text, `\|`) > markdownPipeLimit:
			return line, fmt.Sprintf("holds more than %d column marks (|); use a narrower table", markdownPipeLimit)
		}
		depth, indent := nesting(text)
		switch {
		case depth > markdownDepthLimit:
			return line, fmt.Sprintf("is nested too deeply; use at most %d lists or quotes inside each other", markdownDepthLimit)
		case indent > markdownIndent:
			return line, fmt.Sprintf("begins with more than %d columns of white space; take some away", markdownIndent)
		}
	}
	return 0, ""
}

// nesting counts the quote and list marks a line begins with, and the columns of white space before and between them.
func nesting(line string) (depth, indent int) {
	for line != "" {
		switch n := blockMark(line); {
		case n > 0:
			depth++
			line = line[n:]
		case line[0] == ' ':
			indent++
			line = line[1:]
		case line[0] == '\t':
			indent += 4
			line = line[1:]
		default:
			return depth, indent
		}
	}
	return depth, indent
}

// blockMark returns the length of the quote or list mark the line begins with, 0 when it begins with none.
func blockMark(line string) int {
	if line[0] == '>' {
		return 1
	}
	n := len(line) - len(strings.TrimLeft(line, "0123456789"))
	marks := ".)"
	if n == 0 {
		marks = "-+*"
	}
	if n == len(line) || strings.IndexByte(marks, line[n]) < 0 {
		return 0
	}
	if n+1 < len(line) && strings.IndexByte(" \t\n", line[n+1]) < 0 {
		return 0
	}
	return n + 1
}

// escapeText writes a one-line text so that every Markdown reader shows it as
// it is. Where the text begins a block (a line of a nested list) the marks
// that would open another block are escaped too.
func escapeText(s string, beginsBlock bool) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if mustEscape(s, i) || (beginsBlock && opensBlock(s, i)) {
			b.WriteByte('\\')
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

func mustEscape(s string, i int) bool {
	switch s[i] {
	case '\\', '*', '_', '`', '[', '<', '|', '~':
		return true
	case '&': // of "&amp;" and "&#38;", not of "A & B"
		return i+1 < len(s) && (s[i+1] == '#' || isLetter(s[i+1]))
	case '#': // a heading may end in marks that are not part of it
		return i == 0 || s[i-1] == ' '
	}
	return false
}

func opensBlock(s string, i int) bool {
	endsMark := i+1 == len(s) || s[i+1] == ' '
	switch s[i] {
	case '>':
		return i == 0
	case '-':
		return i == 0 && (endsMark || s[1] == '-')
	case '+':
		return i == 0 && endsMark
	case '.', ')':
		return i > 0 && onlyDigits(s[:i]) && endsMark
	}
	return false
}

func isLetter(c byte) bool { return (c|0x20) >= 'a' && (c|0x20) <= 'z' }

// plainText reads the source of a one-line text: backslash escapes and
// character references are resolved, every other mark stands for itself. A
// nurse who writes 2*3*4 therefore gets 2*3*4 and never 234.
func plainText(source string) string {
	source = strings.TrimSpace(strings.ReplaceAll(source, "\t", " "))
	var b strings.Builder
	for i := 0; i < len(source); {
		text, n := plainRune(source[i:])
		b.WriteString(text)
		i += n
	}
	return b.String()
}

// referenceLimit is longer than any named character reference.
const referenceLimit = 40

func plainRune(s string) (text string, n int) {
	switch {
	case s[0] == '\\' && len(s) > 1 && util.IsPunct(s[1]):
		return s[1:2], 2
	case s[0] == '&':
		end := strings.IndexByte(s[:min(len(s), referenceLimit)], ';')
		if end < 2 || !isReferenceName(s[1:end]) {
			break
		}
		reference := []byte(s[:end+1])
		resolved := util.ResolveEntityNames(reference)
		if reference[1] == '#' {
			resolved = util.ResolveNumericReferences(reference)
		}
		if string(resolved) != s[:end+1] {
			return string(resolved), end + 1
		}
	}
	return s[:1], 1
}

func isReferenceName(s string) bool {
	for i := 0; i < len(s); i++ {
		if !isLetter(s[i]) && (s[i] < '0' || s[i] > '9') && (i > 0 || s[i] != '#') {
			return false
		}
	}
	return true
}
