package cards

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"
)

// Constructs of CommonMark 0.31.2, with the numbers of its examples and its
// expected HTML, written as HTML5 (<br>, not <br />).
func TestRenderNotesFollowsCommonMark(t *testing.T) {
	cases := []struct {
		example  int
		md, want string
	}{
		{12, "\\!\\\"\\#\\$\\%\\&\\'\\(\\)\\*\\+\\,\\-\\.\\/\\:\\;\\<\\=\\>\\?\\@\\[\\\\\\]\\^\\_\\`\\{\\|\\}\\~\n", "<p>!&quot;#$%&amp;'()*+,-./:;&lt;=&gt;?@[\\]^_`{|}~</p>\n"},
		{14, "\\*not emphasized*\n\\<br/> not a tag\n\\[not a link](/foo)\n\\`not code`\n1\\. not a list\n\\* not a list\n\\# not a heading\n\\[foo]: /url \"not a reference\"\n\\&ouml; not a character entity\n",
			"<p>*not emphasized*\n&lt;br/&gt; not a tag\n[not a link](/foo)\n`not code`\n1. not a list\n* not a list\n# not a heading\n[foo]: /url &quot;not a reference&quot;\n&amp;ouml; not a character entity</p>\n"},
		{17, "`` \\[\\` ``\n", "<p><code>\\[\\`</code></p>\n"},
		{30, "&MadeUpEntity;\n", "<p>&amp;MadeUpEntity;</p>\n"},
		{328, "`foo`\n", "<p><code>foo</code></p>\n"},
		{350, "*foo bar*\n", "<p><em>foo bar</em></p>\n"},
		{602, "<https://foo.bar/baz bim>\n", "<p>&lt;https://foo.bar/baz bim&gt;</p>\n"},
		{606, "<foo\\+@bar.example.com>\n", "<p>&lt;foo+@bar.example.com&gt;</p>\n"},
		{633, "foo  \nbaz\n", "<p>foo<br>\nbaz</p>\n"},
		{641, "`code\\\nspan`\n", "<p><code>code\\ span</code></p>\n"},
		{647, "### foo  \n", "<h3>foo</h3>\n"},
	}
	for _, c := range cases {
		if got := RenderNotes(c.md); got != c.want {
			t.Errorf("example %d: %q\nwant %q\ngot  %q", c.example, c.md, c.want, got)
		}
	}
}

// Where the output differs from the specification's on purpose: relative
// links, other schemes and images become text, HTML is shown, headings begin at level 3.
func TestRenderNotesDiffersOnPurpose(t *testing.T) {
	cases := []struct {
		example  int // of CommonMark 0.31.2; 0 where it has none
		md, want string
	}{
		{76, "## foo #\\##\n", "<h3>foo ###</h3>\n"},
		{482, "[link](/uri \"title\")\n", "<p>link</p>\n"},
		{484, "[](./target.md)\n", "<p></p>\n"},
		{520, "![[[foo](uri1)](uri2)](uri3)\n", "<p>[foo](uri2)</p>\n"},
		{527, "[foo][bar]\n\n[bar]: /url \"title\"\n", "<p>foo</p>\n"},
		{573, "![foo *bar*]\n\n[foo *bar*]: train.jpg \"train & tracks\"\n", "<p>foo bar</p>\n"},
		{594, "<http://foo.bar.baz>\n", "<p>" + link("http://foo.bar.baz", "http://foo.bar.baz") + "</p>\n"},
		{599, "<made-up-scheme://foo,bar>\n", "<p>made-up-scheme://foo,bar</p>\n"},
		{605, "<foo+special@Bar.baz-bar0.com>\n", "<p>" + link("mailto:foo+special@Bar.baz-bar0.com", "foo+special@Bar.baz-bar0.com") + "</p>\n"},
		{613, "<a><bab><c2c>\n", "<p>&lt;a&gt;&lt;bab&gt;&lt;c2c&gt;</p>\n"},
		{0, "[a](//evil.example/x)", "<p>a</p>\n"},
		{0, "[a](https:///x)", "<p>a</p>\n"},
		{0, "[a](https://x.example/ü?b=c&d=\"e\")", "<p>" + link("https://x.example/%C3%BC?b=c&amp;d=%22e%22", "a") + "</p>\n"},
		{0, "[a](mailto:ward@unit.example)", "<p>" + link("mailto:ward@unit.example", "a") + "</p>\n"},
		{0, "[a *b* `c`](ftp://x.example)", "<p>a <em>b</em> <code>c</code></p>\n"},
		{0, "![a <javascript:alert(1)> `b`](https://x.example/x.png)", "<p>a javascript:alert(1) b</p>\n"}, // code in an alternative text loses its marks
		{0, "~~old~~ new", "<p><del>old</del> new</p>\n"},
		{0, "", ""},
	}
	for _, c := range cases {
		if got := RenderNotes(c.md); got != c.want {
			t.Errorf("example %d: %q\nwant %q\ngot  %q", c.example, c.md, c.want, got)
		}
	}
}

