package e2e

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"strings"
	"testing"

	"sideport/web/e2e/harness"
)

// What happens between a tablet and the server.

// shortPatience makes the page give up on an answer after two seconds instead of thirty.
const shortPatience = `const timeout = AbortSignal.timeout; AbortSignal.timeout = ms => timeout.call(AbortSignal, Math.min(ms, 2000));`

// The server has the edit on disk, and its reply is cut anywhere, or hangs, or
// somebody on the way answers with half a page, "busy" or an error: it is "not
// sent yet" until a receipt arrived whole, and the retry changes nothing.
func TestBatteryServerGoneMidReply(t *testing.T) {
	rounds(t, func(t *testing.T, draw *rand.Rand) {
		w, l, b := someone(t)
		b.expectComplaints("replies are cut")
		b.injects(shortPatience)
		json := map[string]string{"Content-Type": "application/json"}
		busy := says(http.StatusServiceUnavailable, map[string]string{"Retry-After": "1"}, `{"code":"unavailable","text":"Come again later."}`)
		tooMany := says(http.StatusTooManyRequests, map[string]string{"Retry-After": "nonsense"}, `{"code":"busy","text":"Come again later."}`)
		others := []struct {
			what fault
			says string
		}{
			{silent, notReached}, {busy, "Come again later."}, {tooMany, "Come again later."}, {signIn(), notReached},
			{says(http.StatusBadGateway, nil, "<h1>Bad gateway"), notReached},
			{says(http.StatusOK, json, `{"protocol":1,"epoch":"","seq":1,"receipts":[]}`), "1 edit waiting"},
			{says(http.StatusOK, json, `{"protocol":1,"epoch":"","seq":1,"receipts":[{"id":"`+strings.Repeat("a", 32)+`","outcome":"applied"}]}`), "1 edit waiting"},
		}
		other := others[draw.IntN(len(others))]
		b.cutShort(w, l, w.means(phases[0], fmt.Sprint(300+draw.IntN(50))), sending(cut(draw.Float64())), notReached)
		b.cutShort(w, l, w.means(phases[1], fmt.Sprint(300+draw.IntN(50))), sending(other.what), other.says)
		// Reading as well: half a list of changes must not move the tablet's place in the log.
		l.puts(only(http.MethodGet, "/api/v1/changes", cut(draw.Float64())))
		last := w.means(phases[2], fmt.Sprint(300+draw.IntN(50)))
		b.changes(last)
		l.wasMet()
		l.puts(nil)
		b.sends()
		b.open("/cards/" + chopCard)
		b.sees("Revision 4")
		if err := errors.Join(w.judge(), w.stands(last)); err != nil {
			t.Fatal(err)
		}
	})
}

const notReached = "The server was not reached."

// cutShort keeps an edit whose sending fails, reads that it waits and why, and has it sent again.
func (b *tablet) cutShort(w *witness, l *line, i *intent, f fault, why string) {
	b.t.Helper()
	l.puts(f)
	b.changes(i)
	l.wasMet()
	b.still(why)
	l.puts(nil)
	b.sends()
	if err := errors.Join(w.judge(), w.stands(i)); err != nil {
		b.t.Fatal(err)
	}
}

// A sign-in page answers everything with 200, or sends everything elsewhere:
// the app opens as before, shows nothing of it, keeps edits as "not sent yet",
// and sends them once when the network is the unit's own again.
func TestBatterySignInPageAnswersEverything(t *testing.T) {
	rounds(t, func(t *testing.T, draw *rand.Rand) {
		w, l, b := someone(t)
		b.expectComplaints("a sign-in page answers everything")
		portals := []fault{
			says(http.StatusFound, map[string]string{"Location": "http://" + harness.FreeAddress(t) + "/"}, ""),
			says(http.StatusNetworkAuthenticationRequired, map[string]string{"Content-Type": "text/html"}, guests),
			says(http.StatusOK, map[string]string{"Content-Type": "application/json"}, "{}"),
			says(http.StatusOK, map[string]string{"Content-Type": "application/json"}, `{"ok":true,"protocol":1,"epoch":"","seq":0,"docs":[],"receipts":[]}`),
		}
		for n, portal := range []fault{signIn(), portals[draw.IntN(len(portals))]} {
			l.puts(portal)
			i := w.means(phases[n], fmt.Sprint(300+draw.IntN(50)))
			b.changes(i)
			l.wasMet()
			b.still("no network")
			b.tap("Send now")
			b.sees("The server was not reached. It is tried again by itself.")
			b.showsNothingForeign()
			if got := w.card().History; len(got) != len(w.first.History)+n {
				t.Fatalf("through a sign-in page the server got %d edits", len(got)-len(w.first.History))
			}
			l.puts(nil)
			b.sends()
			if err := errors.Join(w.judge(), w.stands(i)); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// showsNothingForeign opens screens from cold and looks for the words of the sign-in page.
func (b *tablet) showsNothingForeign() {
	b.t.Helper()
	for path, words := range map[string]string{"/": "Horizontal chop", "/cards/" + chopCard: chopTitle, "/about": "Sideport keeps"} {
		b.open(path)
		b.sees(words)
		if shown, err := b.text(); err != nil || isForeign(shown) {
			b.t.Fatalf("%s shows the sign-in page (%v): %s", path, err, shown)
		}
	}
}
