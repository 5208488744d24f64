package e2e

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"sideport/web/e2e/harness"
)

// What a unit prints fits a folder, and nothing on it waits for a finger. The
// bounds leave room for the fonts of another machine.
func TestPaper(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	for _, p := range []struct {
		name, path, words string
		pages             int
	}{
		{"card", "/cards/" + chopCard, "Starting limits", 6},
		{"card-flip", "/cards/lanternby-flip", "Starting limits", 6},
		{"setup", "/sheet/" + id + "/setup", "Special for this case", 3},
		{"limits", "/sheet/" + id + "/limits", "confirm on the machine", 3},
	} {
		t.Run(p.name, func(t *testing.T) {
			b.t = t
			b.open(p.path)
			b.sees(p.words)
			b.onPaper("print")
			defer b.onPaper("")
			b.sees("Demonstration: invented unit. Not for care.")
			b.sees("Printed ")
			b.untouchable()
			b.unfolded()
			if got := b.pages(p.name); got < 1 || got > p.pages {
				t.Errorf("it prints on %d A4 pages, want at most %d", got, p.pages)
			}
		})
	}
	b.t = t
}

// onPaper lays the page out for a medium; none named is the screen again.
func (b *tablet) onPaper(medium string) {
	b.t.Helper()
	b.do("lay out for "+medium, func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: medium})
		return chromedp.Void{}, err
	})
}

// untouchable holds that no button, link dressed as one, tab or handle of a
// fold stands there. A row that is ticked is a line of the list, and the title
// of an "if" is the heading of what is printed below it.
func (b *tablet) untouchable() {
	b.t.Helper()
	found, err := eval[[]string](b, `[...document.querySelectorAll("button:not(.tick), a.button, nav a, summary, input")]
		.filter(e => e.checkVisibility() && e.getBoundingClientRect().height > 0 && !e.closest(".if > summary")).map(e => e.innerText || e.ariaLabel)`)
	if err == nil && len(found) > 0 {
		err = errors.New("for fingers only: " + quotedList(found))
	}
	if err != nil {
		b.t.Errorf("the paper: %v", err)
	}
}

// unfolded holds that what every "if" of a card says is there, though it is folded on the screen.
func (b *tablet) unfolded() {
	b.t.Helper()
	folded, err := eval[[]string](b, `[...document.querySelectorAll(".if")].filter(e => !e.querySelector(".if-inside").checkVisibility()).map(e => e.innerText)`)
	if err == nil && len(folded) > 0 {
		err = errors.New("folded: " + quotedList(folded))
	}
	if err != nil {
		b.t.Errorf("the paper: %v", err)
	}
}

func quotedList(list []string) string {
	var out bytes.Buffer
	for _, s := range list {
		out.WriteString(quoted(s) + " ")
	}
	return out.String()
}

// pages prints on A4 and counts the sheets.
func (b *tablet) pages(name string) int {
	b.t.Helper()
	return harness.Pages(b.pdf(name))
}

// pdf prints the page as it stands. SIDEPORT_PICTURES keeps the file.
func (b *tablet) pdf(name string) []byte {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	out, err := chromedp.Run(ctx, func(ctx context.Context, _ *chromedp.Target) (page.PrintToPDFResult, error) {
		own := true
		return chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: &own})
	})
	if err != nil {
		b.t.Fatalf("print %s: %v", name, err)
	}
	if dir := os.Getenv("SIDEPORT_PICTURES"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, "paper-"+name+".pdf"), out.Data, 0o644); err != nil {
			b.t.Fatal(err)
		}
	}
	return out.Data
}
