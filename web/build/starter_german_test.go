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

// starterGerman are the pairs of the starter rule book, English to German, and those that hold places.
type starterGerman struct {
	exact  map[string]string
	places []*regexp.Regexp
}

var (
	pairLine  = regexp.MustCompile(`^ *\[("(?:[^"\\]|\\.)*"), *("(?:[^"\\]|\\.)*")\],?$`)
	pairPlace = regexp.MustCompile(`\\\{\d\\\}`)
)

func readStarterGerman(t *testing.T) starterGerman {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join("..", "app", "lang", "de", "told", "starter-*.ts"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("the German of the starter: %v %v", paths, err)
	}
	g := starterGerman{exact: map[string]string{}}
	for _, path := range paths {
		source, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(string(source), "\n") {
			if strings.HasPrefix(strings.TrimSpace(line), "[") {
				g.add(t, path, line)
			}
		}
	}
	return g
}

// add takes one pair, which stands on a line of its own.
func (g *starterGerman) add(t *testing.T, path, line string) {
	t.Helper()
	m := pairLine.FindStringSubmatch(line)
	if m == nil {
		t.Fatalf("%s: not one pair on a line: %s", path, line)
	}
	var english, german string
	for n, to := range []*string{&english, &german} {
		if err := json.Unmarshal([]byte(m[n+1]), to); err != nil {
			t.Fatalf("%s: %s: %v", path, line, err)
		}
	}
	if other, there := g.exact[english]; there {
		t.Errorf("%s: %q stands twice, as %q and as %q", path, english, other, german)
	}
	g.exact[english] = german
	if quoted := regexp.QuoteMeta(english); pairPlace.MatchString(quoted) {
		g.places = append(g.places, regexp.MustCompile("^"+pairPlace.ReplaceAllString(quoted, "(.+)")+"$"))
	}
}

func (g starterGerman) has(english string) bool {
	_, there := g.exact[english]
	return there || slices.ContainsFunc(g.places, func(p *regexp.Regexp) bool { return p.MatchString(english) })
}

// missing lists the texts without a pair, each once.
func (g starterGerman) missing(texts []string) []string {
	var out []string
	for _, text := range texts {
		if text != "" && !g.has(text) && !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}

// notForReading are the fields of the rule book that are no text of its own:
// keys, choices of a list, which have their German with the vocabulary, values, and citations.
var notForReading = []string{"id", "key", "source", "mark", "review", "factor", "op", "value", "min", "max", "unit", "setting", "technique", "steps", "allergens",
	"do", "kind", "state", "place", "pause", "ask", "answer", "weight"}

// keysInWords are the fields whose keys are read as words where the thing itself is not on the sheet.
var keysInWords = []string{"trigger", "open", "items", "setting"}

// starterTexts gathers what a person reads of a part of the rule book.
func starterTexts(part any, field string) []string {
	var out []string
	switch part := part.(type) {
	case map[string]any:
		for name, value := range part {
			out = append(out, starterTexts(value, name)...)
		}
	case []any:
		for _, value := range part {
			out = append(out, starterTexts(value, field)...)
		}
	case string:
		if slices.Contains(keysInWords, field) {
			return []string{cards.Key(part).Words()}
		}
		if !slices.Contains(notForReading, field) {
			return []string{part}
		}
	}
	return out
}

// smallFirst writes a title as it stands in a reason: "house rule: short eye (…)".
func smallFirst(title string) string {
	if len(title) > 1 && title[1] >= 'A' && title[1] <= 'Z' {
		return title
	}
	return strings.ToLower(title[:1]) + title[1:]
}

func TestEveryTextOfTheStarterHasItsGerman(t *testing.T) {
	source, err := os.ReadFile(filepath.Join("..", "..", "checklist", "starter", "rules.json"))
	if err != nil {
		t.Fatal(err)
	}
	var whole any
	if err := json.Unmarshal(source, &whole); err != nil {
		t.Fatal(err)
	}
	texts := starterTexts(whole, "")
	for _, r := range checklist.Starter().Rules {
		texts = append(texts, smallFirst(r.Title))
		if strings.Contains(r.Title, "(") { // the brackets of the facts are told from the title's own only by a pair of its own
			texts = append(texts, "house rule: "+smallFirst(r.Title)+" (toric lens: yes)")
		}
		for _, a := range r.Do {
			if a.Kind == checklist.DoNotUse || a.Kind == checklist.Withhold && a.Text != "" {
				texts = append(texts, "Silicone lens: "+a.Text)
			}
		}
	}
	for _, text := range readStarterGerman(t).missing(texts) {
		t.Errorf("no German: %s", text)
	}
}

// The words of a mark in a source have their German, and the citation around them stays.
func TestAMarkInASourceHasItsGerman(t *testing.T) {
	mark := regexp.MustCompile(`(value from memory, unconfirmed|[Cc]ommon practice(, no source)?\.?)$`)
	var texts []string
	for _, r := range checklist.Starter().Rules {
		if mark.MatchString(r.Source) {
			texts = append(texts, r.Source)
		}
	}
	if len(texts) == 0 {
		t.Fatal("no source of the starter carries a mark")
	}
	g := readStarterGerman(t)
	for _, text := range texts {
		parts := strings.Split(text, "; ")
		if last := parts[len(parts)-1]; !g.has(text) && !g.has(last) {
			t.Errorf("no German for the mark of: %s", text)
		}
	}
}

// A sheet shows what the starter says word for word, whatever the case.
func TestEveryTextOfTheStarterOnASheetHasItsGerman(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", "cases", "*.txtar"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	g := readStarterGerman(t)
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar"), func(t *testing.T) {
			sheet, made := starterSheet(t, path)
			if !made {
				return // with rules of its own, which stay as somebody wrote them
			}
			for _, text := range g.missing(saidByStarter(sheet)) {
				t.Errorf("no German: %s", text)
			}
		})
	}
}

