package e2e

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"
)

// watched notes everything that moves by itself on a page, with what it was and where it stood: W3C Layout Instability.
const watched = `window.moves = [];
	const named = n => { const e = n && (n.nodeType === 1 ? n : n.parentElement); return e ? e.localName + (e.className && e.className.baseVal === undefined ? "." + e.className.replaceAll(" ", ".") : "") : "something gone"; };
	const placed = r => Math.round(r.x) + "," + Math.round(r.y) + " " + Math.round(r.width) + "×" + Math.round(r.height);
	new PerformanceObserver(list => { for (const e of list.getEntries()) if (!e.hadRecentInput)
		moves.push({value: e.value, what: e.sources.map(s => named(s.node) + " " + placed(s.previousRect) + " → " + placed(s.currentRect))}); }).observe({type: "layout-shift", buffered: true});`

// mayMove is the sum of shifts below which nobody sees anything move; the published bound of a good page is 0.1
// (Web Vitals, cumulative layout shift).
const mayMove = 0.01

// Nothing moves by itself under a finger: not while a page is read for the first time, and not when it is opened again.
func TestNothingMovesByItself(t *testing.T) {
	for _, size := range []size{phone, upright, desk} {
		t.Run(fmt.Sprintf("%dx%d", size.width, size.height), func(t *testing.T) {
			s := startServer(t)
			b := bareTablet(t, s, size)
			if _, err := chromedp.Call(b.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: watched}); err != nil {
				t.Fatal(err)
			}
			b.holdsStill("let in", "/", "Let this device in")
			b.enrols("personal")
			for _, first := range []struct{ path, words string }{
				{"/", "No sheet yet"}, {"/cards", "Find a card"}, {"/cards/" + chopCard, chopTitle}, {"/waiting", "Nothing is waiting"}, {"/help", "By what you do"},
			} {
				b.holdsNothing()
				b.holdsStill("first visit", first.path, first.words)
			}
			b.becomes(chopSurgeon)
			id := b.firstSheet()
			for _, s := range screens {
				if s.theatre && s.reach == nil {
					b.holdsStill("again", replaceCase(s.path, id), s.words)
				}
			}
		})
	}
}

// holdsNothing takes away what the tablet stored, but not that the server knows it.
func (b *tablet) holdsNothing() {
	b.t.Helper()
	b.open("/licences.txt")
	b.do("empty the storage", func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, storage.ClearDataForOrigin, storage.ClearDataForOriginParams{Origin: strings.TrimSuffix(b.s.url("/"), "/"), StorageTypes: "indexeddb,service_workers,cache_storage"})
		return chromedp.Void{}, err
	})
}

// holdsStill opens a page and holds that nothing moved until it was whole.
func (b *tablet) holdsStill(how, path, words string) {
	b.t.Helper()
	b.open(path)
	b.sees(words)
	type move struct {
		Value float64
		What  []string
	}
	moves, err := eval[[]move](b, `document.fonts.ready.then(() => new Promise(done => setTimeout(() => requestAnimationFrame(() => done(moves)), 700)))`) // entries come a little after the paint
	if err != nil {
		b.t.Fatal(err)
	}
	sum := 0.0
	for _, m := range moves {
		sum += m.Value
	}
	if sum > mayMove {
		b.t.Errorf("%s, %s: %.4f moved by itself:", path, how, sum)
		for _, m := range moves {
			b.t.Errorf("  %.4f %s", m.Value, strings.Join(m.What, "; "))
		}
	} else if sum > 0 {
		b.t.Logf("%s, %s: %.4f", path, how, sum)
	}
}
