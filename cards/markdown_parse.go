package cards

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	east "github.com/yuin/goldmark/extension/ast"
)

// Parse reads the Markdown form of a card (docs/card-format.md). It reads on
// after a problem and reports all of them, each with its line and its mend;
// the card then holds what could be read. It judges the form only: what the
// values mean is judged by Check, and ParseAndCheck does both.
func Parse(md []byte) (Card, Problems) {
	r := parse(md)
	return r.card, r.problems
}

// ParseAndCheck reads a card and checks it. Problems found by Check get the line of what they concern.
func ParseAndCheck(md []byte) (Card, Problems) {
	r := parse(md)
	reported := map[string]bool{}
	for _, p := range r.problems {
		reported[p.Path] = true
	}
	for _, p := range Check(r.card) {
		if p.Level == LevelError && reported[p.Path] {
			continue // the form's own problem says it better
		}
		p.Line = r.lineOfPath(p.Path)
		r.problems = append(r.problems, p)
	}
	return r.card, r.problems
}

func parse(md []byte) *markdownReader {
	r := &markdownReader{lines: map[string]int{}}
	text := strings.TrimPrefix(string(md), "\ufeff")
	if !r.acceptable(text) {
		return r
	}
	r.outline = newOutline([]byte(normaliseLines(text)))
	r.header()
	seen := map[string]bool{}
	for _, s := range r.sections {
		r.section(s, seen)
	}
	return r
}

type markdownReader struct {
	*outline
	card     Card
	problems Problems
	lines    map[string]int // where the value of a path stands
}

func (r *markdownReader) report(line int, code, path, text string) {
	r.problems = append(r.problems, Problem{Level: LevelError, Code: code, Path: path, Text: text, Line: line})
}

// acceptable refuses what is no text or would take long to read.
func (r *markdownReader) acceptable(text string) bool {
	if len(text) > markdownLimit {
		r.report(1, "size", "", fmt.Sprintf("The file is larger than %d bytes. A card is far smaller: check that it is the right file.", markdownLimit))
		return false
	}
	if !utf8.ValidString(text) {
		valid := len(text) - len(strings.TrimLeftFunc(text, func(c rune) bool { return c != utf8.RuneError }))
		r.report(1+strings.Count(text[:valid], "\n"), "encoding", "", "The file is not valid UTF-8. Save it as UTF-8.")
		return false
	}
	if line, reason := tooHard(normaliseLines(text)); reason != "" {
		r.report(line, "size", "", "This line "+reason+".")
		return false
	}
	return true
}

// lineOfPath returns the line of the longest known beginning of the path, 0 when there is none.
func (r *markdownReader) lineOfPath(path string) int {
	for {
		if line, ok := r.lines[path]; ok {
			return line
		}
		i := strings.LastIndexByte(path, '/')
		if i < 0 {
			return 0
		}
		path = path[:i]
	}
}

func (r *markdownReader) header() {
	if len(r.titles) == 0 {
		r.report(1, "title", "title", "The card has no title. Begin the file with a line like “# Vertical chop”.")
	}
	for n, t := range r.titles {
		if n == 0 {
			r.lines["title"] = t.line
			r.card.Title = r.name("Title", "title", t)
			continue
		}
		r.report(t.line, "title", "title", "A second title "+quote(plainText(t.title))+". One file holds one card: use ## for a section and ### below it.")
	}
	r.list(r.before.blocks, headerFieldsOf(&r.card), func() string { return "" })
}

// name reads the text of a heading that names something.
func (r *markdownReader) name(label, path string, p *part) string {
	name := plainText(p.title)
	if name == "" {
		r.report(p.line, "empty", path, label+" is empty. Write it after the # marks.")
	}
	r.storable(p.line, path, label, name, false)
	return name
}

func (r *markdownReader) storable(line int, path, label, text string, multiline bool) {
	if reason := StorableText(text, multiline); reason != "" {
		r.report(line, "text", path, label+" "+reason+".")
	}
}

