package checklist

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"sideport/cards"
)

var update = flag.Bool("update", false, "rewrite the expected sheets of testdata/cases; read the difference before you keep it")

// goldenCase is one archive of testdata/cases: a sentence saying what it
// shows, then the files
//
//	card          the name of a card of testdata/cards, or a whole card in Markdown
//	case.json     the case
//	rules.json    the rule book; the starter book when it is missing
//	sheet.txt     the sheet as Text writes it, read and agreed by a person
//	sheet.sha256  the hash of its canonical bytes, the same on every machine
type goldenCase struct {
	path    string
	archive *txtar.Archive
	files   map[string][]byte
}

func readGolden(t *testing.T, path string) goldenCase {
	t.Helper()
	archive, err := txtar.ParseFile(path)
	if err != nil {
		t.Fatal(err)
	}
	g := goldenCase{path: path, archive: archive, files: map[string][]byte{}}
	sentence, _, _ := strings.Cut(string(archive.Comment), "\n")
	if !strings.HasSuffix(sentence, ".") {
		t.Errorf("%s must begin with a sentence that says what the case shows, not %q", path, sentence)
	}
	for _, f := range archive.Files {
		if !has([]string{"card", "case.json", "rules.json", "sheet.txt", "sheet.sha256"}, f.Name) || g.files[f.Name] != nil {
			t.Fatalf("%s holds %q, which is unknown or stands twice", path, f.Name)
		}
		g.files[f.Name] = f.Data
	}
	return g
}

func (g goldenCase) input(t *testing.T) Input {
	t.Helper()
	in := Input{Card: g.card(t), CardRevision: 1, Rules: Starter(), RulesRevision: 1}
	if rules := g.files["rules.json"]; rules != nil {
		book, problems := ParseRuleBook(rules)
		if errors := problems.Errors(); len(errors) > 0 {
			t.Fatalf("rules.json: %v", errors)
		}
		in.Rules = book
	}
	c, problems := ParseCase(g.files["case.json"])
	if errors := problems.Errors(); len(errors) > 0 {
		t.Fatalf("case.json: %v", errors)
	}
	in.Case = c
	return in
}

func (g goldenCase) card(t *testing.T) cards.Card {
	t.Helper()
	md := g.files["card"]
	if name := strings.TrimSpace(string(md)); cards.ValidKey(name) {
		var err error
		if md, err = os.ReadFile(filepath.Join("..", "testdata", "cards", name+".md")); err != nil {
			t.Fatal(err)
		}
	}
	card, problems := cards.Parse(md)
	if errors := problems.Errors(); len(errors) > 0 {
		t.Fatalf("card: %v", errors)
	}
	return card
}

// set writes an expectation into the archive.
func (g goldenCase) set(name string, data []byte) {
	for n := range g.archive.Files {
		if g.archive.Files[n].Name == name {
			g.archive.Files[n].Data = data
			return
		}
	}
	g.archive.Files = append(g.archive.Files, txtar.File{Name: name, Data: data})
}

// firstDifference shows the first line that differs, with its number.
func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for n := range max(len(g), len(w)) {
		left, right := "(nothing)", "(nothing)"
		if n < len(g) {
			left = g[n]
		}
		if n < len(w) {
			right = w[n]
		}
		if left != right {
			return "line " + strconv.Itoa(n+1) + "\n got " + left + "\nwant " + right
		}
	}
	return "no difference"
}

// The sheets of testdata/cases were read and agreed by a person. They are the
// same to the byte natively and as WebAssembly.
func TestGoldenSheets(t *testing.T) {
	paths, err := filepath.Glob("../testdata/cases/*.txtar")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases in testdata/cases: %v", err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar"), func(t *testing.T) {
			g := readGolden(t, path)
			s, problems := Generate(g.input(t))
			if len(problems) > 0 {
				t.Fatalf("no sheet: %v", problems)
			}
			canonical, err := Canonical(s)
			if err != nil {
				t.Fatal(err)
			}
			sum := sha256.Sum256(canonical)
			text, hash := []byte(Text(s)), []byte(hex.EncodeToString(sum[:])+"\n")
			if *update {
				g.set("sheet.txt", text)
				g.set("sheet.sha256", hash)
				if err := os.WriteFile(path, txtar.Format(g.archive), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if !bytes.Equal(g.files["sheet.txt"], text) {
				t.Errorf("%s: another sheet, %s\n(rewrite with -update and read the difference)", path, firstDifference(string(text), string(g.files["sheet.txt"])))
			}
			if !bytes.Equal(g.files["sheet.sha256"], hash) {
				t.Errorf("%s: the sheet's bytes hash to %sand not to %s(what is not in the text differs, or the machine does)", path, hash, g.files["sheet.sha256"])
			}
		})
	}
}

// A sheet on the terminal keeps to 80 columns, save for words that are longer.
func TestTextKeepsTo80Columns(t *testing.T) {
	s := generated(t, fullCard(), Starter(), plainCase("dilated-pupil=4.5", "nucleus-locs=4.2", "allergies=iodine", "allergy-other="+strings.Repeat("x", 90)))
	for _, line := range strings.Split(Text(s), "\n") {
		if n := len([]rune(line)); n > textWidth && strings.Contains(strings.TrimSpace(line), " ") && !strings.Contains(line, "xxx") {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	if !strings.Contains(Text(s), strings.Repeat("x", 90)) {
		t.Error("a long word was cut")
	}
}
