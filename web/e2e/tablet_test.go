package e2e

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/inspector"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"

	"sideport/web/e2e/browser"
	"sideport/web/e2e/harness"
)

// size is a screen in CSS pixels.
type size struct{ width, height int64 }

var (
	phone   = size{390, 844}
	upright = size{820, 1180}
	desk    = size{1280, 800}
)

// tablet is one browser profile in somebody's hands. Closing and opening it
// keeps the profile, so what the app stored is still there.
type tablet struct {
	t       testing.TB
	s       *server
	size    size
	profile string
	person  string            // who signed in last
	tongue  map[string]string // the words of the screens by the English ones, where the tablet shows another language
	ctx     context.Context
	close   func()

	crashed  atomic.Bool // the process of the page ended
	reopened bool        // a page that the browser lost was opened again

	mu         sync.Mutex
	ended      string   // how a process of a page ended
	expected   bool     // the journey breaks something on purpose that the page must complain about
	complaints []string // errors of the page, of its workers' consoles, and of the content policy
}

// newTablet is a device that the unit let in as somebody's own.
func newTablet(t testing.TB, s *server, size size) *tablet {
	t.Helper()
	return bareTablet(t, s, size).enrols("personal")
}

// bareTablet is a device that nobody let in.
func bareTablet(t testing.TB, s *server, size size) *tablet {
	t.Helper()
	b := &tablet{t: t, s: s, size: size, profile: t.TempDir()}
	b.launch()
	t.Cleanup(func() {
		b.shut()
		for _, c := range b.complaints {
			t.Errorf("the page complained: %s", c)
		}
	})
	return b
}

// launch starts the browser on the tablet's profile without opening a page.
func (b *tablet) launch() {
	b.t.Helper()
	path, err := browser.Find()
	if err != nil {
		b.t.Fatal(err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.UserDataDir(b.profile),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.WindowSize(int(b.size.width), int(b.size.height)))
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox) // the browser refuses to run as root with it
	}
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	b.crashed.Store(false)
	ctx, cancel := chromedp.NewContext(allocator)
	b.ctx, b.close = ctx, func() { chromedp.Cancel(ctx); cancel(); stop() }
	if err := chromedp.Listen(ctx, b.heard); err != nil {
		b.t.Fatalf("start the browser: %v", err)
	}
	b.do("enable the logs", func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: watchPolicy})
		return chromedp.Void{}, err
	})
	b.do("set the screen size", chromedp.EmulateViewport(b.size.width, b.size.height))
}

// watchPolicy turns every report of the content policy and of Trusted Types into a console error.
const watchPolicy = `addEventListener("securitypolicyviolation", e => console.error("policy: " + e.violatedDirective + " " + e.blockedURI + " " + e.sample))`

// heard gathers what a person would never see and a developer must.
func (b *tablet) heard(ev any) {
	complaint := ""
	switch ev := ev.(type) {
	case *runtime.EventExceptionThrown:
		complaint = "exception: " + ev.ExceptionDetails.Text
		if ev.ExceptionDetails.Exception != nil {
			complaint += " " + ev.ExceptionDetails.Exception.Description
		}
	case *inspector.EventTargetCrashed:
		b.crashed.Store(true)
	case *target.EventTargetCrashed:
		b.mu.Lock()
		b.ended = fmt.Sprintf(": %s, %d", ev.Status, ev.ErrorCode)
		b.mu.Unlock()
	case *runtime.EventConsoleAPICalled:
		if ev.Type == "error" {
			complaint = fmt.Sprintf("console error: %s", consoleText(ev.Args))
		}
	case *log.EventEntryAdded:
		// A server that was killed on purpose makes the browser log network errors.
		if ev.Entry.Level == "error" && ev.Entry.Source != "network" {
			complaint = "log: " + ev.Entry.Text
		}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if complaint != "" && !b.expected {
		b.complaints = append(b.complaints, complaint)
	}
}

// expectComplaints says why the page may complain from here on.
func (b *tablet) expectComplaints(why string) {
	b.t.Helper()
	b.t.Log("complaints are expected: " + why)
	b.mu.Lock()
	defer b.mu.Unlock()
	b.expected = true
}

func consoleText(args []*runtime.RemoteObject) string {
	var parts []string
	for _, a := range args {
		parts = append(parts, string(a.Value)+a.Description)
	}
	return strings.Join(parts, " ")
}

// shut closes the browser as a person would; what was not stored by then is lost.
func (b *tablet) shut() {
	if b.close != nil {
		b.close()
		b.close = nil
	}
}

// reopen closes the browser and starts it again on the same profile, cold.
func (b *tablet) reopen() {
	b.t.Helper()
	b.shut()
	b.launch()
}

func (b *tablet) do(what string, action chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, action); err != nil {
		b.t.Fatalf("%s: %v", what, err)
	}
}

// open goes to a path of the app. With the server gone it works from what the tablet has stored.
func (b *tablet) open(path string) {
	b.t.Helper()
	b.do("open "+path, navigate(b.s.url(path)))
}

func navigate(to string) chromedp.Action[chromedp.Void] { return chromedp.Navigate(to) }

