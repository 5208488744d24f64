package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/text"
)

// guidePage is one page of the user guide as the client shows it.
type guidePage struct {
	Title string `json:"title"`
	HTML  string `json:"html"`
}

const guideIndex = "README.md"

// guideTS returns generated/guide.ts, or the same of another language: the user guide rendered here, so that
// the browser gets HTML that is known to be safe and needs no Markdown parser.
// The index has the name "".
func guideTS(folder string) ([]byte, error) {
	paths, err := filepath.Glob(filepath.Join(folder, "*.md"))
	if err != nil {
		return nil, fmt.Errorf("list the guide: %w", err)
	}
	sources := map[string][]byte{}
	for _, path := range paths {
		if sources[filepath.Base(path)], err = os.ReadFile(path); err != nil {
			return nil, fmt.Errorf("read the guide: %w", err)
		}
	}
	if sources[guideIndex] == nil {
		return nil, fmt.Errorf("the guide in %s has no %s", folder, guideIndex)
	}
	pages := map[string]guidePage{}
	for name, source := range sources {
		page, err := renderGuide(source, sources)
		if err != nil {
			return nil, fmt.Errorf("the guide's %s: %w", name, err)
		}
		pages[guideID(name)] = page
	}
	b, err := json.MarshalIndent(pages, "", " ")
	if err != nil {
		return nil, fmt.Errorf("write the guide: %w", err)
	}
	return fmt.Appendf(nil, "// Written by web/build from the guide. Do not edit.\n\nexport const guide: Record<string, { title: string; html: string }> = %s;\n", b), nil
}

// guideID is the page's name in its address: /help/ID, or /help for the index.
func guideID(name string) string {
	if name == guideIndex {
		return ""
	}
	return strings.TrimSuffix(name, ".md")
}

// renderGuide renders one page. Its first heading becomes the title of the
// screen. Raw HTML and pictures are refused, and so is a link that leads
// neither to a page of the guide nor to a screen.
func renderGuide(source []byte, pages map[string][]byte) (guidePage, error) {
	root := goldmark.DefaultParser().Parse(text.NewReader(source))
	title, ok := root.FirstChild().(*ast.Heading)
	if !ok || title.Level != 1 {
		return guidePage{}, errors.New("a page begins with its title: # Title")
	}
	root.RemoveChild(root, title)
	err := ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		return ast.WalkContinue, checkGuide(n, pages)
	})
	if err != nil {
		return guidePage{}, err
	}
	var out bytes.Buffer
	if err := goldmark.DefaultRenderer().Render(&out, source, root); err != nil {
		return guidePage{}, err
	}
	return guidePage{Title: plainText(title, source), HTML: out.String()}, nil
}

// checkGuide refuses what a page must not hold and turns links between pages into addresses of screens.
func checkGuide(n ast.Node, pages map[string][]byte) error {
	switch n := n.(type) {
	case *ast.HTMLBlock, *ast.RawHTML:
		return errors.New("raw HTML is not allowed: write Markdown")
	case *ast.Image:
		return errors.New("pictures are not shown: say it in words")
	case *ast.AutoLink:
		return errors.New("an address elsewhere needs a network: say it in words")
	case *ast.Heading:
		if n.Level == 1 {
			return errors.New("a page has one title: use ## below it")
		}
	case *ast.Link:
		address, err := guideAddress(string(n.Destination), pages)
		if err != nil {
			return err
		}
		n.Destination = []byte(address)
	}
	return nil
}

// guideAddress is where a link of the guide leads in the client: a page of the guide, or a screen by its path.
func guideAddress(to string, pages map[string][]byte) (string, error) {
	switch {
	case pages[to] != nil:
		return strings.TrimSuffix("/help/"+guideID(to), "/"), nil
	case strings.HasSuffix(to, ".md"):
		return "", fmt.Errorf("a link leads to %q, which is not in the guide", to)
	case strings.HasPrefix(to, "/") && !strings.HasPrefix(to, "//"):
		return to, nil
	}
	return "", fmt.Errorf("a link leads to %q: only pages of the guide and screens can be opened without a network", to)
}

// plainText is the text of a node without its marks.
func plainText(n ast.Node, source []byte) string {
	var b strings.Builder
	_ = ast.Walk(n, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if t, ok := n.(*ast.Text); ok && entering {
			b.Write(t.Segment.Value(source))
		}
		return ast.WalkContinue, nil
	})
	return b.String()
}
