package main_test

import (
	"encoding/json"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/mod/semver"
)

// What is built into a program that people rely on has to be known: these
// tests hold docs/dependencies.md against go.mod, web/vendor and
// web/package.json, and every version against the lowest without a known fault.

var dependencyColumns = []string{"name", "version", "lowest safe", "part", "licence", "size", "why it is there"}

// dependencies returns the rows of docs/dependencies.md by name.
func dependencies(t *testing.T) map[string]row {
	t.Helper()
	rows := map[string]row{}
	for _, r := range tablesOf(t, "docs/dependencies.md", dependencyColumns...) {
		if _, twice := rows[r["name"]]; twice {
			t.Errorf("docs/dependencies.md lists %s twice", r["name"])
		}
		rows[r["name"]] = r
	}
	return rows
}

// tablesOf returns the rows of every table of a page that has these columns.
func tablesOf(t *testing.T, page string, columns ...string) []row {
	t.Helper()
	lines := strings.Split(read(t, page), "\n")
	var rows []row
	for i, line := range lines {
		if !slices.Equal(cells(line), columns) {
			continue
		}
		for _, l := range lines[i+2:] {
			found := cells(l)
			if found == nil {
				break
			}
			if len(found) != len(columns) || slices.Contains(found, "") {
				t.Fatalf("%s: not one word in each of %d columns: %s", page, len(columns), l)
			}
			r := row{}
			for n, name := range columns {
				r[name] = found[n]
			}
			rows = append(rows, r)
		}
	}
	if len(rows) == 0 {
		t.Fatalf("%s has no table with the columns %q", page, columns)
	}
	return rows
}

// inUse returns the version of everything that is not ours.
func inUse(t *testing.T) map[string]string {
	t.Helper()
	versions := map[string]string{}
	var mod struct {
		Require []struct{ Path, Version string }
	}
	fromJSON(t, goCommand(t, "mod", "edit", "-json"), &mod)
	for _, r := range mod.Require {
		versions[r.Path] = r.Version
	}
	var vendored []struct{ Name, Version string }
	fromJSON(t, []byte(read(t, "web/vendor/vendor.json")), &vendored)
	for _, v := range vendored {
		versions[v.Name] = "v" + v.Version
	}
	var npm struct{ DevDependencies map[string]string }
	fromJSON(t, []byte(read(t, "web/package.json")), &npm)
	for name, version := range npm.DevDependencies {
		versions[name] = "v" + version
	}
	return versions
}

func TestDependenciesAreAllListed(t *testing.T) {
	listed, used := dependencies(t), inUse(t)
	for name, version := range used {
		r, ok := listed[name]
		switch {
		case !ok:
			t.Errorf("%s %s is used and not in docs/dependencies.md: say there why it is needed, under which licence and how large it is", name, version)
		case r["version"] != version:
			t.Errorf("%s is %s, and docs/dependencies.md says %s", name, version, r["version"])
		}
	}
	for name := range listed {
		if _, ok := used[name]; !ok {
			t.Errorf("docs/dependencies.md lists %s, which nothing uses", name)
		}
	}
}

func TestDependenciesHaveNoKnownFault(t *testing.T) {
	for name, r := range dependencies(t) {
		lowest := r["lowest safe"]
		if lowest == "–" {
			continue // no published fault is known to whoever wrote the row
		}
		if !semver.IsValid(lowest) {
			t.Errorf("%s: %q is not a version such as v1.2.3", name, lowest)
		} else if semver.Compare(r["version"], lowest) < 0 {
			t.Errorf("%s %s has a known fault that %s mends: take that or a later one", name, r["version"], lowest)
		}
	}
}

// What is linked into the program reaches users; a row must not call it a tool.
func TestDependenciesOfTheProgram(t *testing.T) {
	listed := dependencies(t)
	linked := strings.Fields(string(goCommand(t, "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}{{end}}{{end}}", "./server")))
	slices.Sort(linked)
	linked = slices.Compact(linked)
	for name, r := range listed {
		if inside := slices.Contains(linked, name); inside != (r["part"] == "program") {
			t.Errorf("%s: docs/dependencies.md says it belongs to the %s; linked into the program: %t", name, r["part"], inside)
		}
	}
}

func goCommand(t *testing.T, args ...string) []byte {
	t.Helper()
	c := exec.Command("go", args...)
	c.Dir = filepath.Clean(root)
	out, err := c.Output()
	if err != nil {
		t.Fatalf("go %s: %v", strings.Join(args, " "), err)
	}
	return out
}

func fromJSON(t *testing.T, b []byte, into any) {
	t.Helper()
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatal(err)
	}
}
