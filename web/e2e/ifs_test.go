package e2e

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// From any screen one tap leads to the triggers and one more to a drill: those
// of the sheet last worked on, or the unit's own where none is in use.
func TestIfFromAnywhere(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.open("/cards")
	b.sees("Find a card")
	b.tapIn(".menu", "If…")
	b.sees("The unit's own drills.")
	b.screenshot("ifs-unit")
	b.tapIn("main", "Posterior capsule torn")
	b.sees("Circulating nurse")
	b.sees("what is in the room must be asked")
	b.screenshot("drill-unit")

	id := b.firstSheet()
	b.installed()
	s.kill()
	b.reopen()
	b.open("/cards")
	b.tapIn(".menu", "If…")
	b.sees("the one last worked on here")
	b.fits("if")
	b.screenshot("ifs")
	b.tapIn("main", "Posterior capsule torn")
	b.sees("Circulating nurse")
	if at := b.where(); at != "/sheet/"+id+"/if/posterior-capsule-torn" {
		t.Errorf("the drill is at %s", at)
	}
}

// The clock of a drill starts when it is opened, can be stopped and put back,
// and goes on for whoever comes back to the drill.
func TestTheClockOfADrill(t *testing.T) {
	s := startServer(t)
	for _, size := range []size{phone, upright, desk} {
		b := newTablet(t, s, size)
		id := b.firstSheet()
		b.open("/sheet/" + id + "/if/posterior-capsule-torn")
		b.clockReads("it runs", func(reads string) bool { return reads >= "0:02" })
		b.fits("drill")
		b.screenshot("drill")
		b.tap("Stop the clock")
		stopped := b.clockReads("it was stopped", func(string) bool { return true })
		b.tap("All triggers")
		b.tap("Posterior capsule torn")
		b.sees("Let it run on")
		b.clockReads("it stands", func(reads string) bool { return reads == stopped })
		b.tap("Let it run on")
		b.clockReads("it goes on from there", func(reads string) bool { return reads > stopped })
		b.tap("Stop the clock")
		b.tap("Back to 0:00")
		b.sees("Stop the clock")
		b.clockReads("it began again", func(reads string) bool { return reads >= "0:01" && reads < "1:00" })
		b.tap("Note for the debrief")
		b.sees("What is to be said at the debrief?")
		b.write("Or in words", "Born 01.02.1950")
		b.settle()
		b.screenshot("drill-note-writing")
		b.sees("Nothing here may say who the patient is")
		b.fits("note")
		b.screenshot("drill-note")
		b.shut()
	}
}

func (b *tablet) clockReads(what string, right func(string) bool) string {
	b.t.Helper()
	reads := ""
	eventually(b.t, "the clock: "+what, func() error {
		var err error
		if reads, err = eval[string](b, `document.querySelector("[role=timer]")?.innerText ?? ""`); err == nil && (!strings.Contains(reads, ":") || !right(reads)) {
			err = errors.New("it reads " + reads)
		}
		return err
	})
	return reads
}

// BenchmarkOpenDrill is the time from the press on a trigger until its drill is
// painted, server killed and processor slowed four times.
func BenchmarkOpenDrill(bench *testing.B) {
	s := startServer(bench)
	b := newTablet(bench, s, upright)
	id := b.firstSheet()
	b.installed()
	s.kill()
	b.throttle(4)
	b.open("/sheet/" + id + "/if")
	b.sees("Posterior capsule torn")
	press := fmt.Sprintf(`new Promise(done => { const row = [...document.querySelectorAll(".drill-row")].find(e => e.innerText.includes(%s));
		const start = performance.now(); row.click();
		const look = () => document.querySelector(".drill-roles") ? requestAnimationFrame(() => setTimeout(() => done(performance.now() - start))) : requestAnimationFrame(look); look(); })`, quoted("Posterior capsule torn"))
	var total float64
	rounds := 0
	for bench.Loop() {
		ms, err := eval[float64](b, press)
		if err != nil {
			bench.Fatal(err)
		}
		total += ms
		rounds++
		b.tap("All triggers")
		b.sees("Nucleus")
	}
	bench.ReportMetric(0, "ns/op")
	bench.ReportMetric(total/float64(rounds), "ms/open")
}
