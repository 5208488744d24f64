package e2e

import (
	"context"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/audits"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// policyWatch gathers what three parties say about breaches of the content
// policy and of Trusted Types: the page's own event, the Reporting interface,
// and the browser itself, which also speaks for parts that no script of the page can hear.
type policyWatch struct {
	mu   sync.Mutex
	said []string
}

const (
	byEvent   = "event: "
	byReport  = "report: "
	byBrowser = "browser: "
)

// reportPolicy writes what the page can hear into its console, under another name than the harness's own watch.
const reportPolicy = `addEventListener("securitypolicyviolation", e => console.debug("` + byEvent + `" + e.violatedDirective + " " + e.sample));
new ReportingObserver(list => { for (const r of list) if (r.type === "csp-violation") console.debug("` + byReport + `" + r.body.effectiveDirective + " " + r.body.sample); }, {buffered: true}).observe();`

func (b *tablet) watchesPolicy() *policyWatch {
	b.t.Helper()
	w := &policyWatch{}
	if err := chromedp.Listen(b.ctx, w.heard); err != nil {
		b.t.Fatalf("listen to the browser: %v", err)
	}
	b.do("watch the content policy", func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		if _, err := chromedp.Call(ctx, audits.Enable, chromedp.Void{}); err != nil {
			return chromedp.Void{}, err
		}
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: reportPolicy})
		return chromedp.Void{}, err
	})
	return w
}

func (w *policyWatch) heard(ev any) {
	words := ""
	switch ev := ev.(type) {
	case *runtime.EventConsoleAPICalled:
		if text := consoleText(ev.Args); ev.Type == "debug" {
			words = strings.Trim(text, `"`)
		}
	case *audits.EventIssueAdded:
		if d := ev.Issue.Details.ContentSecurityPolicyIssueDetails; d != nil {
			words = byBrowser + d.ViolatedDirective + " " + d.BlockedURL
		}
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if words != "" {
		w.said = append(w.said, words)
	}
}

// take returns what was said since it was last asked.
func (w *policyWatch) take() []string {
	w.mu.Lock()
	defer w.mu.Unlock()
	said := w.said
	w.said = nil
	return said
}

// officeScreens are those of the unit lead; screens has the rest.
var officeScreens = []struct{ path, words string }{
	{"/office", "Record"},
	{"/office/devices", "the same as on this device"},
	{"/office/people", "People of the unit"},
	{"/office/people/dov-marrowstone", "Dov Marrowstone"},
	{"/office/audit", "Ends of the two chains"},
}

// deskScreens are reached from the desk and not in screens.
var deskScreens = []struct{ path, words string }{
	{"/rules", "House rules"},
	{"/rules/history", "revision"},
	{"/proposals/" + chopCard, "Proposals"},
	{"/reckon", "Calculations"},
	{"/risk", "isk"},
	{"/waiting/set-aside", "Set aside"},
	{"/enrol", "Let this device in"},
	{"/no-such-screen", "There is nothing at this address"},
}

// No screen breaks the content policy or Trusted Types, and whoever would break
// them is heard of three times over.
func TestNoScreenBreaksTheContentPolicy(t *testing.T) {
	s := startServer(t)
	stranger := bareTablet(t, s, phone)
	outside := stranger.watchesPolicy()
	stranger.open("/")
	stranger.sees("Let this device in")
	unbroken(t, "a device that was not let in", outside)

	b := newTablet(t, s, desk)
	w := b.watchesPolicy()
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	visited := []string{"/"}
	for _, screen := range screens {
		visited = append(visited, screen.path)
		b.signedInFor(screen)
		b.looksAt(w, replaceCase(screen.path, id), screen.words)
	}
	for _, screen := range deskScreens {
		visited = append(visited, screen.path)
		b.looksAt(w, screen.path, screen.words)
	}
	for _, screen := range officeScreens {
		visited = append(visited, screen.path)
		b.looksAt(w, screen.path, screen.words)
	}
	everyScreen(t, visited)
	t.Run("planted", func(t *testing.T) { b.breaksPolicy(t, w) })
}

func (b *tablet) looksAt(w *policyWatch, path, words string) {
	b.t.Helper()
	b.open(path)
	b.sees(words)
	unbroken(b.t, path, w)
}

func unbroken(t testing.TB, where string, w *policyWatch) {
	t.Helper()
	if said := w.take(); len(said) > 0 {
		t.Errorf("%s breaks the content policy: %q", where, said)
	}
}

// everyScreen holds that no first part of an address in the route table was left out.
func everyScreen(t *testing.T, visited []string) {
	t.Helper()
	source, err := os.ReadFile("../app/views/screens.tsx")
	if err != nil {
		t.Fatal(err)
	}
	table, _, _ := strings.Cut(string(source), "return Lost;")
	found := regexp.MustCompile(`case "([a-z]+)":`).FindAllStringSubmatch(table, -1)
	if len(found) < 10 {
		t.Fatalf("only %d routes were found in screens.tsx", len(found))
	}
	for _, route := range found {
		if !slices.ContainsFunc(visited, func(path string) bool { return strings.HasPrefix(path, "/"+route[1]) }) {
			t.Errorf("no screen under /%s was looked at", route[1])
		}
	}
}

// breaksPolicy does what a hostile text would try to do to the page.
func (b *tablet) breaksPolicy(t *testing.T, w *policyWatch) {
	b.expectComplaints("the content policy is broken on purpose")
	breaches := []struct{ name, directive, script string }{
		{"HTML from a text", "require-trusted-types-for", `(() => { try { document.createElement("p").innerHTML = "<b>x</b>"; return "went in"; } catch { return "stopped"; } })()`},
		{"another Trusted Types policy", "trusted-types", `(() => { try { trustedTypes.createPolicy("mine", {}); return "made"; } catch { return "stopped"; } })()`},
		{"a script made of a text", "require-trusted-types-for", `(() => { const s = document.createElement("script"); s.append("window.ran = true"); document.body.append(s); return window.ran ? "ran" : "stopped"; })()`},
		{"a script from elsewhere", "script-src", `import("data:text/javascript,export default 1").then(() => "ran", () => "stopped")`},
		{"a style inside the page", "style-src", `(() => { const s = document.createElement("style"); s.append("body { display: none }"); document.body.append(s); return getComputedStyle(document.body).display === "none" ? "drawn" : "stopped"; })()`},
		{"a picture from elsewhere", "img-src", `new Promise(done => { const i = new Image(); i.onload = () => done("loaded"); i.onerror = () => done("stopped"); i.src = "http://127.0.0.1:9/x.png"; })`},
		{"a request elsewhere", "connect-src", `fetch("http://127.0.0.1:9/").then(() => "went", () => "stopped")`},
		{"a frame", "frame-src", `(() => { const f = document.createElement("iframe"); f.src = "http://127.0.0.1:9/"; document.body.append(f); return "stopped"; })()`},
	}
	for _, breach := range breaches {
		w.take()
		if got, err := eval[string](b, breach.script); err != nil || got != "stopped" {
			t.Errorf("%s: %s (%v)", breach.name, got, err)
		}
		var said []string
		eventually(t, "everybody speaks of "+breach.name, func() error {
			said = append(said, w.take()...)
			for _, by := range []string{byEvent, byReport, byBrowser} {
				if !slices.ContainsFunc(said, func(s string) bool { return strings.HasPrefix(s, by+breach.directive) }) {
					return fmt.Errorf("%snothing about %s among %q", by, breach.directive, said)
				}
			}
			return nil
		})
	}
}
