package e2e

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// Reading never waits for the core: with the core taken off the tablet and the
// server killed, cards, a sheet in use and its drills open from cold all the same.
func TestReadingNeedsNoCore(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	b.installed()
	b.takeCoreAway()
	s.kill()
	b.reopen()
	b.expectComplaints("the core cannot start")
	b.open("/cards/" + chopCard)
	b.sees("400 mmHg")
	b.open("/sheet/" + id + "/setup")
	b.sees("Iris hooks")
	b.open("/sheet/" + id + "/if/posterior-capsule-torn")
	b.sees("Circulating nurse")
}

// stopwatch notes when the words stand on the page, in milliseconds since the navigation began.
const stopwatch = `(() => { const words = %s; const look = () => {
	if (document.body && words.every(w => document.body.textContent.includes(w))) window.shownAfter = performance.now();
	else requestAnimationFrame(look); }; look(); })()`

// BenchmarkOpenCardCold is the time from a cold browser start, server killed
// and processor slowed four times, until a card stands on the screen.
func BenchmarkOpenCardCold(bench *testing.B) {
	s := startServer(bench)
	b := newTablet(bench, s, upright)
	b.open("/")
	b.sees("No sheet yet")
	b.installed()
	s.kill()
	var total time.Duration
	rounds := 0
	for bench.Loop() {
		b.reopen()
		b.throttle(4)
		script := fmt.Sprintf(stopwatch, `[`+quoted(chopTitle)+`, "mmHg"]`)
		if _, err := chromedp.Call(b.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script}); err != nil {
			bench.Fatal(err)
		}
		b.open("/cards/" + chopCard)
		b.sees("400 mmHg")
		ms, err := eval[float64](b, "new Promise(done => { const look = () => window.shownAfter ? done(window.shownAfter) : requestAnimationFrame(look); look(); })")
		if err != nil {
			bench.Fatal(err)
		}
		total += time.Duration(ms * float64(time.Millisecond))
		rounds++
	}
	bench.ReportMetric(0, "ns/op") // the loop's own time includes starting a browser
	bench.ReportMetric(total.Seconds()*1000/float64(rounds), "ms/open")
}

// BenchmarkGenerateInBrowser is the time of one sheet in the core's worker, with the call's way there and back.
func BenchmarkGenerateInBrowser(bench *testing.B) {
	s := startServer(bench)
	b := newTablet(bench, s, upright)
	openCore(bench, b)
	request := quoted(string(generateRequest(bench, golden(bench, "../../testdata/cases/plain.txtar"))))
	const rounds = 100
	script := fmt.Sprintf(`(async () => { const request = %s; for (let i = 0; i < 20; i++) await callCore("generate", request);
		const start = performance.now(); for (let i = 0; i < %d; i++) await callCore("generate", request);
		return (performance.now() - start) / %d; })()`, request, rounds, rounds)
	var total float64
	n := 0
	for bench.Loop() {
		ms, err := eval[float64](b, script)
		if err != nil {
			bench.Fatal(err)
		}
		total += ms
		n++
	}
	bench.ReportMetric(0, "ns/op")
	bench.ReportMetric(total/float64(n), "ms/sheet")
}
