package risk

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"sideport/cards"
)

var update = flag.Bool("update", false, "rewrite the expected assessments of testdata/risk; read the difference before you keep it")

// Each file of testdata/risk is an archive: a sentence saying what it is
// about, then
//
//	answers              "factor: answer" a line, inputs among them; "whole" in
//	                     the first line answers all others with what weighs nothing
//	assessment           as a person reads it, read and agreed
//	assessment.sha256    the hash of its canonical bytes, the same on every machine
//
// They are the same natively and as WebAssembly.
func TestGoldenAssessments(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/risk/*.txt")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no files in testdata/risk: %v", err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txt"), func(t *testing.T) { checkGolden(t, path) })
	}
}

func checkGolden(t *testing.T, path string) {
	archive, err := txtar.ParseFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if sentence, _, _ := strings.Cut(string(archive.Comment), "\n"); !strings.HasSuffix(sentence, ".") {
		t.Errorf("%s must begin with a sentence that says what it is about", path)
	}
	if len(archive.Files) == 0 || archive.Files[0].Name != "answers" {
		t.Fatalf("%s must hold the answers first", path)
	}
	a, problems := Assess(readAnswers(t, string(archive.Files[0].Data)))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	b, err := cards.Canonical(a)
	if err != nil {
		t.Fatal(err)
	}
	hash := sha256.Sum256(b)
	want := []txtar.File{archive.Files[0], {Name: "assessment", Data: []byte(asText(a))}, {Name: "assessment.sha256", Data: []byte(hex.EncodeToString(hash[:]) + "\n")}}
	if *update {
		archive.Files = want
		if err := os.WriteFile(path, txtar.Format(archive), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	same := func(x, y txtar.File) bool { return x.Name == y.Name && bytes.Equal(x.Data, y.Data) }
	if !slices.EqualFunc(archive.Files, want, same) {
		t.Errorf("%s: another assessment (rewrite with -update and read the difference):\n%s", path, want[1].Data)
	}
}

func readAnswers(t *testing.T, text string) (facts, Given) {
	f, g := facts{}, Given{}
	if rest, whole := strings.CutPrefix(text, "whole\n"); whole {
		f, g, text = nothingWrong(), nothingGiven(), rest
	}
	for line := range strings.Lines(text) {
		id, answer, ok := strings.Cut(strings.TrimSpace(line), ": ")
		if !ok || !slices.Contains(asked(), cards.FactorID(id)) {
			t.Fatalf("%q is not a factor or an input with its answer", line)
		}
		put(f, g, cards.FactorID(id), answer)
	}
	return f, g
}

// asText writes an assessment for a person to read and agree.
func asText(a Assessment) string {
	var b strings.Builder
	say := func(parts ...string) { b.WriteString(strings.Join(parts, "") + "\n") }
	for _, r := range a.Results {
		say(r.Name, " (", r.Source, ")")
		for _, s := range r.Headline {
			say("  ", s.Text())
		}
		for _, state := range []LineState{LineCounted, LineNotKnown, LineNotAsked, LineNot} {
			for _, l := range r.Lines {
				if l.State == state {
					say("  ", string(state), ": ", l.Label, ", ", l.Level, ", ", l.Effect, " [", l.Mark, "]")
					for _, extra := range append(slices.Clone(l.Because), l.Missing...) {
						say("      ", extra)
					}
				}
			}
		}
		for _, part := range [][]string{r.Figures, r.Working, r.Cautions} {
			for _, s := range part {
				say("  - ", s)
			}
		}
		say()
	}
	for _, c := range a.Cautions {
		say("! ", c)
	}
	return b.String()
}
