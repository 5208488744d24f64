package e2e

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// tab opens another tab of the same browser: the same storage, the same service worker.
func (b *tablet) tab() *tablet {
	b.t.Helper()
	other := &tablet{t: b.t, s: b.s, size: b.size, profile: b.profile}
	ctx, cancel := chromedp.NewContext(b.ctx)
	other.ctx = ctx
	if err := chromedp.Listen(ctx, other.heard); err != nil {
		b.t.Fatalf("open another tab: %v", err)
	}
	b.t.Cleanup(func() {
		cancel()
		for _, c := range other.complaints {
			b.t.Errorf("the other tab complained: %s", c)
		}
	})
	other.do("set the screen size", chromedp.EmulateViewport(b.size.width, b.size.height))
	return other
}

// inFront brings a tab to the front, where a finger reaches it.
func (b *tablet) inFront() *tablet {
	b.t.Helper()
	b.do("bring the tab to the front", func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, page.BringToFront, cdp.Empty{})
		return chromedp.Void{}, err
	})
	return b
}

// Two tabs of one tablet have the same card open. Different phases: both
// changes hold. The same phase: both values stand, and neither wins.
func TestBatteryTwoTabsOnOneCard(t *testing.T) {
	rounds(t, func(t *testing.T, draw *rand.Rand) {
		w, l, b := someone(t)
		other := b.tab()
		for n, phase := range []string{phases[0], phases[1]} { // the other tab changes the first phase both times
			l.puts([]fault{nil, away}[draw.IntN(2)])
			if err := w.inTwoTabs(l, b, other, [2]string{phase, phases[0]}, n, draw); err != nil {
				t.Fatal(err)
			}
		}
		b.inFront().open("/cards/" + chopCard)
		b.sees("Two values, not resolved")
		for _, i := range w.intents[:2] {
			b.sees(i.to + " mmHg")
		}
	})
}

// inTwoTabs opens the card in both tabs, changes a phase in each, keeps both in turn, and has everything sent.
func (w *witness) inTwoTabs(l *line, one, other *tablet, changed [2]string, n int, draw *rand.Rand) error {
	w.s.t.Helper()
	tabs := [2]*tablet{one, other}
	for i, b := range tabs { // both before either writes: each sees the card as it was
		b.inFront().edits(changed[i])
		b.sees("Vacuum")
	}
	var meant [2]*intent
	for i, b := range tabs {
		meant[i] = w.means(changed[i], fmt.Sprint(300+n*40+i*20+draw.IntN(20)))
		b.inFront().fills(meant[i])
	}
	first := draw.IntN(2)
	for _, i := range []int{first, 1 - first} {
		tabs[i].inFront().keeps(meant[i])
	}
	l.puts(nil)
	one.inFront().sends()
	return errors.Join(w.judge(), w.stands(meant[0]), w.stands(meant[1]))
}

// wrongClock shifts the clock the page sees by what a test has put into its storage.
const wrongClock = `const real = Date, shift = () => Number(localStorage.getItem("battery-shift"));
	globalThis.Date = class Date extends real {
		constructor(...args) { if (args.length === 0) super(real.now() + shift()); else super(...args); }
		static now() { return real.now() + shift(); }
	};`

// shows sets the clock of a tablet so many years ahead, or behind.
func (b *tablet) shows(years int) {
	b.t.Helper()
	b.open("/about")
	b.sees("What it is for")
	b.runs(fmt.Sprintf(`localStorage.setItem("battery-shift", %d)`, int64(years)*365*24*3600*1000))
}

// Clocks years ahead and years behind, and one that jumps between two edits:
// the order is that of the server and of the person, never that of a clock.
func TestBatteryClockIsWrong(t *testing.T) {
	rounds(t, func(t *testing.T, draw *rand.Rand) {
		w, l, ahead := someone(t)
		ahead.injects(wrongClock)
		behind := newTablet(t, l.server, desk)
		behind.injects(wrongClock)
		behind.shows(-1 - draw.IntN(50))
		behind.becomes(chopSurgeon)
		ahead.shows(1 + draw.IntN(70))
		ahead.meetsServer() // by a clock that jumped while the server was away, it would be away for years: then no PIN counts
		if err := w.withWrongClocks(l, ahead, behind, draw); err != nil {
			t.Fatal(err)
		}
	})
}

// withWrongClocks makes edits on both tablets with no network, and has them sent.
func (w *witness) withWrongClocks(l *line, ahead, behind *tablet, draw *rand.Rand) error {
	w.s.t.Helper()
	l.puts(away)
	to := func() string { return fmt.Sprint(300 + draw.IntN(50)) }
	early, jump, back := w.means(phases[0], "351"), w.means(phases[1], to()), w.means(phases[2], to())
	behind.changes(early)
	ahead.changesLocked(jump) // by its clock, who signed in did so years ago, or in the future
	ahead.shows(-20 - draw.IntN(20))
	ahead.changesLocked(back)
	late := w.means(phases[0], "352")
	ahead.changes(late)
	l.puts(nil)
	behind.sends()
	ahead.sends()
	wrong := []error{w.judge()}
	for _, i := range w.intents {
		wrong = append(wrong, w.stands(i))
	}
	return errors.Join(append(wrong, w.order(early, jump, back, late), w.madeInOtherYears())...)
}

// meetsServer waits until the tablet has read from the server by the clock it shows.
func (b *tablet) meetsServer() {
	b.t.Helper()
	b.open("/")
	eventually(b.t, "the tablet has met the server by its own clock", func() error {
		late, err := eval[bool](b, `new Promise((ok, no) => { const r = indexedDB.open("sideport"); r.onerror = () => no(r.error); r.onsuccess = () => {
			const g = r.result.transaction("meta").objectStore("meta").get("mirror"); g.onsuccess = () => { r.result.close(); ok(Math.abs(Date.now() - Date.parse(g.result.asOf)) > 60_000); }; }; })`)
		if err == nil && late {
			err = errors.New("not yet")
		}
		return err
	})
}

// changesLocked makes one change on a tablet that asks for the PIN before it keeps it.
func (b *tablet) changesLocked(i *intent) {
	b.t.Helper()
	b.edits(i.phase)
	b.fills(i)
	b.tap("Keep")
	b.unlocks(chopSurgeon)
	b.sees("Kept on this device.")
	i.kept = true
}

// order checks that the history has the edits in this order.
func (w *witness) order(want ...*intent) error {
	var got, wanted []string
	for _, h := range w.card().History[len(w.first.History):] {
		got = append(got, h.Reason)
	}
	for _, i := range want {
		wanted = append(wanted, i.reason)
	}
	if fmt.Sprint(got) != fmt.Sprint(wanted) {
		return fmt.Errorf("the history has the order %v, want %v", got, wanted)
	}
	return nil
}

// madeInOtherYears checks that the clocks were wrong indeed, and are shown as they were.
func (w *witness) madeInOtherYears() error {
	for _, h := range w.card().History[len(w.first.History):] {
		made, err := time.Parse(time.RFC3339, h.Made)
		if err != nil {
			return fmt.Errorf("%q was made at %q: %w", h.Reason, h.Made, err)
		}
		if off := time.Since(made).Abs(); off < 300*24*time.Hour {
			return fmt.Errorf("%q was made only %s off the true time", h.Reason, off)
		}
	}
	return nil
}
