package e2e

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"strings"
	"testing"
	"time"

	"sideport/web/e2e/harness"
)

const nextBuild = harness.NextBuild

// updates puts the next version of the program in the place of this one, with the data it has.
func (s *server) updates() {
	s.t.Helper()
	if _, err := harness.NextProgram(); err != nil {
		s.t.Fatal(err)
	}
	s.kill()
	now := program
	program = harness.NextProgram
	defer func() { program = now }()
	s.start()
}

// A new version comes while edits wait: it is offered when it is wholly on the
// tablet and not before, taken when somebody says so, and sends what the
// version before it kept.
func TestBatteryNewVersionWithEditsWaiting(t *testing.T) {
	rounds(t, func(t *testing.T, draw *rand.Rand) {
		w, l, b := someone(t)
		b.expectComplaints("a sign-in page answers in the middle of an update")
		if err := w.updated(l, b, draw); err != nil {
			t.Fatal(err)
		}
	})
}

// updated keeps edits before the next version is there, before it is taken and after, and has them sent by it.
func (w *witness) updated(l *line, b *tablet, draw *rand.Rand) error {
	t := w.s.t
	t.Helper()
	var kept []*intent
	keep := func() {
		i := w.means(phases[len(kept)], fmt.Sprint(300+draw.IntN(50)))
		b.changes(i)
		kept = append(kept, i)
	}
	l.puts(away)
	keep()
	w.s.updates()
	busy := sending(says(http.StatusServiceUnavailable, map[string]string{"Retry-After": "1"}, `{"code":"unavailable","text":"Come again later."}`))
	b.isOfferedNoHalf(l, busy)
	l.puts(busy)
	if draw.IntN(2) == 0 {
		keep()
	}
	b.open("/")
	b.sees(newVersion)
	b.sees(fmt.Sprintf("%d edit", len(kept)))
	b.takes()
	keep()
	l.puts(nil)
	b.sends()
	wrong := []error{w.judge()}
	for _, i := range kept {
		wrong = append(wrong, w.stands(i))
	}
	return errors.Join(wrong...)
}

// isOfferedNoHalf has the next version's service worker arrive and the page it names not: half a version, which is not offered.
func (b *tablet) isOfferedNoHalf(l *line, besides fault) {
	b.t.Helper()
	l.puts(first(only(http.MethodGet, "/", signIn()), besides))
	b.open("/")
	l.wasMet()
	b.runs("await (await navigator.serviceWorker.getRegistration()).update().catch(() => {})")
	if text, err := b.text(); err != nil || strings.Contains(text, newVersion) || isForeign(text) {
		b.t.Fatalf("half a version is offered (%v): %s", err, text)
	}
}

// takes takes the new version. Where the browser lets the old service worker go on all the same, the program is closed
// and opened again, as a person would; that is noted, as it is no fault of what was kept.
func (b *tablet) takes() {
	b.t.Helper()
	b.tap(takeIt)
	for end := time.Now().Add(patience / 3); time.Now().Before(end); time.Sleep(200 * time.Millisecond) {
		if b.isOf(nextBuild) == nil {
			return
		}
	}
	b.t.Log("the new version did not take over when it was asked to: the program is closed and opened again")
	b.reopen()
	eventually(b.t, "the page is of the next version", func() error {
		b.open("/")
		return b.isOf(nextBuild)
	})
}

func (b *tablet) isOf(build string) error {
	is, err := eval[string](b, `document.querySelector("meta[name=build]").content`)
	if err == nil && is != build {
		err = fmt.Errorf("it is of %s", is)
	}
	return err
}

const takeIt = "Take it now"

const newVersion = "A new version is ready."
