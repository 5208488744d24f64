package e2e

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"golang.org/x/tools/txtar"

	"sideport/cards"
	"sideport/checklist"
	"sideport/web"
)

// goldens reads the shared corpus as inputs and the canonical bytes of their
// sheets. What the sheets must say is held by the tests of checklist; here
// only the place they are made in differs.
func goldens(t testing.TB) map[string]checklist.Input {
	t.Helper()
	paths, err := filepath.Glob("../../testdata/cases/*.txtar")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no golden case in testdata/cases: %v", err)
	}
	inputs := map[string]checklist.Input{}
	for _, path := range paths {
		inputs[filepath.Base(path)] = golden(t, path)
	}
	return inputs
}

func golden(t testing.TB, path string) checklist.Input {
	t.Helper()
	archive, err := txtar.ParseFile(path)
	if err != nil {
		t.Fatal(err)
	}
	in := checklist.Input{CardRevision: 1, Rules: checklist.Starter(), RulesRevision: 1}
	for _, f := range archive.Files {
		var problems cards.Problems
		switch f.Name {
		case "card":
			md := f.Data
			if name := strings.TrimSpace(string(md)); cards.ValidKey(name) {
				if md, err = os.ReadFile("../../testdata/cards/" + name + ".md"); err != nil {
					t.Fatal(err)
				}
			}
			in.Card, problems = cards.Parse(md)
		case "case.json":
			in.Case, problems = checklist.ParseCase(f.Data)
		case "rules.json":
			in.Rules, problems = checklist.ParseRuleBook(f.Data)
		}
		if errors := problems.Errors(); len(errors) > 0 {
			t.Fatalf("%s: %s: %v", path, f.Name, errors)
		}
	}
	return in
}

// generateRequest is what the page sends to the core for one sheet.
func generateRequest(t testing.TB, in checklist.Input) []byte {
	t.Helper()
	request, err := json.Marshal(map[string]any{"card": in.Card, "card_revision": in.CardRevision,
		"rules": in.Rules, "rules_revision": in.RulesRevision, "case": in.Case})
	if err != nil {
		t.Fatal(err)
	}
	return request
}

// startCore puts the built core into a worker of the page and gives the page a function to call it.
const startCore = `new Promise((resolve, reject) => {
	const worker = new Worker(%s), waiting = new Map(); let n = 0;
	worker.onerror = e => reject(new Error(e.message));
	worker.onmessage = ({data}) => {
		if (data.ready) resolve(true);
		else if (data.stopped) reject(new Error(data.stopped));
		else { waiting.get(data.n)(new TextDecoder().decode(data.output)); waiting.delete(data.n); }
	};
	window.callCore = (name, input) => new Promise(done => {
		waiting.set(++n, done); worker.postMessage({n, name, input: new TextEncoder().encode(input)});
	});
})`

// openCore opens a page with the core in it. The content policy is switched
// off for this page alone, because the test, not the app, starts the worker.
func openCore(t testing.TB, b *tablet) {
	t.Helper()
	assets, err := web.Assets()
	if err != nil {
		t.Fatal(err)
	}
	script := ""
	for path := range assets.Files {
		if strings.HasPrefix(path, "assets/core-") && strings.HasSuffix(path, ".js") {
			script = "/" + path
		}
	}
	if script == "" {
		t.Fatal("the bundle has no core worker")
	}
	if _, err := chromedp.Call(b.ctx, page.SetBypassCSP, page.SetBypassCSPParams{Enabled: true}); err != nil {
		t.Fatal(err)
	}
	b.open("/about")
	if _, err := eval[bool](b, fmt.Sprintf(startCore, quoted(script))); err != nil {
		t.Fatalf("start the core: %v", err)
	}
}

// Ensure that a sheet made in the browser is the same to the byte as one made on the server, over the whole corpus.
func TestSheetsAreTheSameInTheBrowser(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	openCore(t, b)
	for name, in := range goldens(t) {
		sheet, problems := checklist.Generate(in)
		if len(problems) > 0 {
			t.Fatalf("%s: %v", name, problems)
		}
		want, err := checklist.Canonical(sheet)
		if err != nil {
			t.Fatal(err)
		}
		got, err := eval[string](b, fmt.Sprintf("callCore('generate', %s)", quoted(string(generateRequest(t, in)))))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if want := `{"ok":` + strings.TrimSuffix(string(want), "\n") + "}"; strings.TrimSuffix(got, "\n") != want {
			t.Errorf("%s: the browser made another sheet:\n%.300s\nwant\n%.300s", name, got, want)
		}
	}
}
