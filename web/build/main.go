// Command build makes the client: it writes the TypeScript types and tables
// from the Go ones, bundles the page, the core's worker and the service
// worker, compiles the core to WebAssembly, compresses everything and puts it
// into web/dist, from where package web embeds it.
//
//	go generate ./web             the client as it is shipped
//	go run ./web/build -dev       the same, compressed less, for trying things out
//	go run ./web/build -types     only the generated types, tables and guide
//	go run ./web/build -unit DIR  the unit tests of the client, bundled for Node
//
// It needs Go alone. The same sources and the same Go version give the same
// bytes; every name under /assets/ holds the hash of its content.
package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"
)

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return
		}
		fmt.Fprintln(os.Stderr, "web/build:", err)
		os.Exit(1)
	}
}

func run(args []string, out io.Writer) error {
	flags := flag.NewFlagSet("build", flag.ContinueOnError)
	dev := flags.Bool("dev", false, "compress quickly and do not check the size budget")
	types := flags.Bool("types", false, "only write the generated types, tables and guide")
	unit := flags.String("unit", "", "bundle the unit tests into this `folder` and do nothing else")
	if err := flags.Parse(args); err != nil {
		return err
	}
	if flags.NArg() > 0 {
		return fmt.Errorf("unexpected argument %q: see -h", flags.Arg(0))
	}
	web, err := findWeb()
	if err != nil {
		return err
	}
	if err := generate(web); err != nil {
		return err
	}
	switch {
	case *types:
		return nil
	case *unit != "":
		return bundleUnit(web, *unit)
	}
	return build(web, *dev, out)
}

func build(web string, dev bool, out io.Writer) error {
	began := time.Now()
	site, err := assemble(web)
	if err != nil {
		return err
	}
	if err := site.compress(dev); err != nil {
		return err
	}
	// Nothing is written before everything is made: a failed build leaves the last good one in place.
	if err := site.write(filepath.Join(web, "dist")); err != nil {
		return err
	}
	site.table(out)
	fmt.Fprintf(out, "build %s in %.1f s\n", site.build, time.Since(began).Seconds())
	if dev {
		fmt.Fprintln(out, "-dev: compressed quickly, size budget not checked")
		return nil
	}
	return site.checkBudget()
}

// assemble makes every file of the client, uncompressed.
func assemble(web string) (*site, error) {
	s := &site{}
	if err := s.addStatic(filepath.Join(web, "static")); err != nil {
		return nil, err
	}
	if err := s.addLicences(filepath.Join(web, "vendor")); err != nil {
		return nil, err
	}
	wasm, err := compileCore(web)
	if err != nil {
		return nil, err
	}
	core := s.add(hashed("core", ".wasm", wasm), wasm, lazy)
	worker, err := bundleCoreWorker(web, core.Path)
	if err != nil {
		return nil, err
	}
	page, err := bundlePage(web, s.add(hashed("core", ".js", worker), worker, shell).Path)
	if err != nil {
		return nil, err
	}
	begins := atOnce(page)
	for _, f := range page {
		p := shell
		if filepath.Ext(f.path) == ".js" && !slices.Contains(begins, f.path) {
			p = lazy
		}
		s.add(f.path, f.content, p).Entry = f.entry
	}
	if err := s.addIndex(filepath.Join(web, "app", "index.html"), page); err != nil {
		return nil, err
	}
	return s, s.addServiceWorker(web)
}

// generate writes the TypeScript that mirrors the Go types and tables, and the guide.
func generate(web string) error {
	constants, err := typedConstants(filepath.Join(web, "..", "cards"), filepath.Join(web, "..", "checklist"))
	if err != nil {
		return err
	}
	types, err := typesTS(constants)
	if err != nil {
		return err
	}
	vocabulary, err := vocabularyTS()
	if err != nil {
		return err
	}
	may, err := mayTS()
	if err != nil {
		return err
	}
	guide, err := guideTS(filepath.Join(web, "..", "docs", "guide"))
	if err != nil {
		return err
	}
	guideDE, err := guideTS(filepath.Join(web, "..", "docs", "guide", "de"))
	if err != nil {
		return err
	}
	folder := filepath.Join(web, "app", "generated")
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("make the folder of the generated types: %w", err)
	}
	for name, content := range map[string][]byte{"types.ts": types, "vocabulary.ts": vocabulary, "may.ts": may, "guide.ts": guide, "guide-de.ts": guideDE} {
		path := filepath.Join(folder, name)
		if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, content) {
			continue // keeps its date, so that editors do not start over
		}
		if err := os.WriteFile(path, content, 0o644); err != nil {
			return fmt.Errorf("write the generated types: %w", err)
		}
	}
	return nil
}

// findWeb finds the folder web of this module, from wherever the command was started inside it.
func findWeb() (string, error) {
	start, err := os.Getwd()
	if err != nil {
		return "", fmt.Errorf("find the current folder: %w", err)
	}
	for folder := start; ; folder = filepath.Dir(folder) {
		mod, err := os.ReadFile(filepath.Join(folder, "go.mod"))
		if err == nil && bytes.HasPrefix(mod, []byte("module sideport\n")) {
			return filepath.Join(folder, "web"), nil
		}
		if folder == filepath.Dir(folder) {
			return "", fmt.Errorf("%s is not inside the module sideport: change to its folder first", start)
		}
	}
}
