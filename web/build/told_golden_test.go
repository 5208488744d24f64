package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"sideport/cards"
	"sideport/checklist"
)

// unread are the fields of a sheet that are keys, words of the program that are looked up as such, or citations.
var unread = []string{"id", "key", "factor", "source", "phase", "variant", "card", "made", "item", "model", "level", "code", "path", "notes_html", "open", "next_card", "case"}

// Whatever a case makes of a card and the starter, what nobody wrote by hand is read in German.
func TestEveryWordOfASheetHasItsGerman(t *testing.T) {
	g := readToldGerman(t)
	paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", "cases", "*.txtar"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar"), func(t *testing.T) {
			sheet, made := starterSheet(t, path)
			if !made {
				return // with rules of its own, which stay as somebody wrote them
			}
			g.checkRead(t, jsonOf(t, sheet), wordsWritten(t, path))
		})
	}
}

// wordsWritten is what people wrote for a case: its card and the case itself.
func wordsWritten(t *testing.T, path string) string {
	t.Helper()
	archive, err := txtar.ParseFile(path)
	if err != nil {
		t.Fatal(err)
	}
	written := string(archive.Files[1].Data)
	md := archive.Files[0].Data
	if name := strings.TrimSpace(string(md)); cards.ValidKey(name) {
		if md, err = os.ReadFile(filepath.Join("..", "..", "testdata", "cards", name+".md")); err != nil {
			t.Fatal(err)
		}
	}
	return written + string(md)
}

func jsonOf(t *testing.T, v any) any {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var out any
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func (g *toldGerman) checkRead(t *testing.T, read any, written string) {
	t.Helper()
	written = plainWords(written)
	seen := map[string]bool{}
	for _, text := range readTexts(read, "") {
		for _, rest := range g.left(text) {
			if !seen[rest] && !allWritten(written, rest) {
				t.Errorf("no German: %s (in %s)", rest, text)
			}
			seen[rest] = true
		}
	}
}

// allWritten says that people wrote each part of what was left, as of a list of names or of "2 × Swabs".
func allWritten(written, rest string) bool {
	if aRange.MatchString(rest) {
		return true
	}
	if left, result, reckoned := strings.Cut(rest, " = "); reckoned && sameInBoth(result) { // "Gel: 2 % × 1 mL = 20 mg"
		name, sum, _ := strings.Cut(left, ": ")
		return sameInBoth(sum) && strings.Contains(written, plainWords(name))
	}
	for _, part := range strings.Split(rest, ", ") {
		_, name, counted := strings.Cut(part, " × ")
		if !counted {
			name = part
		}
		words, among := plainWords(name), written
		if strings.ContainsAny(name, "0123456789") { // what a scanner typed has no spaces
			words, among = strings.ReplaceAll(words, " ", ""), strings.ReplaceAll(written, " ", "")
		}
		if !strings.Contains(among, words) {
			return false
		}
	}
	return true
}

var notAWord = regexp.MustCompile(`[^\pL\d]+`)

// plainWords are the words of a text in small letters, so that keys, titles and names are found again.
func plainWords(s string) string {
	return " " + strings.Trim(notAWord.ReplaceAllString(strings.ToLower(s), " "), " ") + " "
}

func readTexts(part any, field string) []string {
	var out []string
	switch part := part.(type) {
	case map[string]any:
		for name, value := range part {
			if !slices.Contains(unread, name) {
				out = append(out, readTexts(value, name)...)
			}
		}
	case []any:
		for _, value := range part {
			out = append(out, readTexts(value, field)...)
		}
	case string:
		out = append(out, part)
	}
	return out
}

// The questions of every golden merge, and what changed in it, are read in German.
func TestEveryWordOfAMergeHasItsGerman(t *testing.T) {
	g := readToldGerman(t)
	base, err := os.ReadFile(filepath.Join("..", "..", "testdata", "merges", "base.md"))
	if err != nil {
		t.Fatal(err)
	}
	paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", "merges", "*.txtar"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no merges: %v", err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar"), func(t *testing.T) {
			archive, err := txtar.ParseFile(path)
			if err != nil {
				t.Fatal(err)
			}
			from, head, mine := mergedCard(t, base, nil), mergedCard(t, base, archive.Files[0].Data), mergedCard(t, base, archive.Files[1].Data)
			merged, questions := cards.Merge(from, head, mine)
			written := string(base) + string(archive.Files[0].Data) + string(archive.Files[1].Data)
			changes := slices.Concat(cards.Diff(from, head), cards.Diff(from, mine), cards.Diff(head, mine), cards.Diff(mine, merged))
			var asked []any
			for _, q := range questions {
				asked = append(asked, q.Label, q.BaseText, q.HeadText, q.MineText)
			}
			g.checkRead(t, append(asked, jsonOf(t, changes), jsonOf(t, cards.Check(merged).Cautions())), written)
		})
	}
}

// mergedCard is the base with the changes of a golden merge: lines with "-" go, lines with "+" come, lines with a space say where.
func mergedCard(t *testing.T, base, changes []byte) cards.Card {
	t.Helper()
	text := "\n" + string(base)
	old, fresh := "", ""
	put := func() {
		text = strings.Replace(text, "\n"+old, "\n"+fresh, 1)
		old, fresh = "", ""
	}
	came := false
	for _, line := range strings.SplitAfter(string(changes), "\n") {
		if line == "" {
			continue
		}
		if line[0] == '-' && came { // a line has come: the next that goes begins another change
			put()
			came = false
		}
		came = came || line[0] == '+'
		if line[0] != '+' {
			old += line[1:]
		}
		if line[0] != '-' {
			fresh += line[1:]
		}
	}
	put()
	card, problems := cards.Parse([]byte(text[1:]))
	if len(problems.Errors()) > 0 {
		t.Fatalf("the changed card does not parse: %v\n%s", problems, text)
	}
	return card
}

// What changes when a unit edits its rule book value by value is read in German.
func TestEveryWordOfARuleBookHasItsGerman(t *testing.T) {
	g := readToldGerman(t)
	var read []any
	for _, changed := range changedBooks() {
		for _, text := range checklist.DiffRuleBooks(checklist.Starter(), changed) {
			read = append(read, text)
		}
	}
	if len(read) < 15 {
		t.Fatalf("%d differences are too few to show much", len(read))
	}
	g.checkRead(t, read, "invented words")
}

// changedBooks are the starter, each with another part changed in every value that is a short text or a number.
func changedBooks() []checklist.RuleBook {
	const invented = "Invented words"
	change := func(what func(*checklist.RuleBook)) checklist.RuleBook {
		b := checklist.Starter()
		what(&b)
		return b
	}
	return []checklist.RuleBook{
		change(func(b *checklist.RuleBook) { b.Title, b.Owner, b.Review = invented, invented, "2031-01-31" }),
		change(func(b *checklist.RuleBook) {
			b.Rules[0].Title, b.Rules[0].Owner, b.Rules[0].Review, b.Rules[0].Mark = invented, invented, "2031-01-31", checklist.MarkPublished
		}),
		change(func(b *checklist.RuleBook) { b.Settings[0].Value, b.Settings[0].Label = cards.Whole(6), invented }),
		change(func(b *checklist.RuleBook) {
			for n := range b.Pauses {
				b.Pauses[n].When = invented
			}
			b.Pauses[0].Lines[0].Text, b.Pauses[0].Lines[0].Ask = invented, checklist.RoleSurgeon
		}),
		change(func(b *checklist.RuleBook) {
			slices.Reverse(b.Rules)
			slices.Reverse(b.Settings)
			slices.Reverse(b.Drills)
		}),
	}
}