func link(address, text string) string {
	return `<a href="` + address + `" rel="noopener noreferrer nofollow" target="_blank">` + text + `</a>`
}

// A table keeps its alignment as an attribute. Example 199 of the GitHub
// Flavored Markdown specification 0.29 (number from memory, unconfirmed).
func TestRenderNotesTable(t *testing.T) {
	got := RenderNotes("| abc | defghi |\n:-: | -----------:\nbar | baz\n")
	want := "<table>\n<thead>\n<tr>\n<th align=\"center\">abc</th>\n<th align=\"right\">defghi</th>\n</tr>\n</thead>\n<tbody>\n<tr>\n<td align=\"center\">bar</td>\n<td align=\"right\">baz</td>\n</tr>\n</tbody>\n</table>\n"
	if got != want {
		t.Errorf("want %q\ngot  %q", want, got)
	}
}

// injections are the usual strings that turn text into script, in the shapes Markdown gives them.
var injections = []string{
	"<script>alert(1)</script>", "<SCRIPT SRC=//x.example/x.js></SCRIPT>", "a<script\n>alert(1)</script\n>", "<scr<script>ipt>alert(1)</scr</script>ipt>",
	"<img src=x onerror=alert(1)>", "<svg onload=alert(1)>", "<svg><animate onbegin=alert(1) attributeName=x></svg>", "<math><mtext></form><form><mglyph><style></math><img src onerror=alert(1)>",
	"<iframe srcdoc='<script>alert(1)</script>'>", "<body onload=alert(1)>", "<a href=javascript:alert(1)>x</a>", "<details open ontoggle=alert(1)>", "<base href=//x.example>",
	"<style>*{background:url(//x.example)}</style>", "<meta http-equiv=refresh content=0;url=//x.example>", "<form action=//x.example><button>x", "<!--><img src=x onerror=alert(1)>-->", "<![CDATA[<script>alert(1)</script>]]>", "<?php x ?>",
	"[x](javascript:alert(1))", "[x](JaVaScRiPt:alert(1))", "[x]( javascript:alert(1))", "[x](<javascript:alert(1)>)", "[x](<java\tscript:alert(1)>)", "[x](java%0ascript:alert(1))",
	"[x](javascript&colon;alert(1))", "[x](javascript&#58;alert(1))", "[x](javascript&#x3a;alert(1))", "[x](&#106;avascript:alert(1))", "[x](&#x6A;avascript:alert(1))", "[x](java&Tab;script:alert(1))", "[x](java&NewLine;script:alert(1))",
	"[x](\\javascript:alert(1))", "[x](javascript\\:alert(1))", "[x](&#1;javascript:alert(1))", "[x](\u00a0javascript:alert(1))", "[x](\ufeffjavascript:alert(1))",
	"[x](data:text/html,<script>alert(1)</script>)", "[x](data:text/html;base64,PHNjcmlwdD5hbGVydCgxKTwvc2NyaXB0Pg)", "[x](data:image/png;base64,AAAA)", "[x](data:image/svg+xml,<svg/onload=alert(1)>)",
	"[x](vbscript:msgbox(1))", "[x](VBSCRIPT&colon;msgbox(1))", "[x](file:///etc/passwd)", "[x](blob:https://x.example/1)", "[x](filesystem:https://x.example/1)", "[x](view-source:https://x.example)", "[x](intent://x#Intent;end)",
	"[x](//x.example)", "[x](/\\x.example)", "[x](\\\\x.example)", "[x](https:x.example)", "[x](https:/\\x.example)", "[x](http:///x.example)", "[x](?a=b)", "[x](#top)", "[x](../x)",
	"<javascript:alert(1)>", "<JAVASCRIPT:alert(1)>", "<vbscript:msgbox(1)>", "<data:text/html,x>", "<javascript&colon;alert(1)>",
	"[x]\n\n[x]: javascript:alert(1)", "[x][y]\n\n[y]: <javascript:alert(1)> \"t\"", "[x][y]\n\n[y]: data:text/html,x", "![x]\n\n[x]: javascript:alert(1)",
	"![x](javascript:alert(1))", "![x\"onerror=alert(1)//](https://x.example/x.png)", "![<script>alert(1)</script>](x)", "[![x](javascript:alert(1))](javascript:alert(2))", "[![a](b)](https://x.example)",
	"[x](https://x.example \"onmouseover=alert(1)\")", "[x](https://x.example '\"onmouseover=\"alert(1)')", "[x](https://x.example/\"onmouseover=\"alert(1))", "[x](https://x.example/\"><script>alert(1)</script>)", "[\"><script>alert(1)</script>](https://x.example)",
	"```\"><script>alert(1)</script>\nx\n```", "``` x\" onclick=alert(1)\nx\n```", "`<script>alert(1)</script>`", "    <script>alert(1)</script>", "# x {#id onclick=alert(1)}", "# constructor", "x\n=\n", "- [ ] <script>", "| <script>alert(1)</script> |\n|-|\n| [x](javascript:alert(1)) |",
	"&lt;script&gt;alert(1)&lt;/script&gt;", "&#60;script&#62;alert(1)&#60;/script&#62;", "<\x00script>alert(1)</script>", "\u2028<script>alert(1)</script>", "<a href=\"x\" onclick=\"alert(1)\">", "<x onclick=alert(1)>x", "*<*script>", "<**script>alert(1)</**script>", "\xff<script\xff>",
	"|  \n|\xc1|\n| [x]() |", strings.Repeat("> ", 200) + "<script>alert(1)</script>", strings.Repeat("<script>", bodyLimit),
}

