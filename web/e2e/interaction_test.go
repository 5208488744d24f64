package e2e

import (
	"slices"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// observed notes how long each touch or key took until the screen showed what came of it, and what moved by itself:
// W3C Event Timing and Layout Instability, which "interaction to next paint" and "cumulative layout shift" are made of.
const observed = `window.took = []; window.moved = [];
	new PerformanceObserver(list => { for (const e of list.getEntries()) if (e.interactionId) took.push(e.duration); }).observe({type: "event", durationThreshold: 16, buffered: true});
	new PerformanceObserver(list => { for (const e of list.getEntries()) if (!e.hadRecentInput) moved.push(e.value); }).observe({type: "layout-shift", buffered: true});`

// shortest is what a touch counts that was so fast that the browser does not report it.
const shortest = 16

// BenchmarkInteractionToNextPaint is the time from a touch to the next paint, with the processor slowed four times, of
// what is done most in theatre: a tick, the answer that brings the next line, and a drill that is opened. The worst of
// all rounds counts, as in the published definition for fewer than 50 interactions. What moves by itself meanwhile is
// the layout shift.
func BenchmarkInteractionToNextPaint(bench *testing.B) {
	s := startServer(bench)
	b := newTablet(bench, s, upright)
	if _, err := chromedp.Call(b.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: observed}); err != nil {
		bench.Fatal(err)
	}
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	b.installed()
	b.throttle(4)
	worst, shift := map[string]float64{}, 0.0
	measure := func(what string, touch func()) {
		b.forgets()
		touch()
		worst[what] = max(worst[what], b.slowest())
	}
	for bench.Loop() {
		b.open("/sheet/" + id + "/setup")
		b.sees("Lid speculum")
		measure("tick", func() { b.tapIn("main", "Lid speculum") })
		measure("tick", func() { b.tapIn("main", "Lid speculum") })
		shift = max(shift, b.shifted())

		b.open("/sheet/" + id + "/aloud?pause=sign%20in")
		b.sees("Start")
		b.begins()
		b.tapUntil("Answered", "Stored")
		measure("next-line", func() { b.tapUntil("Same", "Line 2 of") })
		shift = max(shift, b.shifted())

		b.open("/sheet/" + id + "/if")
		b.sees("Posterior capsule torn")
		measure("drill", func() { b.tap("Posterior capsule torn"); b.sees("Say") })
		shift = max(shift, b.shifted())
	}
	bench.ReportMetric(0, "ns/op") // the loop's own time is that of opening pages
	for what, ms := range worst {
		bench.ReportMetric(ms, "ms/"+what)
	}
	bench.ReportMetric(shift, "layout-shift")
}

func (b *tablet) forgets() {
	b.t.Helper()
	if _, err := eval[bool](b, "(took.length = 0, true)"); err != nil {
		b.t.Fatal(err)
	}
}

// slowest is how long the slowest touch since forgets took, in milliseconds.
func (b *tablet) slowest() float64 {
	b.t.Helper()
	took, err := eval[[]float64](b, "new Promise(done => requestAnimationFrame(() => setTimeout(() => done(took), 300)))") // entries come a little after the paint
	if err != nil {
		b.t.Fatal(err)
	}
	return slices.Max(append(took, shortest))
}

// shifted is the sum of what moved by itself on the page.
func (b *tablet) shifted() float64 {
	b.t.Helper()
	moved, err := eval[[]float64](b, "moved")
	if err != nil {
		b.t.Fatal(err)
	}
	sum := 0.0
	for _, m := range moved {
		sum += m
	}
	if sum > 0 {
		b.t.Logf("%s: layout shift %.4f", b.where(), sum)
	}
	return sum
}
