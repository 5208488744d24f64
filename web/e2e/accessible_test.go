package e2e

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"sideport/web/e2e/axe"
)

// glass is one size at which screens are checked; zoomed ones are what a browser gives the page at that zoom.
type glass struct {
	name string
	size size
}

// glasses are the sizes of the tablets, phones and desks, the narrowest phone, and zoom: 200 % is WCAG 2.2, success
// criterion 1.4.4 (resize text); 400 % of a window of 1280 by 1024 is 1.4.10 (reflow).
var glasses = []glass{
	{"phone", phone}, {"tablet", upright}, {"desk", desk}, {"narrow", size{360, 640}},
	{"desk at 200 %", size{640, 400}}, {"tablet at 200 %", size{410, 590}}, {"desk at 400 %", size{320, 256}},
}

// brightGlasses are enough for the other look, which changes the colours and not where things stand.
var brightGlasses = []glass{{"phone", phone}, {"desk", desk}}

// Every screen, in both looks and at every size, is free of what axe-core finds
// against WCAG 2.2 A and AA and its own good practice; what is read in theatre
// has the enhanced contrast of 7 to 1 (success criterion 1.4.6).
func TestAccessible(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	for _, screen := range screens {
		t.Run(screen.name, func(t *testing.T) {
			b.t = t
			b.show(screen, id)
			for _, worn := range []struct {
				look    string
				glasses []glass
			}{{"bright", brightGlasses}, {"dim", glasses}} {
				b.wear(worn.look)
				for _, g := range worn.glasses {
					b.behind(g.size)
					b.fits(g.name)
					b.breaksNoRule(g.name+", "+worn.look, screen.theatre)
				}
			}
			b.behind(upright)
		})
	}
	b.t = t
}

// behind lays the page out for another size without opening it again.
func (b *tablet) behind(s size) {
	b.t.Helper()
	b.size = s
	b.do("set the screen size", chromedp.EmulateViewport(s.width, s.height))
}

// rules are the tags of axe-core for WCAG 2.0 to 2.2, levels A and AA, and its good practice.
const rules = `["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]`

// checked runs the checker. What stays at the edge while the page scrolls covers others in passing; for the size of a
// target it is put where it stands in the page. That it never covers what has the focus is another test.
const checked = `(async () => { const sticky = [...document.querySelectorAll("body *")].filter(e => getComputedStyle(e).position === "sticky");
	for (const e of sticky) e.style.setProperty("position", "static", "important");
	try { return (await axe.run(document, {runOnly: {type: "tag", values: %s}, resultTypes: ["violations"], rules: {"color-contrast-enhanced": {enabled: %t}}})).violations; }
	finally { for (const e of sticky) e.style.removeProperty("position"); } })()`

// broken is one rule that a screen breaks, and where.
type broken struct {
	ID, Help string
	Nodes    []struct {
		Target         []any
		HTML           string
		FailureSummary string
	}
}

// breaksNoRule runs axe-core in the page as it is now.
func (b *tablet) breaksNoRule(how string, theatre bool) {
	b.t.Helper()
	there, err := eval[bool](b, `typeof axe === "object"`)
	if err == nil && !there {
		b.do("bring the checker in", func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
			_, err := chromedp.Evaluate[any](axe.Script+"; null")(ctx, t)
			return chromedp.Void{}, err
		})
	}
	found, err := eval[[]broken](b, fmt.Sprintf(checked, rules, theatre))
	if err != nil {
		b.t.Fatalf("%s: run the checker: %v", how, err)
	}
	for _, f := range found {
		for _, n := range f.Nodes {
			b.t.Errorf("%s: %s (%s) at %v\n%s\n%s", how, f.ID, f.Help, n.Target, n.HTML, strings.TrimSpace(n.FailureSummary))
		}
	}
}

// With lines, words and letters as far apart as a reader may set them (WCAG
// 2.2, success criterion 1.4.12, text spacing) every screen still fits, and no
// words are cut off that were not: what is a beginning of its own accord, and
// whole one tap away, may be one.
func TestTextSpacing(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	for _, screen := range screens {
		t.Run(screen.name, func(t *testing.T) {
			b.t = t
			b.show(screen, id)
			cut, err := eval[[]string](b, spaced)
			if err != nil || len(cut) > 0 {
				t.Errorf("cut off: %q %v", cut, err)
			}
			b.fits(screen.name)
		})
	}
	b.t = t
}

// spaced sets the distances of the criterion and names what hides some of its words then and did not before.
const spaced = `(() => { const cut = () => [...document.querySelectorAll("body *")].filter(e => { const s = getComputedStyle(e);
		return ["hidden", "clip"].includes(s.overflowX) && s.clipPath === "none" && e.checkVisibility() && e.innerText
			&& (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1); });
	const before = new Set(cut()), sheet = new CSSStyleSheet();
	sheet.replaceSync("* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important } p { margin-bottom: 2em !important }");
	document.adoptedStyleSheets = [sheet];
	return cut().filter(e => !before.has(e)).map(e => e.className + ": " + e.innerText.slice(0, 60)); })()`
