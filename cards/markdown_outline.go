package cards

import (
	"bytes"
	"sort"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// blockParsers are those of CommonMark without HTML: HTML means nothing in a
// card, and a comment left open must not hide what follows.
func blockParsers() []util.PrioritizedValue {
	return []util.PrioritizedValue{
		util.Prioritized(parser.NewSetextHeadingParser(), 100),
		util.Prioritized(parser.NewThematicBreakParser(), 200),
		util.Prioritized(parser.NewListParser(), 300),
		util.Prioritized(parser.NewListItemParser(), 400),
		util.Prioritized(parser.NewCodeBlockParser(), 500),
		util.Prioritized(parser.NewATXHeadingParser(), 600),
		util.Prioritized(parser.NewFencedCodeBlockParser(), 700),
		util.Prioritized(parser.NewBlockquoteParser(), 800),
		util.Prioritized(parser.NewParagraphParser(), 1000),
	}
}

func paragraphTransformers() []util.PrioritizedValue {
	return []util.PrioritizedValue{
		util.Prioritized(parser.LinkReferenceParagraphTransformer, 100),
		util.Prioritized(extension.NewTableParagraphTransformer(), 200),
	}
}

// blockParser serves every call, like notesParser.
var blockParser = parser.NewParser(
	parser.WithBlockParsers(blockParsers()...),
	parser.WithParagraphTransformers(paragraphTransformers()...),
)

// parseBlockTree parses the blocks of a card. Inline marks are left alone: the texts of a card are plain (see plainText).
func parseBlockTree(source []byte) ast.Node {
	return blockParser.Parse(text.NewReader(source))
}

// outline is a file cut at its headings.
type outline struct {
	source   []byte
	starts   []int // of the lines
	titles   []*part
	before   part // what stands under the title, before the first section
	sections []*part
}

// part is a heading with what stands under it.
type part struct {
	title  string // source of the heading
	level  int
	line   int
	blocks []ast.Node
	parts  []*part // headings one level deeper
	// body is the source between this heading and the next one of level 1 or 2.
	body string
}

func newOutline(source []byte) *outline {
	o := &outline{source: source, starts: lineStarts(source)}
	current, bodyStart := &o.before, 0
	open := []*part{current} // the path of headings above the next block
	for n := parseBlockTree(source).FirstChild(); n != nil; n = n.NextSibling() {
		h, ok := n.(*ast.Heading)
		if !ok || !o.opens(h, open) {
			last := open[len(open)-1]
			last.blocks = append(last.blocks, n)
			continue
		}
		p := &part{title: o.text(h), level: h.Level, line: o.lineOf(h)}
		if h.Level <= 2 {
			current.body = string(source[bodyStart:o.starts[p.line-1]])
			current, bodyStart = p, o.endOf(h)
		}
		open = o.place(p, open)
	}
	current.body = string(source[bodyStart:])
	return o
}

// opens reports whether the heading opens a part: levels 3 and 4 only directly under the level above.
func (o *outline) opens(h *ast.Heading, open []*part) bool {
	if h.Level <= 2 {
		return true
	}
	for _, p := range open {
		if p.level == h.Level-1 && h.Level <= 4 && p != &o.before {
			return true
		}
	}
	return false
}

func (o *outline) place(p *part, open []*part) []*part {
	switch p.level {
	case 1:
		o.titles = append(o.titles, p)
		if len(o.titles) == 1 {
			return []*part{&o.before}
		}
		return []*part{p}
	case 2:
		o.sections = append(o.sections, p)
		return []*part{p}
	}
	for open[len(open)-1].level >= p.level {
		open = open[:len(open)-1]
	}
	above := open[len(open)-1]
	above.parts = append(above.parts, p)
	return append(open, p)
}

func lineStarts(source []byte) []int {
	starts := []int{0}
	for i, c := range source {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}

// line returns the number, from 1, of the line that holds the byte at pos.
func (o *outline) line(pos int) int {
	return sort.Search(len(o.starts), func(i int) bool { return o.starts[i] > pos })
}

// lineOf returns the line a block begins on.
func (o *outline) lineOf(n ast.Node) int {
	if pos := n.Pos(); pos >= 0 {
		return o.line(pos)
	}
	if n.FirstChild() != nil {
		return o.lineOf(n.FirstChild())
	}
	if n.Parent() != nil && n.Parent().Pos() >= 0 {
		return o.line(n.Parent().Pos())
	}
	return 1
}

// text returns the source of a block of text, its lines joined by a space.
func (o *outline) text(n ast.Node) string {
	segments := n.Lines()
	lines := make([]string, 0, segments.Len())
	for i := range segments.Len() {
		at := segments.At(i)
		lines = append(lines, strings.TrimSpace(string(at.Value(o.source))))
	}
	return strings.Join(lines, " ")
}

// endOf returns where the line after a heading begins. A heading underlined with = or - has its marks on a line of its own.
func (o *outline) endOf(h *ast.Heading) int {
	line := o.lineOf(h)
	if !o.hashed(h) {
		line = o.line(h.Lines().At(h.Lines().Len()-1).Start) + 1
	}
	if line >= len(o.starts) {
		return len(o.source)
	}
	return o.starts[line]
}

func (o *outline) hashed(h *ast.Heading) bool {
	rest, ok := bytes.CutPrefix(o.source[h.Pos():], bytes.Repeat([]byte("#"), h.Level))
	return ok && (len(rest) == 0 || bytes.IndexByte([]byte(" \t\n"), rest[0]) >= 0)
}

// bodyHeadings says what is wrong with the headings of a body that is followed by a probe heading at the given place, or "".
func bodyHeadings(source string, probe int) string {
	reason, found := "", false
	_ = ast.Walk(parseBlockTree([]byte(source)), func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		h, ok := n.(*ast.Heading)
		if !ok || !entering || h.Level > 2 {
			return ast.WalkContinue, nil
		}
		if h.Pos() == probe && h.Parent().Kind() == ast.KindDocument {
			found = true
		} else {
			reason = "holds a heading above level 3; write ### or deeper"
		}
		return ast.WalkContinue, nil
	})
	if reason == "" && !found {
		return "leaves a code block open; close it with the marks it began with"
	}
	return reason
}