// section reads one section into the card.
func (r *markdownReader) section(s *part, seen map[string]bool) {
	title := plainText(s.title)
	for _, known := range sectionTitles {
		if strings.EqualFold(known, title) {
			title = known
		}
	}
	path := strings.ToLower(title)
	if seen[title] {
		r.report(s.line, "twice", path, "The section "+quote(title)+" stands twice. Join the two.")
	}
	seen[title] = true
	if _, ok := r.lines[path]; !ok && KnownSection(title) {
		r.lines[path] = s.line
	}
	switch title {
	case sectionSurgeon:
		r.onlyList(s, "basics", basicsFields(&r.card.Basics))
	case sectionMachine:
		r.onlyList(s, "machine", machineFields(&r.card.Machine))
	case sectionItems:
		readTable(r, s, "items", &r.card.Items, itemFields, nameItem)
	case sectionDrugs:
		readTable(r, s, "drugs", &r.card.Drugs, drugFields, nameDrug)
	case sectionPhases:
		readParts(r, s, "phases", &r.card.Phases, r.phase)
	case sectionSteps:
		readParts(r, s, "steps", &r.card.Steps, r.step)
	case sectionTriggers:
		readParts(r, s, "triggers", &r.card.Triggers, r.trigger)
	case sectionVariants:
		readParts(r, s, "variants", &r.card.Variants, r.variant)
	case sectionFit:
		readTable(r, s, "fit", &r.card.Fit, fitFields, nil)
	case sectionNotes:
		r.card.Notes = r.body(s, "notes", "Notes:")
	default:
		r.keep(s, title)
	}
}

// keep keeps a section the form does not know. A title that looks like a slip
// is pointed out, because triggers in a section "Tiggers" would not be found.
func (r *markdownReader) keep(s *part, title string) {
	r.lines["extra"] = s.line
	name := r.name("The title of a section", "extra", s)
	body := r.body(s, "extra", "Section "+quote(title)+":")
	if meant := closest(title, sectionTitles); meant != "" {
		r.problems = append(r.problems, Problem{Level: LevelCaution, Code: "section", Path: "extra", Line: s.line,
			Text: "The section " + quote(title) + " is kept as it is and not used. If it was meant as " + quote(meant) + ", correct the title."})
	}
	r.card.Extra = append(r.card.Extra, Section{Title: name, Body: body})
}

func (r *markdownReader) body(s *part, path, label string) string {
	text := trimBlankLines(strings.TrimSuffix(s.body, "\n"))
	r.storable(s.line, path, label+" the text", text, true)
	return text
}

// onlyList reads a section that is one list.
func (r *markdownReader) onlyList(s *part, path string, fields []field) {
	r.list(s.blocks, fields, func() string { return path })
	r.noParts(s, "Only a list belongs in this section")
}

func (r *markdownReader) noParts(s *part, what string) {
	for _, p := range s.parts {
		r.report(p.line, "unexpected", "", what+", not the heading "+quote(plainText(p.title))+". Move what stands under it to its own section.")
	}
}

// readParts reads a section with one heading an element.
func readParts[T any](r *markdownReader, s *part, list string, to *[]T, read func(*part, *T)) {
	for _, b := range s.blocks {
		r.unexpected(b, "this section; it begins with a heading like “### Name”")
	}
	for _, p := range s.parts {
		var element T
		read(p, &element)
		*to = append(*to, element)
	}
}

func (r *markdownReader) unexpected(b ast.Node, where string) {
	r.report(r.lineOf(b), "unexpected", "", "This "+blockName(b)+" does not belong in "+where+". Move it to the section “Notes”, or take it away.")
}