// starterSheet makes the sheet of a case; false where the case has a rule book of its own.
func starterSheet(t *testing.T, path string) (checklist.Sheet, bool) {
	t.Helper()
	archive, err := txtar.ParseFile(path)
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][]byte{}
	for _, f := range archive.Files {
		files[f.Name] = f.Data
	}
	if files["rules.json"] != nil {
		return checklist.Sheet{}, false
	}
	md := files["card"]
	if name := strings.TrimSpace(string(md)); cards.ValidKey(name) {
		if md, err = os.ReadFile(filepath.Join("..", "..", "testdata", "cards", name+".md")); err != nil {
			t.Fatal(err)
		}
	}
	card, problems := cards.Parse(md)
	if errors := problems.Errors(); len(errors) > 0 {
		t.Fatalf("card: %v", errors)
	}
	c, problems := checklist.ParseCase(files["case.json"])
	if errors := problems.Errors(); len(errors) > 0 {
		t.Fatalf("case.json: %v", errors)
	}
	sheet, problems := checklist.Generate(checklist.Input{Card: card, CardRevision: 1, Rules: checklist.Starter(), RulesRevision: 1, Case: c})
	if len(problems) > 0 {
		t.Fatalf("no sheet: %v", problems)
	}
	return sheet, true
}

// saidByStarter lists what the starter put on a sheet. The sentences the
// program makes around it ("Withheld: …") have their own pairs elsewhere.
func saidByStarter(s checklist.Sheet) []string {
	var out []string
	for _, p := range s.Pauses {
		out = append(out, p.When)
		for _, l := range p.Lines {
			if from := l.Why[0].From; from == checklist.FromPauses || from == checklist.FromRule && !strings.HasPrefix(l.ID, "case.") {
				out = append(out, l.Text, l.Expect)
			}
		}
	}
	for _, l := range s.Setup {
		if l.Why[0].From == checklist.FromRule {
			out = append(out, l.Name, l.Note)
		}
	}
	for _, d := range s.Triggers {
		if d.Why[0].From == checklist.FromDrills {
			out = append(out, drillTexts(d)...)
		}
	}
	return append(out, specialsOfStarter(s)...)
}

func drillTexts(d checklist.TriggerSheet) []string {
	t := d.Trigger
	out := slices.Concat([]string{t.Title, t.Seen, t.Say, t.NextStep}, t.Surgeon, t.Scrub, t.Circulating, t.Anaesthesia)
	for _, o := range d.Opens {
		if o.State == "" {
			out = append(out, o.Name)
		}
	}
	return out
}

// specialsOfStarter are the cautions that a starter rule words itself.
func specialsOfStarter(s checklist.Sheet) []string {
	own := map[string]bool{}
	for _, r := range checklist.Starter().Rules {
		for _, a := range r.Do {
			own[a.Text] = a.Text != ""
		}
	}
	var out []string
	for _, special := range s.Special {
		_, rest, _ := strings.Cut(special.Text, ": ")
		if own[special.Text] || own[rest] {
			out = append(out, special.Text)
		}
	}
	return out
}
