package main

import (
	"fmt"
	"io"
	"path"
	"strings"
	"text/tabwriter"
)

// What a first visit may cost over the network, in bytes of brotli. A tablet
// on a hospital's guest network has to be ready before the list starts. The
// core and the desk come behind the shell: no screen of the theatre waits for them.
// Another language than English is read before the first screen, by the devices that show it.
const (
	coreBudget     = 1_400_000
	shellBudget    = 150_000
	deskBudget     = 150_000
	languageBudget = 100_000
	behindBudget   = 50_000 // what its desk says, which comes behind it
)

// sent is what travels for a file.
func (f *file) sent() int {
	if f.brotli != nil {
		return len(f.brotli)
	}
	return len(f.Content)
}

// isCore says whether a file is of the core: the WebAssembly, or the worker with the toolchain's glue, which works with it alone.
func (f *file) isCore() bool { return strings.HasPrefix(f.Path, "/assets/core-") }

// weights are what the parts of the client weigh.
type weights struct{ core, shell, desk, language, behind int }

// weights is what each part weighs, and of the languages the heaviest. Icons are
// not counted: no visit fetches them, the system does when the program goes to the home screen.
func (s *site) weights() (w weights) {
	for _, f := range s.files {
		switch {
		case f.isCore():
			w.core += f.sent()
		case path.Ext(f.Path) == ".png":
		case strings.HasPrefix(f.Entry, "app/lang/") && path.Base(f.Entry) == "behind.ts":
			w.behind = max(w.behind, f.sent())
		case strings.HasPrefix(f.Entry, "app/lang/"):
			w.language = max(w.language, f.sent())
		case f.Part == lazy:
			w.desk += f.sent()
		default:
			w.shell += f.sent()
		}
	}
	return w
}

func (s *site) checkBudget() error {
	w := s.weights()
	switch {
	case w.core > coreBudget:
		return fmt.Errorf("the core is %d bytes of brotli and may be %d: see what it links with go list -deps ./web/core", w.core, coreBudget)
	case w.shell > shellBudget:
		return fmt.Errorf("the shell is %d bytes of brotli and may be %d: move what theatre does not need from cold behind an import() (web/app/views/desk.ts)", w.shell, shellBudget)
	case w.desk > deskBudget:
		return fmt.Errorf("what is read behind the shell is %d bytes of brotli and may be %d", w.desk, deskBudget)
	case w.language > languageBudget:
		return fmt.Errorf("a language is %d bytes of brotli and may be %d: move what only the desk says to its behind.ts", w.language, languageBudget)
	case w.behind > behindBudget:
		return fmt.Errorf("what a language reads behind the first screen is %d bytes of brotli and may be %d", w.behind, behindBudget)
	}
	return nil
}

// table prints what the client weighs.
func (s *site) table(out io.Writer) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "raw\tgzip\tbrotli\t  file\t")
	for _, f := range s.files {
		fmt.Fprintf(w, "%d\t%s\t%s\t  %s\t\n", len(f.Content), size(f.gzip), size(f.brotli), strings.TrimPrefix(f.Path, "/assets/"))
	}
	w.Flush()
	sum := s.weights()
	fmt.Fprintf(out, "core %d of %d bytes, shell %d of %d, desk %d of %d, language %d of %d and %d of %d behind it\n",
		sum.core, coreBudget, sum.shell, shellBudget, sum.desk, deskBudget, sum.language, languageBudget, sum.behind, behindBudget)
}

func size(b []byte) string {
	if b == nil {
		return "-"
	}
	return fmt.Sprint(len(b))
}
