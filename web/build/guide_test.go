package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/text"
)

var guideFolder = filepath.Join("..", "..", "docs", "guide")

// guideSources are the pages of the guide by file name.
func guideSources(t *testing.T) map[string][]byte {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(guideFolder, "*.md"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("the guide: %v %v", paths, err)
	}
	sources := map[string][]byte{}
	for _, path := range paths {
		if sources[filepath.Base(path)], err = os.ReadFile(path); err != nil {
			t.Fatal(err)
		}
	}
	return sources
}

func TestAPageOfTheGuide(t *testing.T) {
	pages := map[string][]byte{"README.md": nil, "other.md": []byte("# Other")}
	tests := []struct{ why, source, title, html string }{
		{"the title leaves the text", "# A *title*\n\nWords.", "A title", "<p>Words.</p>\n"},
		{"a link between pages becomes a screen's address", "# T\n\n[o](other.md)", "T", "<p><a href=\"/help/other\">o</a></p>\n"},
		{"a screen keeps its path", "# T\n\n[w](/waiting)", "T", "<p><a href=\"/waiting\">w</a></p>\n"},
		{"signs of HTML are words", "# T\n\n1 < 2 & 3", "T", "<p>1 &lt; 2 &amp; 3</p>\n"},
	}
	for _, test := range tests {
		got, err := renderGuide([]byte(test.source), pages)
		if err != nil || got.Title != test.title || got.HTML != test.html {
			t.Errorf("%s: got %+v (%v)", test.why, got, err)
		}
	}
}

func TestAPageOfTheGuideIsRefused(t *testing.T) {
	tests := []struct{ why, source, says string }{
		{"no title", "Words.", "begins with its title"},
		{"two titles", "# A\n\n# B", "one title"},
		{"raw HTML in a line", "# A\n\n<b onclick=x>b</b>", "raw HTML"},
		{"a block of raw HTML", "# A\n\n<script>alert(1)</script>", "raw HTML"},
		{"a picture", "# A\n\n![x](y.png)", "pictures"},
		{"a link to a page that is not there", "# A\n\n[x](gone.md)", `"gone.md"`},
		{"a link elsewhere", "# A\n\n[x](https://example.org)", "without a network"},
		{"a script as a link", "# A\n\n[x](javascript:alert(1))", "without a network"},
		{"another server without a scheme", "# A\n\n[x](//example.org)", "without a network"},
		{"a bare address", "# A\n\n<https://example.org>", "needs a network"},
	}
	for _, test := range tests {
		_, err := renderGuide([]byte(test.source), map[string][]byte{})
		if err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want words with %q", test.why, err, test.says)
		}
	}
}

// Every page is one press away from the index, and every screen that the guide leads to exists.
func TestTheGuideLeadsSomewhere(t *testing.T) {
	sources := guideSources(t)
	screens, err := os.ReadFile(filepath.Join("..", "app", "views", "screens.tsx"))
	if err != nil {
		t.Fatal(err)
	}
	for name, source := range sources {
		for _, to := range links(source) {
			if !strings.HasPrefix(to, "/") || to == "/" {
				continue
			}
			first := strings.Split(to, "/")[1]
			if !strings.Contains(string(screens), `case "`+first+`"`) {
				t.Errorf("%s leads to %s, and views/screens.tsx knows no %q", name, to, first)
			}
		}
		if name != guideIndex && !slices.Contains(links(sources[guideIndex]), name) {
			t.Errorf("%s does not name %s", guideIndex, name)
		}
	}
}

func links(source []byte) []string {
	var list []string
	each(source, func(n ast.Node) {
		if link, ok := n.(*ast.Link); ok {
			list = append(list, string(link.Destination))
		}
	})
	return list
}

func each(source []byte, visit func(ast.Node)) {
	_ = ast.Walk(goldmark.DefaultParser().Parse(text.NewReader(source)), func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			visit(n)
		}
		return ast.WalkContinue, nil
	})
}

// What the guide prints bold is a word of a screen: it must stand in a text
// catalogue just so, or a reader looks for a button that is not there.
func TestBoldWordsOfTheGuideStandOnScreens(t *testing.T) {
	words := catalogues(t, filepath.Join("..", "app", "text*.ts"))
	for name, source := range guideSources(t) {
		each(source, func(n ast.Node) {
			strong, ok := n.(*ast.Emphasis)
			if !ok || strong.Level != 2 {
				return
			}
			if w := plainText(strong, source); !words(w) {
				t.Errorf("%s names %q, which no text catalogue has", name, w)
			}
		})
	}
}

// catalogues tells whether a screen says just these words: a whole string of a
// catalogue or of the vocabulary, or all of one but its numbers and names.
func catalogues(t *testing.T, folders ...string) func(string) bool {
	t.Helper()
	var paths []string
	for _, folder := range folders {
		found, err := filepath.Glob(folder)
		if err != nil || len(found) == 0 {
			t.Fatalf("the catalogues: %v %v", found, err)
		}
		paths = append(paths, found...)
	}
	literal := regexp.MustCompile("\"((?:[^\"\\\\]|\\\\.)*)\"|`([^`]*)`")
	placeholder := regexp.MustCompile(`\$\{[^}]*\}`)
	known := map[string]bool{}
	for _, path := range paths {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range literal.FindAllStringSubmatch(string(b), -1) {
			known[strings.TrimSpace(placeholder.ReplaceAllString(m[1]+m[2], ""))] = true
		}
	}
	return func(w string) bool { return known[w] }
}
