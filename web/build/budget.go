package main

import (
	"fmt"
	"io"
	"path"
	"strings"
	"text/tabwriter"
)

// What a first visit may cost over the network, in bytes of brotli. A tablet
// on a hospital's guest network has to be ready before the list starts.
const (
	coreBudget  = 1_400_000
	shellBudget = 150_000
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

// firstVisit is the size of the core and of everything else. Icons are
// not counted: no visit fetches them, the system does when the program goes to the home screen.
func (s *site) firstVisit() (core, rest int) {
	for _, f := range s.files {
		switch {
		case f.isCore():
			core += f.sent()
		case path.Ext(f.Path) != ".png":
			rest += f.sent()
		}
	}
	return core, rest
}

func (s *site) checkBudget() error {
	core, rest := s.firstVisit()
	if core > coreBudget {
		return fmt.Errorf("the core is %d bytes of brotli and may be %d: see what it links with go list -deps ./web/core", core, coreBudget)
	}
	if rest > shellBudget {
		return fmt.Errorf("the first visit without the core is %d bytes of brotli and may be %d", rest, shellBudget)
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
	core, rest := s.firstVisit()
	fmt.Fprintf(out, "first visit: core %d of %d bytes, everything else %d of %d\n", core, coreBudget, rest, shellBudget)
}

func size(b []byte) string {
	if b == nil {
		return "-"
	}
	return fmt.Sprint(len(b))
}
