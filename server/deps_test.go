//go:build !js

package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// goPackage is what "go list -deps -json" says of one package.
type goPackage struct {
	ImportPath string
	Imports    []string
	Deps       []string
	Standard   bool
}

const (
	bboltPath = "go.etcd.io/bbolt"
	fiberPath = "github.com/gofiber/fiber/v2"
)

// The two tables below are a statement of policy. Do not change them to mend a build.

// never lists what a package must not reach, however indirectly.
var never = []struct{ from, to, why string }{
	{"sideport/cards", fiberPath, "a card knows no web server; the browser runs this package"},
	{"sideport/cards", bboltPath, "a card knows no database; the browser runs this package"},
	{"sideport/cards", "net/http", "no I/O in the domain, and half the size of the core in the browser"},
	{"sideport/cards", "os/exec", "no I/O in the domain; it compiles for the browser and fails there"},
	{"sideport/cards", "syscall/js", "the domain runs natively as well; only web/core knows the browser"},
	{"sideport/checklist", fiberPath, "a sheet knows no web server; the browser runs this package"},
	{"sideport/checklist", bboltPath, "a sheet knows no database; the browser runs this package"},
	{"sideport/checklist", "net/http", "no I/O in the domain, and half the size of the core in the browser"},
	{"sideport/checklist", "os/exec", "no I/O in the domain; it compiles for the browser and fails there"},
	{"sideport/checklist", "syscall/js", "the domain runs natively as well; only web/core knows the browser"},
	{"sideport/checklist/risk", fiberPath, "an estimate knows no web server; the browser runs this package"},
	{"sideport/checklist/risk", bboltPath, "an estimate knows no database; the browser runs this package"},
	{"sideport/checklist/risk", "net/http", "no I/O in the domain, and half the size of the core in the browser"},
	{"sideport/checklist/risk", "os/exec", "no I/O in the domain; it compiles for the browser and fails there"},
	{"sideport/checklist/risk", "syscall/js", "the domain runs natively as well; only web/core knows the browser"},
	{"sideport/checklist", "sideport/checklist/risk", "a sheet is made without any estimate: risk is a part of its own"},
	{"sideport/cards", "sideport/checklist", "imports point one way: checklist knows cards"},
	{"sideport/cards", "sideport/checklist/risk", "imports point one way: risk knows cards"},
	{"sideport/server/edits", fiberPath, "the rule of accepting an edit is tested without a web server"},
	{"sideport/server/edits", bboltPath, "the rule of accepting an edit works on any log"},
	{"sideport/server/edits", "net/http", "the rule of accepting an edit is tested without a network"},
	{"sideport/server/edits", "sideport/server/people", "who made an edit comes in as a value: what becomes of it is tested without keys and PINs"},
	{"sideport/server/people", fiberPath, "who may come in and do what is tested without a web server"},
	{"sideport/server/people", bboltPath, "people and devices are rows and events of any vault"},
	{"sideport/server/people", "net/http", "who may come in and do what is tested without a network"},
	{"sideport/server/store", "sideport/server/people", "the store keeps rows and a chain of events and does not know what they say"},
	{"sideport/server/store", fiberPath, "the log is used by commands that serve nothing"},
	{"sideport/server/api", bboltPath, "handlers know the log as an interface, so that another can take its place"},
	{"sideport/server/demo", bboltPath, "the demonstration is data; main puts it into the log"},
	{"sideport/web", "sideport/cards", "the embedded client is files; it must not depend on what it was built from"},
	{"sideport/web", "sideport/checklist", "the embedded client is files; it must not depend on what it was built from"},
	{"sideport/web", "sideport/server/edits", "the embedded client is files and knows no server"},
	{"sideport/server", "github.com/evanw/esbuild/pkg/api", "the builder of the client never reaches users"},
}

// pure lists what the domain must not import itself. (Some of it is reached through the Markdown parser, which is harmless.)
var pure = []struct{ path, why string }{
	{"time", "the clock comes in as a value: the same input gives the same bytes"},
	{"math/rand", "randomness comes in as a value"},
	{"math/rand/v2", "randomness comes in as a value"},
	{"crypto/rand", "randomness comes in as a value"},
	{"os", "no files and no environment in the domain"},
	{"math", "Exp and Pow differ between native code and WebAssembly; quantities are decimals"},
}

// only lists who alone may import a package directly.
var only = []struct {
	path, why string
	who       []string
}{
	{bboltPath, "the database engine can be changed in one place", []string{"sideport/server/store"}},
	{fiberPath, "the web framework can be changed in one place", []string{"sideport/server/api", "sideport/server"}},
	{"golang.org/x/crypto/argon2", "PINs are hashed in one place, with one cost", []string{"sideport/server/people"}},
	{"syscall/js", "the browser is known to the bridge alone", []string{"sideport/web/core"}},
	{"sideport/web/build", "nothing is built at run time", nil},
}

func TestImportsPointOneWay(t *testing.T) {
	packages := listed(t)
	for _, ban := range never {
		p, ok := packages[ban.from]
		if !ok {
			t.Errorf("%s does not exist: the ban on %s guards nothing", ban.from, ban.to)
			continue
		}
		if slices.Contains(p.Deps, ban.to) {
			t.Errorf("%s reaches %s: %s", ban.from, ban.to, ban.why)
		}
	}
}

func TestDomainIsPure(t *testing.T) {
	packages := listed(t)
	for _, from := range []string{"sideport/cards", "sideport/checklist", "sideport/checklist/risk"} {
		for _, ban := range pure {
			if slices.Contains(packages[from].Imports, ban.path) {
				t.Errorf("%s imports %s: %s", from, ban.path, ban.why)
			}
		}
	}
}

func TestTechnologiesAreNamedInOnePlace(t *testing.T) {
	for _, p := range listed(t) {
		if !strings.HasPrefix(p.ImportPath, "sideport") {
			continue
		}
		for _, rule := range only {
			if imports(p.Imports, rule.path) && !slices.Contains(rule.who, p.ImportPath) {
				t.Errorf("%s imports %s: %s", p.ImportPath, rule.path, rule.why)
			}
		}
	}
}

// imports reports whether the list holds the package or one below it.
func imports(list []string, path string) bool {
	return slices.ContainsFunc(list, func(p string) bool { return p == path || strings.HasPrefix(p, path+"/") })
}

// listed asks the toolchain for every package of the module and what it reaches.
func listed(t *testing.T) map[string]goPackage {
	t.Helper()
	command := exec.Command("go", "list", "-deps", "-json=ImportPath,Imports,Deps,Standard", "./...")
	command.Dir = ".."
	out, err := command.Output()
	if err != nil {
		var failed *exec.ExitError
		if errors.As(err, &failed) {
			t.Fatalf("go list: %v: %s", err, failed.Stderr)
		}
		t.Fatal(err)
	}
	packages := map[string]goPackage{}
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p goPackage
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		packages[p.ImportPath] = p
	}
	if len(packages) < 50 {
		t.Fatalf("go list named %d packages: it cannot have seen the module", len(packages))
	}
	return packages
}