func blockName(b ast.Node) string {
	switch b.Kind() {
	case ast.KindHeading:
		return "heading"
	case ast.KindList:
		return "list"
	case ast.KindBlockquote:
		return "quote"
	case ast.KindCodeBlock, ast.KindFencedCodeBlock:
		return "code block"
	case ast.KindThematicBreak:
		return "line of marks"
	case ast.KindLinkReferenceDefinition:
		return "link"
	case east.KindTable:
		return "table"
	}
	return "paragraph"
}

// element reads what all elements under a heading have: a name, a list of
// fields and a key. It returns the element's path.
func (r *markdownReader) element(p *part, list string, name *string, key *Key, fields []field, lists []ast.Node) string {
	*name = plainText(p.title)
	base := func() string { return list + "/" + string(keyOr(*key, *name)) }
	r.list(lists, fields, base)
	*key = keyOr(*key, *name)
	path := base()
	_ = r.name("The name", path, p)
	r.lines[path] = p.line
	r.needKey(p.line, path, *key, *name)
	return path
}

func keyOr(key Key, name string) Key {
	if key == "" {
		return Slug(name)
	}
	return key
}

// needKey reports an element whose name gives no key.
func (r *markdownReader) needKey(line int, path string, key Key, name string) {
	if key == "" && name != "" {
		r.report(line, "key", path, quote(name)+" has no letter from a to z and no digit, so it gives no key. Write one under “Key”.")
	}
}

func (r *markdownReader) phase(p *part, to *Phase) {
	lists, tables := r.split(p.blocks)
	path := r.element(p, "phases", &to.Name, &to.Key, phaseFields(to), lists)
	r.limits(tables, path, &to.Limits)
	r.noParts(p, "A list and a table belong under a phase")
}

func (r *markdownReader) step(p *part, to *Step) {
	r.element(p, "steps", &to.Title, &to.Key, stepFields(to), p.blocks)
	r.noParts(p, "Only a list belongs under a step")
}

func (r *markdownReader) trigger(p *part, to *Trigger) {
	r.element(p, "triggers", &to.Title, &to.Key, triggerFields(to), p.blocks)
	r.noParts(p, "Only a list belongs under a trigger")
}

func (r *markdownReader) variant(p *part, to *Variant) {
	path := r.element(p, "variants", &to.Title, &to.Key, variantFields(to), p.blocks)
	items := false
	for _, below := range p.parts {
		title := plainText(below.title)
		switch {
		case strings.EqualFold(title, sectionItems):
			if items {
				r.report(below.line, "twice", path+"/items", "The items of this variant stand twice. Join the two.")
			}
			items = true
			readTable(r, below, path+"/items", &to.Items, itemFields, nameItem)
		case len(title) > len(limitsHeading) && strings.EqualFold(title[:len(limitsHeading)], limitsHeading):
			to.Phases = append(to.Phases, r.phaseChange(below, path, title[len(limitsHeading):]))
		default:
			r.report(below.line, "unexpected", path, "The heading "+quote(title)+" is not known under a variant. Write “#### Items”, or “#### Limits of ” and the key of a phase.")
		}
	}
}

func (r *markdownReader) phaseChange(p *part, variant, phase string) PhaseChange {
	var change PhaseChange
	path := variant + "/" + phase
	r.lines[path] = p.line
	if wrong := readKey(&change.Phase, phase); wrong != nil {
		r.report(p.line, wrong.code, path, wrong.text)
	}
	lists, tables := r.split(p.blocks)
	for _, b := range lists {
		r.unexpected(b, "the limits of a variant")
	}
	r.limits(tables, path, &change.Limits)
	return change
}

// split parts the tables from the other blocks.
func (r *markdownReader) split(blocks []ast.Node) (others, tables []ast.Node) {
	for _, b := range blocks {
		if b.Kind() == east.KindTable {
			tables = append(tables, b)
		} else {
			others = append(others, b)
		}
	}
	return others, tables
}

func nameItem(i *Item) (*Key, string) { return &i.Key, i.Name }
func nameDrug(d *Drug) (*Key, string) { return &d.Key, d.Name }
