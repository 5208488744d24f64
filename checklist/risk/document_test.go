package risk

import (
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

func document(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile("../../docs/risk.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// The document a unit lead reads before turning this on holds the intended
// purpose, every caution and limit, word for word.
func TestDocumentSaysWhatTheProgramSays(t *testing.T) {
	text := strings.Join(strings.Fields(strings.ReplaceAll(document(t), "\n> ", " ")), " ")
	want := append([]string{Purpose}, cautions()...)
	for _, m := range Models {
		want = append(append(want, m.Name, m.Source(), m.Population, m.Reading), m.Limits...)
		for _, it := range m.Items {
			if it.Substituted != "" {
				want = append(want, it.Substituted)
			}
		}
	}
	for _, in := range Inputs {
		want = append(want, in.Label+": "+strings.Join(in.Options, " · "))
	}
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("docs/risk.md lacks: %s", w)
		}
	}
}

// Each item of each model has its row: what is read for it, what it weighs.
func TestDocumentListsEveryItem(t *testing.T) {
	text := document(t)
	for _, m := range Models {
		for _, it := range m.Items {
			if row := documentRow(m, it); !strings.Contains(text, row+"\n") {
				t.Errorf("docs/risk.md lacks the row\n%s", row)
			}
		}
	}
}

func documentRow(m Model, it Item) string {
	var read []string
	for _, id := range it.factors() {
		name := "`" + string(id) + "`"
		if _, input := inputByID(id); input {
			name += " (input)"
		}
		read = append(read, name)
	}
	var weighs []string
	for _, l := range it.Levels[1:] {
		if m.Baseline.Stated() {
			weighs = append(weighs, l.Name+" "+l.Ratio.String())
		} else {
			weighs = append(weighs, strconv.Itoa(l.Points))
		}
	}
	return "| " + strings.Join([]string{it.Label, strings.Join(read, ", "), strings.Join(weighs, ", ")}, " | ") + " |"
}

// This part reads nothing but its arguments. (That checklist does not import
// it the compiler sees to: this package imports checklist.)
func TestImportsAreFew(t *testing.T) {
	allowed := []string{"math/big", "slices", "strconv", "strings", "sideport/cards", "sideport/checklist"}
	paths, err := filepath.Glob("*.go")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no source found: %v", err)
	}
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, spec := range file.Imports {
			if name := strings.Trim(spec.Path.Value, `"`); !slices.Contains(allowed, name) {
				t.Errorf("%s imports %s: no I/O, no clock, no floating point here", path, name)
			}
		}
	}
}
