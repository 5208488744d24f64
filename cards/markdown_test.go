package cards

import (
	"bytes"
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

const head = "# Chop\n\n- Card: anna-chop\n- Technique: horizontal chop\n- Owner: anna\n"

// The plain card covers every section; its values are made up for the test.
func TestFormatThenParsePlain(t *testing.T) {
	c := plain()
	c.Extra = []Section{{Title: "Teaching", Body: "Let the trainee groove."}}
	got, problems := ParseAndCheck(Format(c))
	if len(problems) > 0 {
		t.Errorf("problems in a plain card:\n%v", problems)
	}
	if !reflect.DeepEqual(got, c) {
		t.Errorf("want %+v\ngot  %+v\n%s", c, got, Format(c))
	}
}

func TestFormatSaysEmptyListsAsNil(t *testing.T) {
	c := plain()
	c.Items, c.Extra, c.Triggers[0].Scrub = []Item{}, []Section{}, []string{}
	got, _ := Parse(Format(c))
	if got.Items != nil || got.Extra != nil || got.Triggers[0].Scrub != nil {
		t.Errorf("empty lists are not nil: %#v %#v %#v", got.Items, got.Extra, got.Triggers[0].Scrub)
	}
}

// The example cards are in the one written form and hold no error.
func TestExampleCards(t *testing.T) {
	for _, name := range glob(t, "../testdata/cards/*.md") {
		md, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		c, problems := ParseAndCheck(md)
		if errors := problems.Errors(); len(errors) > 0 {
			t.Errorf("%s:\n%v", name, errors)
		}
		if got := Format(c); !bytes.Equal(got, md) {
			t.Errorf("%s is not as Format writes it; got\n%s", name, got)
		}
	}
}

// The document of the format holds a whole card, indented as code. It must be
// read without any problem and be in the written form.
func TestCardFormatDocument(t *testing.T) {
	doc, err := os.ReadFile("../docs/card-format.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(doc), "````markdown\n")
	md, _, closed := strings.Cut(rest, "````\n")
	if !ok || !closed {
		t.Fatal("docs/card-format.md holds no example between ````markdown and ````")
	}
	c, problems := ParseAndCheck([]byte(md))
	if len(problems) > 0 {
		t.Errorf("the example of the document has problems:\n%v", problems)
	}
	if got := string(Format(c)); got != md {
		t.Errorf("the example of the document is not as Format writes it; got\n%s", got)
	}
	for _, title := range sectionTitles {
		if !strings.Contains(md, "\n## "+title+"\n") {
			t.Errorf("the example of the document has no section %s", title)
		}
	}
	for _, p := range Parameters {
		if !strings.Contains(string(doc), p.Label) {
			t.Errorf("the document does not name the value %q", p.Label)
		}
	}
}

// What a person may write in other ways and still means the same.
var acceptedFiles = []struct {
	name, md string
	want     func(Card) any
	value    any
}{
	{"a byte order mark", "\ufeff" + head, func(c Card) any { return c.Title }, "Chop"},
	{"lines ended by CR LF", strings.ReplaceAll(head, "\n", "\r\n"), func(c Card) any { return c.Owner }, PersonID("anna")},
	{"lines ended by CR", strings.ReplaceAll(head, "\n", "\r"), func(c Card) any { return c.ID }, CardID("anna-chop")},
	{"an underlined title", "Chop\n====\n\n- Owner: anna\n", func(c Card) any { return c.Title }, "Chop"},
	{"an underlined section", head + "\nNotes\n---\nWarm.\n", func(c Card) any { return c.Notes }, "Warm."},
	{"marks after a heading", "# Chop ##\n", func(c Card) any { return c.Title }, "Chop"},
	{"a numbered list", "# Chop\n\n1. Owner: anna\n", func(c Card) any { return c.Owner }, PersonID("anna")},
	{"labels and choices in any case", "# a\n\n- TECHNIQUE: Flip\n", func(c Card) any { return c.Technique }, Flip},
	{"a curly apostrophe", "# a\n\n## surgeon\n- usual anaesthesia: Sub-Tenon’s\n", func(c Card) any { return c.Basics.Anaesthesia }, Anaesthesia("sub-Tenon's")},
	{"a text over two lines", "# a\n\n## Machine\n\n- Foot pedal: left foot,\n  no shoe\n", func(c Card) any { return c.Machine.Pedal }, "left foot, no shoe"},
	{"a character reference", "# a\n\n## Machine\n\n- Foot pedal: 5 &lt; 6 &#38; &MadeUpEntity;\n", func(c Card) any { return c.Machine.Pedal }, "5 < 6 & &MadeUpEntity;"},
	{"marks that mean nothing here", "# a\n\n## Machine\n\n- Foot pedal: 2*3*4 `x` <b>\n", func(c Card) any { return c.Machine.Pedal }, "2*3*4 `x` <b>"},
	{"a unit without a space", "# a\n\n## Surgeon\n\n- Main incision width: 2.4mm\n", func(c Card) any { return c.Basics.MainWidth }, MustQuantity("2.4")},
	{"trailing zeros", "# a\n\n## Surgeon\n\n- Glove size: 7.50\n", func(c Card) any { return c.Basics.GloveSize }, MustQuantity("7.5")},
	{"columns in another order, without outer marks", "# a\n\n## Items\n\nKind | Item | State | Quantity\n-|-|-|-\nfluid | A \\| B | open | 2\n",
		func(c Card) any { return c.Items }, []Item{{Key: "a-b", Name: "A | B", Kind: "fluid", Quantity: 2, State: Open}}},
	{"two tables", "# a\n\n## Items\n\n| Item |\n| - |\n| A |\n\n| Item | Counted |\n| - | - |\n| B | no |\n",
		func(c Card) any { return c.Items }, []Item{{Key: "a", Name: "A"}, {Key: "b", Name: "B"}}},
	{"a key of its own", "# a\n\n## Items\n\n| Item | Key |\n| - | - |\n| New name | old-name |\n",
		func(c Card) any { return c.Items }, []Item{{Key: "old-name", Name: "New name"}}},
	{"one line of a role beside its label", "# a\n\n## Triggers\n\n### T\n\n- Surgeon: stop\n", func(c Card) any { return c.Triggers[0].Surgeon }, []string{"stop"}},
	{"limits left blank", "# a\n\n## Phases\n\n### Chop\n\n| Limit | Value | Unit | Control |\n| - | - | - | - |\n| Vacuum | | mmHg | linear |\n| Ultrasound power | | | |\n",
		func(c Card) any { return c.Phases[0].Limits }, Limits{VacuumControl: Linear}},
	{"notes with what looks like a heading in code", head + "\n## Notes\n\n```\n# not a heading\n```\n", func(c Card) any { return c.Notes }, "```\n# not a heading\n```"},
}

func TestParseAccepts(t *testing.T) {
	for _, c := range acceptedFiles {
		t.Run(c.name, func(t *testing.T) {
			card, problems := Parse([]byte(c.md))
			if len(problems) > 0 {
				t.Errorf("problems:\n%v", problems)
			}
			if got := c.want(card); !reflect.DeepEqual(got, c.value) {
				t.Errorf("want %#v, got %#v", c.value, got)
			}
		})
	}
}

const limitsHead = "# a\n\n## Phases\n\n### Chop\n\n| Limit | Value | Unit | Control |\n| - | - | - | - |\n"

// Each file is wrong in one place: the line, code and path are named, and the sentence holds the mend.
var reportedFiles = []struct{ name, md, want, says string }{
	{"no title", "- Owner: anna\n", "1 title title", "Begin the file with a line like"},
	{"two titles", "# a\n\n# b\n", "3 title title", "One file holds one card"},
	{"empty title", "#\n", "1 empty title", "Write it after the # marks"},
	{"unknown label", "# a\n\n- Ownr: anna\n", "3 label ", "Did you mean “Owner”?"},
	{"no label", "# a\n\n- anna\n", "3 label ", "- Label: value"},
	{"label twice", "# a\n\n- Owner: anna\n- Owner: ben\n", "4 twice owner", "Leave one"},
	{"two values", "# a\n\n- Owner: anna\n  - ben\n", "4 twice owner", "takes one value"},
	{"owner that is no key", "# a\n\n- Owner: Anna Ash\n", "3 key owner", "for example “anna-ash”"},
	{"no such day", "# a\n\n- Review: 2027-02-30\n", "3 date review", "2027-03-31"},
	{"unknown choice", "# a\n\n- Technique: vertical chopp\n", "3 choice technique", "Did you mean “vertical chop”?"},
	{"text before the list", "# a\n\nHello.\n", "3 unexpected ", "“Notes”"},
	{"section twice", "# a\n\n## Surgeon\n\n## Surgeon\n", "5 twice surgeon", "Join the two"},
	{"number without unit", "# a\n\n## Surgeon\n\n- Main incision width: 2.4\n", "5 unit basics/main_width", "then “mm”"},
	{"number in another unit", "# a\n\n## Surgeon\n\n- Main incision width: 2.4 cm\n", "5 unit basics/main_width", "then “mm”"},
	// Blocking such numbers at entry halves out-by-ten errors: Thimbleby and Cairns 2010, doi:10.1098/rsif.2010.0112.
	{"number without a leading zero", "# a\n\n## Surgeon\n\n- Main incision width: .9 mm\n", "5 number basics/main_width", "both sides of the decimal point"},
	{"number with a comma", "# a\n\n## Surgeon\n\n- Main incision width: 2,4 mm\n", "5 number basics/main_width", "2,4"},
	{"strength without unit", "# a\n\n## Drugs\n\n| Drug | Strength |\n| - | - |\n| D | 10 |\n", "7 unit drugs/d/strength", "mg/mL"},
	{"unknown column", "# a\n\n## Items\n\n| Item | Quantiy |\n| - | - |\n| A | 1 |\n", "5 label items", "Did you mean “Quantity”?"},
	{"column twice", "# a\n\n## Items\n\n| Item | Item |\n| - | - |\n| A | B |\n", "5 twice items", "Leave one"},
	{"row without a name", "# a\n\n## Items\n\n| Item | Quantity |\n| - | - |\n| | 1 |\n", "7 empty items/", "take the row away"},
	{"row with a cell too many", "# a\n\n## Items\n\n| Item | Quantity |\n| - | - |\n| A | 1 | B |\n", "7 table items", `\|`},
	{"quantity in words", "# a\n\n## Items\n\n| Item | Quantity |\n| - | - |\n| A | two |\n", "7 number items/a/quantity", "Write digits only"},
	{"name that gives no key", "# a\n\n## Items\n\n| Item |\n| - |\n| 眼 |\n", "7 key items/", "“Key”"},
	{"key that is none", "# a\n\n## Items\n\n| Item | Key |\n| - | - |\n| A | A B |\n", "7 key items/A B/key", "for example “a-b”"},
	{"unknown allergen", "# a\n\n## Items\n\n| Item | Contains |\n| - | - |\n| A | iodine, latx |\n", "7 choice items/a/allergens", "Did you mean “latex”?"},
	{"list among items", "# a\n\n## Items\n\n- Item: A\n", "5 unexpected ", "a table with the columns Item"},
	{"text in phases", "# a\n\n## Phases\n\nHello.\n", "5 unexpected ", "### Name"},
	{"unknown limit", limitsHead + "| Vaccum | 5 | mmHg | |\n", "9 label phases/chop", "Did you mean “Vacuum”?"},
	{"limit twice", limitsHead + "| Vacuum | 5 | mmHg | |\n| Vacuum | 6 | mmHg | |\n", "10 twice phases/chop/vacuum", "Leave one"},
	{"limit in another unit", limitsHead + "| Bottle height | 70 | mmHg | |\n", "9 unit phases/chop/bottle", "its unit is “cm”"},
	{"limit without unit", limitsHead + "| Vacuum | 70 | | |\n", "9 unit phases/chop/vacuum", "its unit is “mmHg”"},
	{"unit where there is none", limitsHead + "| Mode | burst | ms | |\n", "9 unit phases/chop/mode", "Leave that cell blank"},
	{"control where there is none", limitsHead + "| Bottle height | 70 | cm | linear |\n", "9 label phases/chop/bottle", "Leave that cell blank"},
	{"unknown control", limitsHead + "| Vacuum | 70 | mmHg | lineer |\n", "9 choice phases/chop/vacuum", "Did you mean “linear”?"},
	{"heading under a step", "# a\n\n## Steps\n\n### S\n\n#### T\n", "7 unexpected ", "Only a list belongs"},
	{"empty line of a role", "# a\n\n## Triggers\n\n### T\n\n- Surgeon:\n  - stop\n  -\n", "9 empty triggers/t/surgeon", "take the line away"},
	{"a role's line of two paragraphs", "# a\n\n## Triggers\n\n### T\n\n- Surgeon:\n  - one\n\n    two\n", "10 unexpected ", "one line"},
	{"unknown heading under a variant", "# a\n\n## Variants\n\n### V\n\n#### Limit of chop\n", "7 unexpected variants/v", "#### Limits of"},
	{"unknown factor", "# a\n\n## Fit\n\n| Speaks | When | Reason |\n| - | - | - |\n| for | Pupil below 5 mm | r |\n", "7 no such factor fit/1/when", "Dilated pupil below 5 mm"},
	{"factor slightly wrong", "# a\n\n## Fit\n\n| When |\n| - |\n| Dilated pupl below 5 mm |\n", "7 no such factor fit/1/when", "Did you mean “Dilated pupil”?"},
	{"unknown comparison", "# a\n\n## Fit\n\n| When |\n| - |\n| Dilated pupil under 5 mm |\n", "7 comparison fit/1/when", "“below”"},
	{"condition without unit", "# a\n\n## Fit\n\n| When |\n| - |\n| Dilated pupil below 5 |\n", "7 unit fit/1/when", "then “mm”"},
	{"condition out of bounds", "# a\n\n## Fit\n\n| When |\n| - |\n| Dilated pupil below 50 mm |\n", "7 bounds fit/1/when", "1 to 10 mm"},
	{"heading in the notes that ends them", "# a\n\n## Notes\n\n# b\n", "5 title title", "use ##"},
	{"heading in a quote of the notes", "# a\n\n## Notes\n\n> ## b\n", "3 text notes", "write ### or deeper"},
	{"code left open", "# a\n\n## Notes\n\n```\nx\n", "3 text notes", "close it"},
	{"mark that turns text", "# a\n\n## Machine\n\n- Foot pedal: \u202e50\n", "5 text machine/pedal", "U+202E"},
	{"a line break by reference", "# a\n\n## Machine\n\n- Foot pedal: a&#10;b\n", "5 text machine/pedal", "write it on one line"},
	{"a section that looks like a slip", "# a\n\n## Tiggers\n\nx\n", "3 section extra", "If it was meant as “Triggers”"},
	{"not UTF-8", "# a\n\xff\n", "2 encoding ", "Save it as UTF-8"},
	{"too large", "# a\n" + strings.Repeat("x", markdownLimit), "1 size ", "check that it is the right file"},
}

func TestParseReports(t *testing.T) {
	for _, c := range reportedFiles {
		t.Run(c.name, func(t *testing.T) {
			_, problems := Parse([]byte(c.md))
			if len(problems) != 1 {
				t.Fatalf("want one problem, got %d:\n%v", len(problems), problems)
			}
			p := problems[0]
			if got := strconv.Itoa(p.Line) + " " + p.Code + " " + p.Path; got != c.want {
				t.Errorf("want %q, got %q: %s", c.want, got, p.Text)
			}
			if !strings.Contains(p.Text, c.says) {
				t.Errorf("want %q in %q", c.says, p.Text)
			}
		})
	}
}

// One wrong line hides no other.
func TestParseReportsAll(t *testing.T) {
	_, problems := Parse([]byte("# a\n\n- Ownr: x\n- Review: never\n\n## Surgeon\n\n- Glove size: big\n\n## Steps\n\nHello.\n"))
	var lines []string
	for _, p := range problems {
		lines = append(lines, strconv.Itoa(p.Line)+" "+p.Code)
	}
	if got := strings.Join(lines, ", "); got != "3 label, 4 date, 8 number, 12 unexpected" {
		t.Errorf("got %s", got)
	}
}

// Check knows no lines; ParseAndCheck adds them, and does not repeat what the form already said.
func TestParseAndCheckGivesLines(t *testing.T) {
	md := head + "\n## Phases\n\n### Chop\n\n- Kind: chop\n\n| Limit | Value | Unit |\n| - | - | - |\n| Vacuum | 760 | mmHg |\n| Ultrasound power | x | % |\n\n## Steps\n\n### S\n\n- Phase: sculpt\n"
	_, problems := ParseAndCheck([]byte(md))
	var got []string
	for _, p := range problems.Errors() {
		got = append(got, strconv.Itoa(p.Line)+" "+p.Code+" "+p.Path)
	}
	want := []string{"16 number phases/chop/power", "15 bounds phases/chop/vacuum", "22 no such phase steps/s/phase"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("want %q\ngot  %q", want, got)
	}
}

func TestParseKeepsUnknownSections(t *testing.T) {
	md := head + "\n## Later\n\n1. one\n\n### Sub\n\n## Notes\n\nWarm.\n\n## Even later\n\n| a |\n| - |\n| b |\n"
	c, problems := Parse([]byte(md))
	want := []Section{{"Later", "1. one\n\n### Sub"}, {"Even later", "| a |\n| - |\n| b |"}}
	if len(problems) > 0 || !reflect.DeepEqual(c.Extra, want) || c.Notes != "Warm." {
		t.Errorf("got %q, notes %q, problems %v", c.Extra, c.Notes, problems)
	}
	if out := string(Format(c)); !strings.HasSuffix(out, "\n## Notes\n\nWarm.\n\n## Later\n\n1. one\n\n### Sub\n\n## Even later\n\n| a |\n| - |\n| b |\n") {
		t.Errorf("unknown sections are not written after the known ones:\n%s", out)
	}
}

// Bad texts carry what is wrong with them; "" is storable.
func TestStorableText(t *testing.T) {
	cases := []struct {
		text      string
		multiline bool
		want      string // part of the reason
	}{
		{"", false, ""},
		{"2 < 3 | \\ * _ ` & [x] # 5. – “é” 眼  x", false, ""},
		{"one\ntwo", false, "line break"},
		{"one\u2028two", false, "line break"},
		{" a", false, "white space"},
		{"a\u00a0", false, "white space"},
		{"a\tb", false, "U+0009"},
		{"a\x00b", false, "U+0000"},
		{"a\xffb", false, "UTF-8"},
		{"a\u202eb", false, "turns the direction"},
		{strings.Repeat("a", lineLimit+1), false, "longer than 2000 bytes"},
		{"", true, ""},
		{"one\n\n### two\n\n\tcode", true, ""},
		{"\none", true, "blank line"},
		{"one\n \t", true, "blank line"},
		{"one\r\ntwo", true, "line break"},
		{"# one", true, "above level 3"},
		{"one\n===", true, "above level 3"},
		{"one\n---", true, "above level 3"},
		{"> # one", true, "above level 3"},
		{"```\n# one\n```", true, ""},
		{"```\none", true, "code block open"},
		{"<!-- a comment means nothing", true, ""},
		{strings.Repeat("> ", 30) + "a", true, "nested too deeply"},
		{strings.Repeat("|a", 50), true, "narrower table"},
		{strings.Repeat(`\|a`, 50), true, ""},
		{strings.Repeat("1 - ", 50) + "a", true, ""},
		{"a\n" + strings.Repeat(" ", 101) + "b", true, "white space"},
		{strings.Repeat("a", bodyLimit+1), true, "longer than 16384 bytes"},
	}
	for _, c := range cases {
		got := StorableText(c.text, c.multiline)
		if (c.want == "") != (got == "") || !strings.Contains(got, c.want) {
			t.Errorf("StorableText(%.40q, %v) = %q, want %q", c.text, c.multiline, got, c.want)
		}
	}
}

// The escapes of values are those of CommonMark 0.31.2; the numbers are of its examples.
func TestPlainTextFollowsCommonMark(t *testing.T) {
	cases := []struct {
		example      int
		source, want string
	}{
		{12, "\\!\\\"\\#\\$\\%\\&\\'\\(\\)\\*\\+\\,\\-\\.\\/\\:\\;\\<\\=\\>\\?\\@\\[\\\\\\]\\^\\_\\`\\{\\|\\}\\~", "!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~"},
		{13, `\A\a\ \3\φ\«`, `\A\a\ \3\φ\«`},
		{14, `\&ouml; not a character entity`, "&ouml; not a character entity"},
		{25, "&amp; &copy; &AElig; &Dcaron;", "& © Æ Ď"},
		{26, "&#35; &#1234; &#992;", "# Ӓ Ϡ"},
		{27, "&#X22; &#XD06; &#xcab;", "\" ആ ಫ"},
		{30, "&MadeUpEntity;", "&MadeUpEntity;"},
	}
	for _, c := range cases {
		if got := plainText(c.source); got != c.want {
			t.Errorf("example %d: %q gives %q, want %q", c.example, c.source, got, c.want)
		}
	}
}

// Every value is written so that any CommonMark reader shows it as it is; the
// renderer of the notes, which is held to the specification's examples, is that reader here.
func TestEscapedTextReadsAsItself(t *testing.T) {
	for _, text := range []string{"1. one", "- a", "+", "---", "# a", "> a", "*a*", "__a__", "`a`", "<b>a</b>", "&amp; &#38; & b", "[a](http://a.example)", "![a](b)", "[a]: b", "a | b", `a\`, `\*`, "~~a~~", "```", "12) a", "a #", "<http://a.example>", "&~;", "&&amp;", "&&amp &;"} {
		want := "<p>" + strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;").Replace(text) + "</p>\n"
		if got := RenderNotes(escapeText(text, true)); got != want {
			t.Errorf("%q is written %q, which reads as %q", text, escapeText(text, true), got)
		}
	}
}

func TestLabelsAreUnique(t *testing.T) {
	var c Card
	lists := map[string][]field{"header": headerFieldsOf(&c), "surgeon": basicsFields(&c.Basics), "machine": machineFields(&c.Machine),
		"item": itemFields(&Item{}), "drug": drugFields(&Drug{}), "fit": fitFields(&Fit{}), "phase": phaseFields(&Phase{}),
		"step": stepFields(&Step{}), "trigger": triggerFields(&Trigger{}), "variant": variantFields(&Variant{})}
	for name, fields := range lists {
		seen := map[string]bool{}
		for _, f := range fields {
			if label := strings.ToLower(f.label); f.label == "" || strings.Contains(label, ":") || seen[label] {
				t.Errorf("%s: the label %q is empty, holds a colon or stands twice", name, f.label)
			}
			seen[strings.ToLower(f.label)] = true
		}
	}
}

// Files made to hurt are refused with a line, or read; none takes long or panics.
func TestHostileFiles(t *testing.T) {
	want := map[string]string{ // the first problem's line and code
		"deep-quotes.md":     "3 size",
		"deep-lists.md":      "3 size",
		"wide-table.md":      "5 size",
		"open-comment.md":    "",
		"nul.md":             "9 text",
		"not-utf-8.md":       "5 encoding",
		"direction-marks.md": "9 text",
		"swallowed-cell.md":  "9 table",
		"second-card.md":     "7 title",
		"title-only.md":      "",
		"empty.md":           "1 title",
	}
	for _, name := range glob(t, "../testdata/hostile/*.md") {
		md, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		base := name[strings.LastIndexByte(name, '/')+1:]
		expected, listed := want[base]
		if !listed {
			t.Errorf("%s has no expectation in this test", base)
		}
		_, problems := Parse(md)
		got := ""
		if len(problems) > 0 {
			got = strconv.Itoa(problems[0].Line) + " " + problems[0].Code
		}
		if got != expected {
			t.Errorf("%s: want %q, got %q\n%v", base, expected, got, problems)
		}
		fixedPoint(t, md)
		delete(want, base)
	}
	for name := range want {
		t.Errorf("testdata/hostile/%s is missing", name)
	}
}
