package e2e

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/systeminfo"
	"github.com/chromedp/chromedp"
)

// A browser loses a page now and then: the page's process ends, or it does
// nothing and answers nothing. A person opens the page again. So does a
// journey, once, and notes it in the file that SIDEPORT_LOST names. A page that
// is busy without end is this program's fault, and stays one.

// bearable is how many journeys of one run may lose a page.
const bearable = 3

var lostPages atomic.Int32

// asks runs a script that needs no time. A slow page has as long as anything may take; one that the browser has lost is opened again and asked again.
func asks[T any](b *tablet, script string) (T, error) {
	b.t.Helper()
	if !b.crashed.Load() {
		v, err := evalWithin[T](b, oneTry, script)
		if !b.crashed.Load() && !errors.Is(err, context.DeadlineExceeded) {
			return v, err
		}
	}
	if b.hasLostPage() {
		b.opensAgain()
	}
	return evalWithin[T](b, patience-oneTry, script)
}

// hasLostPage tells a page that is gone from one that is only slow, after it gave no answer.
func (b *tablet) hasLostPage() bool {
	b.t.Helper()
	if b.crashed.Load() {
		return true
	}
	busy, err := b.worked(time.Second)
	if err != nil || busy > 0.1 {
		b.t.Logf("no answer within %s; in a second the busiest page used %.2f s of the processor (%v)", oneTry, busy, err)
		return false
	}
	_, err = evalWithin[int](b, oneTry, "1")
	return errors.Is(err, context.DeadlineExceeded)
}

// worked is how much of the processor the busiest page of the browser used in this time, in seconds.
func (b *tablet) worked(in time.Duration) (most float64, err error) {
	before, err := b.used()
	if err != nil {
		return 0, err
	}
	time.Sleep(in)
	after, err := b.used()
	for process, seconds := range after {
		most = max(most, seconds-before[process])
	}
	return most, err
}

// used is how much of the processor each process of a page has used, in seconds.
func (b *tablet) used() (map[int64]float64, error) {
	ctx, cancel := context.WithTimeout(b.ctx, oneTry)
	defer cancel()
	all, err := chromedp.CallBrowser(ctx, systeminfo.GetProcessInfo, cdp.Empty{})
	seconds := map[int64]float64{}
	for _, p := range all.ProcessInfo {
		if p.Type == "renderer" {
			seconds[p.ID] = p.CPUTime
		}
	}
	return seconds, err
}

// opensAgain does what a person does with a page that the browser has lost.
func (b *tablet) opensAgain() {
	b.t.Helper()
	if b.reopened {
		b.t.Fatal("the browser lost the page a second time")
	}
	b.reopened = true
	if lostPages.Add(1) > bearable {
		b.t.Fatalf("the browser lost a page in more than %d journeys", bearable)
	}
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	at, err := chromedp.Call(ctx, page.GetNavigationHistory, cdp.Empty{})
	if err != nil {
		b.t.Fatalf("where the lost page was: %v", err)
	}
	address := at.Entries[at.CurrentIndex].URL
	how := "it hangs"
	if b.crashed.Load() {
		how = "its process ended" + b.ending()
	}
	b.notesLoss(fmt.Sprintf("%s: the browser lost the page (%s); %s is opened again", b.t.Name(), how, address))
	b.endsPage()
	// Nothing tells when a page in the place of a lost one is loaded: whoever asks next waits for it.
	if _, err := chromedp.Call(ctx, page.Navigate, page.NavigateParams{URL: address}); err != nil {
		b.t.Fatalf("open %s again: %v", address, err)
	}
	b.crashed.Store(false)
}

// ending is how the last process of a page ended, where the browser said so.
func (b *tablet) ending() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.ended
}

// endsPage ends the process of a page, since no other page could be shown in one that does nothing any more.
func (b *tablet) endsPage() {
	b.t.Helper()
	if !b.crashed.Load() {
		ctx, cancel := context.WithTimeout(b.ctx, time.Second)
		defer cancel()
		chromedp.Call(ctx, page.Crash, cdp.Empty{}) // nobody is left to answer
	}
	eventually(b.t, "the process of the page has ended", func() error {
		if !b.crashed.Load() {
			return errors.New("it goes on")
		}
		return nil
	})
}

// notesLoss leaves it for whoever looks at a run that went well otherwise.
func (b *tablet) notesLoss(what string) {
	b.t.Helper()
	b.t.Log(what)
	name := os.Getenv("SIDEPORT_LOST")
	if name == "" {
		return
	}
	file, err := os.OpenFile(name, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		b.t.Fatal(err)
	}
	defer file.Close()
	fmt.Fprintln(file, what)
}

// A page whose process ends, or that hangs with nothing to do, is opened again and the journey goes on.
func TestALostPageIsOpenedAgain(t *testing.T) {
	t.Setenv("SIDEPORT_LOST", "") // these are meant
	for name, lose := range map[string]func(*tablet){
		"its process ends":            (*tablet).endsPage,
		"it waits and answers nobody": (*tablet).hangs,
	} {
		t.Run(name, func(t *testing.T) {
			lostPages.Add(-1) // so that the real ones count alone
			s := startServer(t)
			b := newTablet(t, s, phone)
			b.open("/cards/" + chopCard)
			b.sees(chopTitle)
			lose(b)
			b.sees(chopTitle)
			if !b.reopened {
				t.Error("it was not opened again")
			}
		})
	}
}

// hangs makes the page wait, without any work, for an answer that never comes.
func (b *tablet) hangs() {
	b.t.Helper()
	silent := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { <-r.Context().Done() }))
	b.t.Cleanup(func() { silent.CloseClientConnections(); silent.Close() })
	b.do("let the page ask elsewhere", func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		yes := true
		_, err := chromedp.Call(ctx, page.SetBypassCSP, page.SetBypassCSPParams{Enabled: yes})
		return chromedp.Void{}, err
	})
	b.open("/cards/" + chopCard)
	b.sees(chopTitle)
	if _, err := eval[bool](b, fmt.Sprintf(`(setTimeout(() => { const r = new XMLHttpRequest(); r.open("GET", %s, false); r.send(); }), true)`, quoted(silent.URL))); err != nil {
		b.t.Fatal(err)
	}
}

// A page that does not come to an end of its work is not taken for a lost one.
func TestABusyPageIsNotLost(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.open("/")
	b.sees("Today")
	if _, err := eval[bool](b, fmt.Sprintf(`(setTimeout(() => { const end = performance.now() + %d; while (performance.now() < end); }), true)`, (2*oneTry+5*time.Second).Milliseconds())); err != nil {
		t.Fatal(err)
	}
	b.sees("Today")
	if b.reopened {
		t.Error("it was opened again")
	}
}
