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
const (
	coreBudget  = 1_400_000
	shellBudget = 150_000
	deskBudget  = 150_000
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

// weights is what the core, the shell and the desk weigh. Icons are
// not counted: no visit fetches them, the system does when the program goes to the home screen.
func (s *site) weights() (core, shell, desk int) {
	for _, f := range s.files {
		switch {
		case f.isCore():
			core += f.sent()
		case path.Ext(f.Path) == ".png":
		case f.Part == lazy:
			desk += f.sent()
		default:
			shell += f.sent()
		}
	}
	return core, shell, desk
}

func (s *site) checkBudget() error {
	core, shell, desk := s.weights()
	switch {
	case core > coreBudget:
		return fmt.Errorf("the core is %d bytes of brotli and may be %d: see what it links with go list -deps ./web/core", core, coreBudget)
	case shell > shellBudget:
		return fmt.Errorf("the shell is %d bytes of brotli and may be %d: move what theatre does not need from cold behind an import() (web/app/views/desk.ts)", shell, shellBudget)
	case desk > deskBudget:
		return fmt.Errorf("what is read behind the shell is %d bytes of brotli and may be %d", desk, deskBudget)
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
	core, shell, desk := s.weights()
	fmt.Fprintf(out, "core %d of %d bytes, shell %d of %d, desk %d of %d\n", core, coreBudget, shell, shellBudget, desk, deskBudget)
}

func size(b []byte) string {
	if b == nil {
		return "-"
	}
	return fmt.Sprint(len(b))
}