// eval runs a script that returns a JSON value and decodes it.
func eval[T any](b *tablet, script string) (T, error) {
	return evalWithin[T](b, patience, script)
}

func evalWithin[T any](b *tablet, limit time.Duration, script string) (T, error) {
	ctx, cancel := context.WithTimeout(b.ctx, limit)
	defer cancel()
	var v T
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string]("Promise.resolve("+script+").then(v => JSON.stringify(v === undefined ? null : v))", chromedp.EvalAwaitPromise))
	if err != nil {
		return v, err
	}
	return v, json.Unmarshal([]byte(text), &v)
}

// oneTry bounds one attempt at a press, so that one that hangs is made again.
const oneTry = 10 * time.Second

// tap presses what carries the words, with a real press at its middle.
func (b *tablet) tap(words string) {
	b.t.Helper()
	b.tapIn("document", words)
}

// tapIn presses what carries the words inside the element a selector names.
func (b *tablet) tapIn(selector, words string) {
	b.t.Helper()
	eventually(b.t, fmt.Sprintf("%q can be tapped on %s", words, b.where()), func() error { return b.tryTap(selector, words) })
}

func (b *tablet) tryTap(selector, words string) error {
	text, err := b.text() // before the spot: a page that has to be opened again for it has other spots
	if err != nil {
		return err
	}
	spot, err := asks[*harness.Spot](b, harness.FindSpot(selector, b.in(words)))
	if err != nil {
		return err
	}
	if err := spot.Wrong(text); err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(b.ctx, oneTry)
	defer cancel()
	if err := chromedp.Do(ctx, chromedp.MouseClickXY(spot.X, spot.Y)); err != nil {
		// The press may have arrived although nobody said so: then it counts, and is not made twice.
		if hit, lost := evalWithin[bool](b, oneTry, `window.tapped === true`); lost == nil && hit {
			return nil
		}
		return err
	}
	hit, err := eval[*bool](b, harness.HasLanded)
	return harness.Landed(hit, err)
}

// tapUntil presses until the words appear. A line read aloud takes no answer
// faster than anybody can read it, so a press may have to be repeated.
func (b *tablet) tapUntil(words, appear string) {
	b.t.Helper()
	eventually(b.t, fmt.Sprintf("%q appears after pressing %q", appear, words), func() error {
		if text, err := b.text(); err != nil || strings.Contains(text, b.in(appear)) {
			return err
		}
		if err := b.tryTap("document", words); err != nil {
			return err
		}
		time.Sleep(300 * time.Millisecond)
		return errors.New("not yet")
	})
}

// write replaces the content of the field with the label.
func (b *tablet) write(label, text string) {
	b.t.Helper()
	eventually(b.t, fmt.Sprintf("the field %q is there on %s", label, b.where()), func() error {
		wrong, err := asks[string](b, harness.FocusField(b.in(label)))
		if err == nil && wrong != "" {
			err = errors.New(wrong)
		}
		return err
	})
	b.do("type into "+label, chromedp.KeyEvent(text))
}

// press sends one key to whatever has the focus.
func (b *tablet) press(key string) {
	b.t.Helper()
	b.do("press "+key, chromedp.KeyEvent(key))
}

// sees waits until the words stand on the screen.
func (b *tablet) sees(words string) {
	b.t.Helper()
	eventually(b.t, fmt.Sprintf("%q stands on %s", words, b.where()), func() error {
		text, err := b.text()
		if err == nil && !strings.Contains(text, b.in(words)) {
			err = fmt.Errorf("the screen says: %.1500s", text)
		}
		return err
	})
}

// text is what the screen says, with white space folded.
func (b *tablet) text() (string, error) {
	return asks[string](b, harness.Text)
}

func (b *tablet) where() string {
	at, err := asks[string](b, "location.pathname")
	if err != nil {
		return "a page that does not answer"
	}
	return at
}

// installed waits until everything needed offline is on the tablet: the worker active and the core, which is fetched last, in its store.
func (b *tablet) installed() {
	b.t.Helper()
	eventually(b.t, "the app is installed for offline use", func() error {
		whole, err := eval[bool](b, harness.Installed)
		if err == nil && !whole {
			err = errors.New("no active worker, or no core in its store")
		}
		return err
	})
}

// screenshot keeps a picture when SIDEPORT_PICTURES names a folder.
func (b *tablet) screenshot(name string) {
	b.t.Helper()
	dir := os.Getenv("SIDEPORT_PICTURES")
	if dir == "" {
		return
	}
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	picture, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		b.t.Fatalf("take the picture %s: %v", name, err)
	}
	file := fmt.Sprintf("%s-%dx%d.png", name, b.size.width, b.size.height)
	if err := os.WriteFile(filepath.Join(dir, file), picture, 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// throttle makes the processor n times slower, as a cheap tablet's is.
func (b *tablet) throttle(n float64) {
	b.t.Helper()
	b.do("slow the processor", func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: n})
		return chromedp.Void{}, err
	})
}

func quoted(s string) string { return harness.Quoted(s) }

// settle gives the page a moment before a picture, when there will be one.
func (b *tablet) settle() {
	if os.Getenv("SIDEPORT_PICTURES") != "" {
		time.Sleep(300 * time.Millisecond)
	}
}
