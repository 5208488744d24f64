package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/yuin/goldmark/ast"
)

var germanFolder = filepath.Join("..", "app", "lang", "de")

// What is in the folder and not in the list would never be shown.
func TestEveryPairAndCatalogueIsCollected(t *testing.T) {
	tests := []struct{ folder, list, from string }{
		{filepath.Join(germanFolder, "told"), "told.ts behind.ts", "./told/"},
		{filepath.Join("..", "app"), "catalogues.ts", "../../"},
		{germanFolder, "catalogues.ts", "./"},
	}
	for _, tt := range tests {
		var list []byte
		for _, name := range strings.Fields(tt.list) {
			b, err := os.ReadFile(filepath.Join(germanFolder, name))
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, b...)
		}
		files, err := filepath.Glob(filepath.Join(tt.folder, "*.ts"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %v %v", tt.folder, files, err)
		}
		for _, file := range files {
			name := strings.TrimSuffix(filepath.Base(file), ".ts")
			if tt.list == "catalogues.ts" && !isCatalogue(t, name) {
				continue
			}
			if !strings.Contains(string(list), `from "`+tt.from+name+`";`) {
				t.Errorf("%s does not take in %s", tt.list, file)
			}
		}
	}
}

// isCatalogue tells a catalogue from a part of one.
func isCatalogue(t *testing.T, name string) bool {
	t.Helper()
	_, err := os.Stat(filepath.Join("..", "app", name+".ts"))
	return strings.HasPrefix(name, "text") && err == nil
}

// The German guide has the pages of the English one, each with the same levels
// of headings, links, figures, and as many paragraphs and points of lists in the same order. Whether a
// sentence says the same, and lost no "not", is for whoever reads it.
func TestTheGermanGuideSaysTheSame(t *testing.T) {
	for name, source := range guideSources(t) {
		german, err := os.ReadFile(filepath.Join(guideFolder, "de", name))
		if err != nil {
			t.Error(err)
			continue
		}
		for what, of := range map[string]func([]byte) []string{"headings": headings, "links": links, "points": points, "figures": figures} {
			if e, g := of(source), of(german); !slices.Equal(e, g) {
				t.Errorf("%s: the %s are %q in English and %q in German", name, what, e, g)
			}
		}
	}
	german, err := filepath.Glob(filepath.Join(guideFolder, "de", "*.md"))
	if err != nil || len(german) != len(guideSources(t)) {
		t.Errorf("the German guide has %d pages, the English %d (%v)", len(german), len(guideSources(t)), err)
	}
}

// headings are the levels of a page's headings.
func headings(source []byte) (levels []string) {
	each(source, func(n ast.Node) {
		if h, ok := n.(*ast.Heading); ok {
			levels = append(levels, strings.Repeat("#", h.Level))
		}
	})
	return levels
}

// points are the paragraphs and points of lists in their order: no paragraph is left out.
func points(source []byte) (kinds []string) {
	each(source, func(n ast.Node) {
		if k := n.Kind(); k == ast.KindParagraph || k == ast.KindListItem {
			kinds = append(kinds, k.String())
		}
	})
	return kinds
}

var figure = regexp.MustCompile(`\d+(?:[.,]\d+)*`)

// figures are the numbers of a page, sorted: a sentence may be built another way round.
func figures(source []byte) []string {
	found := figure.FindAllString(strings.ReplaceAll(string(source), ",", "."), -1)
	slices.Sort(found)
	return found
}

// What the German guide prints bold stands on a German screen just so.
func TestBoldWordsOfTheGermanGuideStandOnScreens(t *testing.T) {
	words := catalogues(t, filepath.Join(germanFolder, "text*.ts"), filepath.Join(germanFolder, "told", "*.ts"))
	for name := range guideSources(t) {
		source, err := os.ReadFile(filepath.Join(guideFolder, "de", name))
		if err != nil {
			t.Fatal(err)
		}
		each(source, func(n ast.Node) {
			if strong, ok := n.(*ast.Emphasis); ok && strong.Level == 2 && !words(plainText(strong, source)) {
				t.Errorf("de/%s names %q, which no German catalogue has", name, plainText(strong, source))
			}
		})
	}
}
