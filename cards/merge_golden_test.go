package cards

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"
)

// A golden merge has one sentence on top and four files: head, mine and want as
// changes of testdata/merges/base.md, and the units of the questions. A change
// is written like a difference: lines with "-" go, lines with "+" come, lines
// with a space say where. Each must fit at exactly one place.
//
// The same test runs natively and as WebAssembly (see DEVELOPERS.md).
func TestGoldenMerges(t *testing.T) {
	paths, err := filepath.Glob("../testdata/merges/*.txtar")
	if err != nil || len(paths) < 30 {
		t.Fatalf("%d golden merges, %v; there should be 30 at least", len(paths), err)
	}
	text, err := os.ReadFile("../testdata/merges/base.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar"), func(t *testing.T) {
			archive, err := txtar.ParseFile(path)
			if err != nil {
				t.Fatal(err)
			}
			checkGolden(t, string(text), archive)
		})
	}
}

func checkGolden(t *testing.T, text string, archive *txtar.Archive) {
	names := []string{"head", "mine", "want", "questions"}
	if len(archive.Files) != len(names) || strings.Count(string(archive.Comment), "\n") != 1 {
		t.Fatalf("want one sentence and the files %v", names)
	}
	for i, name := range names {
		if archive.Files[i].Name != name {
			t.Fatalf("file %d is %q, want %q", i+1, archive.Files[i].Name, name)
		}
	}
	base, head, mine, want := golden(t, text, nil), golden(t, text, archive.Files[0].Data), golden(t, text, archive.Files[1].Data), golden(t, text, archive.Files[2].Data)
	got, questions := Merge(base, head, mine)
	if !same(got, want) {
		t.Errorf("got\n%s\nwant\n%s", Format(got), Format(want))
	}
	asked := strings.Fields(string(archive.Files[3].Data))
	if !slices.Equal(units(questions), asked) {
		t.Errorf("questions %q, want %q", units(questions), asked)
	}
	if again, more := Merge(head, got, head); !same(again, got) || len(more) > 0 {
		t.Errorf("merging the result with what it came from changes it")
	}
	swapped, mirror := Merge(base, mine, head)
	if len(questions) != len(mirror) || len(questions) == 0 && !same(swapped, got) {
		t.Errorf("with the sides exchanged it comes out differently: %q\n%s", units(mirror), Format(swapped))
	}
}

// golden is the base with changes, as a card.
func golden(t *testing.T, text string, changes []byte) Card {
	t.Helper()
	changed, err := patched(text, string(changes))
	if err != nil {
		t.Fatal(err)
	}
	card, problems := Parse([]byte(changed))
	if len(problems) > 0 {
		t.Fatalf("the card does not parse: %v\n%s", problems, changed)
	}
	return card
}

// patched applies changes. A run of lines that go or stay, with those that come between them, is one change.
func patched(text, changes string) (string, error) {
	var old, fresh strings.Builder
	apply := func() error {
		if old.Len() == 0 && fresh.Len() == 0 {
			return nil
		}
		if n := strings.Count("\n"+text, "\n"+old.String()); n != 1 {
			return fmt.Errorf("this fits at %d places:\n%s", n, old.String())
		}
		text = strings.Replace("\n"+text, "\n"+old.String(), "\n"+fresh.String(), 1)[1:]
		old.Reset()
		fresh.Reset()
		return nil
	}
	came := false // a line has come: the next that goes begins another change, unless one stays
	for _, line := range strings.SplitAfter(changes, "\n") {
		if line == "" {
			continue
		}
		switch line[0] {
		case '-':
			if came {
				if err := apply(); err != nil {
					return "", err
				}
			}
			came = false
			old.WriteString(line[1:])
		case '+':
			came = true
			fresh.WriteString(line[1:])
		case ' ':
			old.WriteString(line[1:])
			fresh.WriteString(line[1:])
		default:
			return "", fmt.Errorf("a line of a change begins with -, + or a space: %q", line)
		}
	}
	return text, apply()
}
