package e2e

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"

	"sideport/web/e2e/harness"
)

// What the device's own storage and the browser's end can do to an edit.

// phases are those of the card; a round changes each at most once, so that no change hides another.
var phases = []string{"chop", "segment-removal", "epinucleus", "cortex", "viscoelastic-removal", "anterior-vitrectomy"}

// someone has a tablet with the app wholly installed and a name chosen, behind a line to a server.
func someone(t *testing.T) (*witness, *line, *tablet) {
	t.Helper()
	s := startServer(t)
	l := newLine(t, s)
	b := newTablet(t, l.server, upright)
	b.becomes(chopSurgeon)
	b.installed()
	return witnesses(s), l, b
}

// The browser is killed somewhere between the press that keeps an edit and its
// arrival at the server, also at the very moment the screen says that it is kept.
func TestBatteryKilledMidSave(t *testing.T) {
	rounds(t, func(t *testing.T, draw *rand.Rand) {
		w, l, b := someone(t)
		b.expectComplaints("the browser is killed")
		b.reopen() // it writes cookies down half a minute later, or when it is closed: killed before that, it has to be let in again
		for n, phase := range phases[:2] {
			l.puts([]fault{nil, away, sending(silent)}[draw.IntN(3)])
			after := time.Duration(draw.IntN(250)) * time.Millisecond
			if n == 0 {
				after = atTheWord
			}
			b.killedKeeping(w.means(phase, fmt.Sprint(300+draw.IntN(50))), after)
			l.puts(nil)
			b.sends()
			if err := w.judge(); err != nil {
				t.Fatalf("killed %s after the press: %v", after, err)
			}
		}
	})
}

// atTheWord kills as soon as the screen says "kept".
const atTheWord = -1

// listensForKept has the page say on its console when it was pressed and when it said that an edit is kept.
const listensForKept = `new MutationObserver(() => {
	if (!window.saidKept && document.body && document.body.innerText.includes("Kept on this device.")) { window.saidKept = true; console.info("battery: kept"); }
}).observe(document, {subtree: true, childList: true, characterData: true});`

// killedKeeping presses "Keep", kills the browser some time later, and starts it again on the same profile.
func (b *tablet) killedKeeping(i *intent, after time.Duration) {
	b.t.Helper()
	said := make(chan string, 8)
	if err := chromedp.Listen(b.ctx, func(ev any) {
		if e, ok := ev.(*runtime.EventConsoleAPICalled); ok && strings.Contains(consoleText(e.Args), "battery: ") {
			said <- consoleText(e.Args)
		}
	}); err != nil {
		b.t.Fatal(err)
	}
	b.injects(listensForKept)
	b.edits(i.phase)
	b.fills(i)
	b.pressesKeepSoon()
	b.hears(said, "pressed")
	if after == atTheWord {
		b.hears(said, "kept")
		i.kept = true
	} else {
		time.Sleep(after) // the moment is the fault: it is drawn, not waited for
	}
	if err := chromedp.FromContext(b.ctx).Browser.Process().Kill(); err != nil {
		b.t.Fatalf("kill the browser: %v", err)
	}
	if !i.kept {
		i.kept = heardKept(said)
	}
	b.reopen()
	b.open("/about")
	// The draft of an editor that was not told is another promise than this one.
	b.runs("localStorage.clear()")
}

// pressesKeepSoon has a script press, a little later, so that nothing waits for the answer of a browser that is gone.
func (b *tablet) pressesKeepSoon() {
	b.t.Helper()
	press := fmt.Sprintf(`(() => { const e = (%s)("Keep", "dialog button"); if (!e) return false;
		setTimeout(() => { console.info("battery: pressed"); e.click(); }); return true; })()`, harness.Finder)
	eventually(b.t, "the edit can be kept", func() error {
		found, err := eval[bool](b, press)
		if err == nil && !found {
			err = errors.New("no button to keep it")
		}
		return err
	})
}

func (b *tablet) hears(said <-chan string, word string) {
	b.t.Helper()
	select {
	case got := <-said:
		if !strings.Contains(got, word) {
			b.t.Fatalf("the page said %q, want %q", got, word)
		}
	case <-time.After(patience):
		b.t.Fatalf("the page never said %q", word)
	}
}

func heardKept(said <-chan string) bool {
	select {
	case got := <-said:
		return strings.Contains(got, "kept")
	default:
		return false
	}
}