func TestRenderNotesIsSafe(t *testing.T) {
	for _, md := range injections {
		mustBeSafe(t, md)
	}
}

func FuzzRenderNotes(f *testing.F) {
	for _, md := range injections {
		if len(md) < 1000 {
			f.Add(md)
		}
	}
	f.Fuzz(func(t *testing.T, md string) { mustBeSafe(t, md) })
}

// allowed lists every element the notes may yield, with its attributes.
var allowed = map[string]string{
	"p": "", "h3": "", "h4": "", "h5": "", "h6": "", "em": "", "strong": "", "del": "", "code": "class", "pre": "", "blockquote": "", "ul": "", "ol": "start", "li": "",
	"hr": "", "br": "", "table": "", "thead": "", "tbody": "", "tr": "", "th": "align", "td": "align", "a": "href rel target title",
}

// mustBeSafe reads the HTML with a reader that knows nothing of Markdown and
// allows only the listed elements and attributes, nested properly.
func mustBeSafe(t *testing.T, md string) {
	t.Helper()
	out := RenderNotes(md)
	closed := strings.NewReplacer("<br>", "<br/>", "<hr>", "<hr/>").Replace(strings.Map(xmlRune, out))
	d := xml.NewDecoder(strings.NewReader("<notes>" + closed + "</notes>"))
	d.Entity = xml.HTMLEntity
	for {
		token, err := d.Token()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Fatalf("%q gives HTML that is not well formed (%v):\n%s", md, err, out)
		}
		switch e := token.(type) {
		case xml.StartElement:
			mustBeAllowed(t, md, out, e)
		case xml.Comment, xml.ProcInst, xml.Directive:
			t.Fatalf("%q gives markup that is no element: %v\n%s", md, e, out)
		}
	}
}

// xmlRune replaces the characters XML forbids, which HTML merely ignores.
func xmlRune(r rune) rune {
	if (r < 0x20 && r != '\n' && r != '\t') || r == 0xfffe || r == 0xffff {
		return '?'
	}
	return r
}

func mustBeAllowed(t *testing.T, md, out string, e xml.StartElement) {
	t.Helper()
	if e.Name.Local == "notes" {
		return
	}
	attributes, ok := allowed[e.Name.Local]
	if !ok {
		t.Fatalf("%q gives the element %q:\n%s", md, e.Name.Local, out)
	}
	for _, a := range e.Attr {
		if !contains(strings.Fields(attributes), a.Name.Local) {
			t.Fatalf("%q gives the attribute %q:\n%s", md, a.Name.Local, out)
		}
		if a.Name.Local == "href" && !strings.HasPrefix(strings.ToLower(a.Value), "https://") && !strings.HasPrefix(strings.ToLower(a.Value), "http://") && !strings.HasPrefix(strings.ToLower(a.Value), "mailto:") {
			t.Fatalf("%q gives a link to %q:\n%s", md, a.Value, out)
		}
	}
}

// Only the good links of the injection list survive: the check above would also pass if every link did.
func TestRenderNotesKeepsGoodLinks(t *testing.T) {
	kept := 0
	for _, md := range injections {
		kept += strings.Count(RenderNotes(md), "<a ")
	}
	if kept != 6 {
		t.Errorf("%d links of the injection list are kept, want the 6 that begin with https:// and a host", kept)
	}
}

// The notes of one card must not hold up a list: the costliest shapes known, at the largest size that is laid out.
func TestRenderNotesLargestShapes(t *testing.T) {
	for _, unit := range []string{"[a](", "*a_ ", "[", "![", "`a ``b ", "~~a ", "> ", "- ", "|a", "&", "<", "[a]: b\n", "|a|b|\n|-|-|\n"} {
		md := strings.Repeat(unit, bodyLimit/len(unit))
		if out := RenderNotes(md); len(out) > 40*len(md) {
			t.Errorf("%d bytes of %q give %d bytes of HTML", len(md), unit, len(out))
		}
	}
}
