package cards

import (
	"bytes"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/renderer/html"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// RenderNotes renders Markdown notes as HTML that is safe to insert into a page.
//
// HTML in the notes is shown as the text it is, so that "vacuum <400 and
// flow> 30" loses nothing. Links are kept when they begin with http://,
// https:// or mailto: and become their text otherwise; images become their
// alternative text. No element has an id or a style. Headings of level 1 and 2
// are lowered to 3, below those of the page. Text that cannot be stored for
// its size or nesting (see StorableText) is shown unformatted.
func RenderNotes(md string) string {
	md = strings.ToValidUTF8(normaliseLines(md), "\uFFFD")
	if _, reason := tooHard(md); reason != "" || len(md) > bodyLimit {
		return "<pre>" + string(util.EscapeHTML([]byte(md))) + "</pre>\n"
	}
	source := []byte(md)
	doc := notesParser.Parse(text.NewReader(source))
	makeSafe(doc, source)
	var b bytes.Buffer
	if err := notesRenderer.Render(&b, source, doc); err != nil {
		return "<pre>" + string(util.EscapeHTML([]byte(md))) + "</pre>\n"
	}
	return b.String()
}

// notesParser has no parser for HTML, so "<" is a letter like any other. One
// serves every call: what belongs to one text stands in the parse's own
// context, so it may be used from several places at once.
var notesParser = parser.NewParser(
	parser.WithBlockParsers(blockParsers()...),
	parser.WithParagraphTransformers(paragraphTransformers()...),
	parser.WithInlineParsers(
		util.Prioritized(parser.NewCodeSpanParser(), 100),
		util.Prioritized(parser.NewLinkParser(), 200),
		util.Prioritized(parser.NewAutoLinkParser(), 300),
		util.Prioritized(parser.NewEmphasisParser(), 500),
		util.Prioritized(extension.NewStrikethroughParser(), 600),
	),
	parser.WithASTTransformers(util.Prioritized(extension.NewTableASTTransformer(), 0)),
)

// notesRenderer is shared like notesParser: after its first use it is only read.
var notesRenderer = renderer.NewRenderer(renderer.WithNodeRenderers(
	util.Prioritized(html.NewRenderer(), 1000),
	// Alignment as an attribute: a content security policy refuses style attributes.
	util.Prioritized(extension.NewTableHTMLRenderer(extension.WithTableCellAlignMethod(extension.TableCellAlignAttribute)), 500),
	util.Prioritized(extension.NewStrikethroughHTMLRenderer(), 500),
))

// makeSafe rewrites the tree. Nodes are collected first because a walk must not change what it walks.
func makeSafe(doc ast.Node, source []byte) {
	var nodes []ast.Node
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			nodes = append(nodes, n)
		}
		return ast.WalkContinue, nil
	})
	for _, n := range nodes {
		switch n := n.(type) {
		case *ast.Heading:
			n.Level = max(n.Level, 3)
		case *ast.Image:
			keepTexts(n, source)
		case *ast.Link:
			if allowedLink(util.URLEscape(n.Destination, true)) {
				keepLink(n)
			} else {
				unwrap(n)
			}
		case *ast.AutoLink:
			if n.AutoLinkType == ast.AutoLinkEmail || allowedLink(util.URLEscape(n.URL(source), false)) {
				keepLink(n)
			} else {
				n.Parent().ReplaceChild(n.Parent(), n, rawString(n.Label(source)))
			}
		}
	}
}

// keepLink makes a link open beside the page, so that it never takes a sheet off the screen.
func keepLink(n ast.Node) {
	n.SetAttributeString("rel", []byte("noopener noreferrer nofollow"))
	n.SetAttributeString("target", []byte("_blank"))
}

// allowedLink judges the address in the form in which it is written into the
// page, after escapes and character references are resolved, and allows only
// what begins in one of three ways. Everything else, known or not, is refused.
func allowedLink(address []byte) bool {
	s := strings.ToLower(string(address))
	for _, scheme := range [...]string{"https://", "http://", "mailto:"} {
		if rest, ok := strings.CutPrefix(s, scheme); ok {
			return rest != "" && strings.IndexByte(`/\?#`, rest[0]) < 0
		}
	}
	return false
}

// unwrap puts the children of a node in its place.
func unwrap(n ast.Node) {
	parent := n.Parent()
	for c := n.FirstChild(); c != nil; c = n.FirstChild() {
		parent.InsertBefore(parent, n, c)
	}
	parent.RemoveChild(parent, n)
}

// keepTexts puts the texts inside a node, without their marks, in its place.
func keepTexts(n ast.Node, source []byte) {
	var texts []ast.Node
	_ = ast.Walk(n, func(c ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch c := c.(type) {
		case *ast.Text, *ast.String:
			texts = append(texts, c)
		case *ast.AutoLink:
			texts = append(texts, rawString(c.Label(source)))
		}
		return ast.WalkContinue, nil
	})
	parent := n.Parent()
	for _, t := range texts {
		parent.InsertBefore(parent, n, t)
	}
	parent.RemoveChild(parent, n)
}

func rawString(b []byte) *ast.String {
	s := ast.NewString(b)
	s.SetRaw(true)
	return s
}

// normaliseLines makes every line end in a line feed.
func normaliseLines(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
}
