package e2e

import (
	"context"
	"errors"
	"fmt"
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
// journey, once, and says so. A page that is busy without end is this
// program's fault, and stays one.

// bearable is how many journeys of one run may lose a page.
const bearable = 3

var lostPages atomic.Int32

// asks runs a script that answers at once. A page that the browser has lost is opened again, for whoever tries again.
func asks[T any](b *tablet, script string) (T, error) {
	b.t.Helper()
	var v T
	err := errLost
	if !b.crashed.Load() {
		v, err = evalWithin[T](b, oneTry, script)
	}
	if err != nil && b.hasLostPage(err) {
		b.opensAgain()
	}
	return v, err
}

var errLost = errors.New("the process of the page ended")

// hasLostPage tells a page that is gone from one that is only slow, after it gave no answer.
func (b *tablet) hasLostPage(why error) bool {
	b.t.Helper()
	if b.crashed.Load() {
		return true
	}
	if !errors.Is(why, context.DeadlineExceeded) {
		return false
	}
	busy, err := b.worked(time.Second)
	if err != nil || busy > 0.2 {
		b.t.Logf("no answer within %s; in a second the pages used %.2f s of the processor (%v)", oneTry, busy, err)
		return false
	}
	_, err = evalWithin[int](b, oneTry, "1")
	return errors.Is(err, context.DeadlineExceeded)
}

// worked is how much of the processor all pages of the browser used in this time, in seconds.
func (b *tablet) worked(in time.Duration) (float64, error) {
	before, err := b.used()
	if err != nil {
		return 0, err
	}
	time.Sleep(in)
	after, err := b.used()
	return after - before, err
}

func (b *tablet) used() (seconds float64, err error) {
	ctx, cancel := context.WithTimeout(b.ctx, oneTry)
	defer cancel()
	all, err := chromedp.CallBrowser(ctx, systeminfo.GetProcessInfo, cdp.Empty{})
	for _, p := range all.ProcessInfo {
		if p.Type == "renderer" {
			seconds += p.CPUTime
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
	b.t.Logf("the browser lost the page (its process ended: %v): %s is opened again", b.crashed.Load(), address)
	b.reopened = true
	b.crashed.Store(false)
	// Nothing tells when a page in the place of a lost one is loaded: whoever asks next waits for it.
	if _, err := chromedp.Call(ctx, page.Navigate, page.NavigateParams{URL: address}); err != nil {
		b.t.Fatalf("open %s again: %v", address, err)
	}
}

// A page whose process ends is opened again and the journey goes on; it is only a browser's accident, and the second is one too many.
func TestALostPageIsOpenedAgain(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.open("/cards/" + chopCard)
	b.sees(chopTitle)
	ctx, cancel := context.WithTimeout(b.ctx, time.Second)
	defer cancel()
	if _, err := chromedp.Call(ctx, page.Crash, cdp.Empty{}); !errors.Is(err, context.DeadlineExceeded) {
		t.Fatalf("the page did not end: %v", err)
	}
	b.sees(chopTitle)
	if !b.reopened {
		t.Error("it was not opened again")
	}
	lostPages.Add(-1) // this one was meant
}

// A page that never comes to an end of its work is not taken for a lost one.
func TestABusyPageIsNotLost(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.open("/")
	b.sees("Today")
	if _, err := eval[bool](b, fmt.Sprintf(`(setTimeout(() => { const end = performance.now() + %d; while (performance.now() < end); }), true)`, (oneTry+3*time.Second).Milliseconds())); err != nil {
		t.Fatal(err)
	}
	if b.hasLostPage(context.DeadlineExceeded) {
		t.Error("it was taken for lost")
	}
	b.sees("Today")
}