// holdsConnections lets a test close the page's connections to its database, as browsers do after sleep or under memory
// pressure: the handle stays and every later transaction throws. With closing set, each new one is dead at once.
const holdsConnections = `const open = IDBFactory.prototype.open, held = [];
	IDBFactory.prototype.open = function (...args) {
		const request = open.apply(this, args);
		request.addEventListener("success", () => { held.push(request.result); if (window.closing) request.result.close(); });
		return request;
	};
	window.closeDatabase = () => { for (const db of held.splice(0)) db.close(); };`

// The connection to the database dies under the page: it is opened again and
// the edit is kept; and where it never opens again, the screen says so and
// claims nothing.
func TestBatteryDatabaseClosed(t *testing.T) {
	rounds(t, func(t *testing.T, draw *rand.Rand) {
		w, l, b := someone(t)
		b.expectComplaints("the database is closed under the page")
		b.injects(holdsConnections)
		l.puts(away)
		once := w.means(phases[0], fmt.Sprint(300+draw.IntN(50)))
		b.edits(once.phase)
		b.fills(once)
		b.runs(fmt.Sprintf("window.closeDatabase(); setTimeout(window.closeDatabase, %d)", draw.IntN(120)))
		b.keeps(once)

		never := w.means(phases[1], fmt.Sprint(300+draw.IntN(50)))
		b.edits(never.phase)
		b.fills(never)
		b.runs("window.closing = true; window.closeDatabase()")
		b.tap("Keep")
		b.sees("Not kept: the storage of this device refused it.")
		b.sees("This device's storage stopped answering.")

		b.open("/waiting") // loads the page again
		b.sees("1 edit waiting")
		b.asksForNewerStorage()
		b.sees("A newer version of this program is open in another tab.")
		l.puts(nil)
		b.sends()
		if err := errors.Join(w.judge(), w.stands(once)); err != nil {
			t.Fatal(err)
		}
		if n := len(w.card().History) - len(w.first.History); n != 1 {
			t.Fatalf("the server holds %d edits, want the one that was kept", n)
		}
	})
}

// asksForNewerStorage does what a tab of a newer version does, and takes it back, so that the stored shape stays.
func (b *tablet) asksForNewerStorage() {
	b.t.Helper()
	b.runs(`await new Promise(done => { const r = indexedDB.open("sideport", 99); r.onupgradeneeded = () => r.transaction.abort(); r.onerror = e => { e.preventDefault(); done(); }; })`)
}

func (b *tablet) runs(script string) {
	b.t.Helper()
	if _, err := eval[any](b, "(async () => { "+script+" })()"); err != nil {
		b.t.Fatalf("run %s: %v", script, err)
	}
}

// The storage is full: keeping says so and claims nothing, a receipt that
// cannot be stored leaves its edit waiting, and with room again everything
// goes on, exactly once.
func TestBatteryQuotaExceeded(t *testing.T) {
	rounds(t, func(t *testing.T, draw *rand.Rand) {
		w, l, b := someone(t)
		b.expectComplaints("the storage is full")
		l.puts(away)
		first := w.means(phases[0], fmt.Sprint(300+draw.IntN(50)))
		b.changes(first)

		b.reopen() // a browser goes on for half a minute with the space it found before
		b.storageIsFull(true)
		second := w.means(phases[1], fmt.Sprint(300+draw.IntN(50)))
		b.edits(second.phase)
		b.fills(second)
		b.tap("Keep")
		b.sees("Not kept: the storage of this device is full.")

		l.puts(nil)
		eventually(t, "the server has the edit whose receipt cannot be stored", func() error {
			b.open("/waiting")
			b.sees("1 edit waiting")
			if n := len(w.card().History) - len(w.first.History); n != 1 {
				return fmt.Errorf("it has %d", n)
			}
			return nil
		})
		b.sees("1 edit waiting")

		b.storageIsFull(false)
		b.edits(second.phase) // what was written stands there as a draft
		b.fills(second)
		b.keeps(second)
		b.sends()
		if err := errors.Join(w.judge(), w.stands(first), w.stands(second)); err != nil {
			t.Fatal(err)
		}
	})
}

// storageIsFull leaves the app no room, or gives it all of it again.
func (b *tablet) storageIsFull(full bool) {
	b.t.Helper()
	limit := storage.OverrideQuotaForOriginParams{Origin: b.s.url("")}
	if full {
		oneByte := 1.0 // none at all counts as no limit
		limit.QuotaSize = &oneByte
	}
	b.do("limit the storage", func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, storage.OverrideQuotaForOrigin, limit)
		return chromedp.Void{}, err
	})
}
