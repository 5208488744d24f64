package main

import (
	"cmp"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// toldGerman looks texts up among all pairs as the page does (web/app/lang/lookup.ts):
// whole, then by pairs with places, then cut into parts. It answers what is left in English.
type toldGerman struct {
	whole  map[string]string
	german map[string]bool
	places []toldPattern
	before map[string][]string // what was found for a text
}

type toldPattern struct {
	fits         *regexp.Regexp
	fixed, count int
	part         string // stands in every text that fits: quicker to look for
}

var (
	toldPlace    = regexp.MustCompile(`\{\d+\}`)
	toldLetter   = regexp.MustCompile(`\pL`)
	toldSentence = regexp.MustCompile(`[.!?…][”")]*\s+[“"(]*[\p{Lu}\d§]`)
	toldFigure   = regexp.MustCompile(`^[\d.,:%×–+\-\s§]+[\pL/%°·²³]{0,8}$`)
	toldBrackets = regexp.MustCompile(`^(.+) \((.+)\)$`)
	toldWrapped  = regexp.MustCompile(`^[“"(](.+)[”")]$`)
	toldTail     = regexp.MustCompile(`^(.*\pL.*?)\s*[.:;,…?!]+$`)
)

func readToldGerman(t *testing.T) *toldGerman {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join("..", "app", "lang", "de", "told", "*.ts"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("the German pairs: %v %v", paths, err)
	}
	g := &toldGerman{whole: map[string]string{}, german: map[string]bool{}, before: map[string][]string{}}
	for _, path := range paths {
		source, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(string(source), "\n") {
			if m := pairLine.FindStringSubmatch(line); m != nil {
				g.add(t, path, m[1], m[2])
			}
		}
	}
	slices.SortStableFunc(g.places, func(a, b toldPattern) int { return cmp.Or(b.fixed-a.fixed, a.count-b.count) })
	return g
}

func (g *toldGerman) add(t *testing.T, path string, quoted ...string) {
	t.Helper()
	var pair [2]string
	for n, q := range quoted {
		if err := json.Unmarshal([]byte(q), &pair[n]); err != nil {
			t.Fatalf("%s: %s: %v", path, q, err)
		}
	}
	english, german := pair[0], pair[1]
	g.german[german] = true
	if !toldPlace.MatchString(english) {
		g.whole[english] = german
		return
	}
	seen, source := map[string]bool{}, ""
	for n, part := range toldPlace.Split(english, -1) {
		if n > 0 {
			source += "(.+?)"
		}
		source += regexp.QuoteMeta(part)
	}
	for _, p := range toldPlace.FindAllString(english, -1) {
		if seen[p] {
			t.Errorf("%s: a place stands twice in the English: %s", path, english)
		}
		seen[p] = true
	}
	parts := toldPlace.Split(english, -1)
	g.places = append(g.places, toldPattern{
		fits: regexp.MustCompile("(?s)^" + source + "$"), fixed: len(toldLetter.FindAllString(strings.Join(parts, " "), -1)), count: len(seen),
		part: slices.MaxFunc(parts, func(a, b string) int { return len(a) - len(b) })})
}

func (g *toldGerman) exact(text string) bool {
	if g.german[text] {
		return true
	}
	for _, way := range []string{text, firstLetter(text, strings.ToLower), firstLetter(text, strings.ToUpper)} {
		if _, there := g.whole[way]; there {
			return true
		}
	}
	return false
}

func firstLetter(s string, change func(string) string) string {
	for n := range s {
		if n > 0 {
			return change(s[:n]) + s[n:]
		}
	}
	return change(s)
}

// left lists the parts of a text that no pair matches. A sign § stands for a part that varies.
func (g *toldGerman) left(text string) []string {
	text = strings.TrimSpace(strings.ReplaceAll(text, "\u00a0", " "))
	if !toldLetter.MatchString(text) || sameInBoth(text) || g.exact(text) {
		return nil
	}
	found, there := g.before[text]
	if !there {
		found = g.search(text)
		g.before[text] = found
	}
	return found
}

func (g *toldGerman) search(text string) []string {
	for _, p := range g.places {
		if !strings.Contains(text, p.part) {
			continue
		}
		if held := p.fits.FindStringSubmatch(text); held != nil && !slices.ContainsFunc(held[1:], toldSentence.MatchString) {
			return g.leftOf(held[1:])
		}
	}
	return g.pieces(text)
}

func (g *toldGerman) leftOf(parts []string) []string {
	var out []string
	for _, p := range parts {
		out = append(out, g.left(p)...)
	}
	return out
}

func (g *toldGerman) known(part string) bool {
	return toldFigure.MatchString(part) || g.exact(part) || !sameInBoth(part) && !slices.Equal(g.left(part), []string{part})
}

func (g *toldGerman) pieces(text string) []string {
	if parts := toldSentences(text); len(parts) > 1 {
		return g.leftOf(parts)
	}
	for _, cut := range []string{"; ", " · ", " → "} {
		if parts := strings.Split(text, cut); len(parts) > 1 {
			return g.leftOf(parts)
		}
	}
	if before, after, cut := strings.Cut(text, ": "); cut && g.known(before) {
		return append(g.left(before), g.left(after)...)
	}
	if parts := strings.Split(text, ", "); len(parts) > 1 && !slices.ContainsFunc(parts, func(p string) bool { return !g.known(p) }) {
		return g.leftOf(parts)
	}
	for _, shape := range []*regexp.Regexp{toldBrackets, toldWrapped, toldTail} {
		if m := shape.FindStringSubmatch(text); m != nil {
			return g.leftOf(m[1:])
		}
	}
	return []string{text}
}

// toldSentences cuts at the ends of lines and of sentences.
func toldSentences(text string) []string {
	if lines := strings.Split(text, "\n"); len(lines) > 1 {
		return lines
	}
	var out []string
	for {
		at := toldSentence.FindStringIndex(text)
		if at == nil {
			return append(out, text)
		}
		end := at[0] + strings.IndexFunc(text[at[0]:], unicode.IsSpace)
		out, text = append(out, text[:end]), strings.TrimLeftFunc(text[end:], unicode.IsSpace)
	}
}

// unitsAndNames are written alike in both languages: units, formulas, languages of machines, and names.
var unitsAndNames = regexp.MustCompile(`^(mg|mL|mm|cm|ms|kg|g|s|D|Pa|kPa|mmHg|cmH|O|g/mL|mg/mL|mL/min|mg per|GS1|HIBC|ICCBBA|FNC1|JSON|INR|LOCS III|Eye|Latex|Diabetes|Uveitis|Pseudoexfoliation|Glaucoma|epithelium|` +
	`temporal|superior|superotemporal|superonasal|linear|longitudinal|torsional|peribulbar|retrobulbar|Team|Sideport|British Journal of Ophthalmology|Carbachol|Moxifloxacin|` +
	`Score|minus|Irrigation|Phase|Pause|Doxazosin|Demonstration|Person|Name|LOCS|III|cos|sin|p|n|C|T|V|x|z|θ)$`)

// aRange is of figures alone: "3 to 7 mm", "14 of 120".
var aRange = regexp.MustCompile(`^[−-]?\d[\d.,]* (to|of) [−-]?\d[\d.,]*( \S+)?$`)

// sameInBoth says that a text has no word to translate once figures, places and signs are away.
func sameInBoth(text string) bool {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && r != '/' }) {
		if word = strings.Trim(word, "/"); word != "" && !unitsAndNames.MatchString(word) {
			return unitsAndNames.MatchString(text)
		}
	}
	return true
}
