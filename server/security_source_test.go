package main_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Some things are safe because they are nowhere, or in one place that is looked
// at with care. These tests read the sources for them.

// sources are the files below dirs whose name ends like this, without tests, by their path in the tree.
func sources(t *testing.T, ending *regexp.Regexp, dirs ...string) map[string]string {
	t.Helper()
	found := map[string]string{}
	for _, dir := range dirs {
		err := filepath.WalkDir(filepath.Join(root, dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !ending.MatchString(path) || strings.HasSuffix(path, "_test.go") {
				return err
			}
			b, err := os.ReadFile(path)
			name, _ := filepath.Rel(root, path)
			found[filepath.ToSlash(name)] = string(b)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(found) < 10 {
		t.Fatalf("%d sources below %v", len(found), dirs)
	}
	return found
}

// importing is every file of the program that imports a package.
func importing(t *testing.T) map[string][]string {
	t.Helper()
	by := map[string][]string{}
	for path, text := range sources(t, regexp.MustCompile(`\.go$`), "server", "cards", "checklist", "web/core") {
		if strings.HasPrefix(path, "server/battery/") || strings.Contains(path, "test/") {
			continue // only tests import these
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, text, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, spec := range file.Imports {
			name := strings.Trim(spec.Path.Value, `"`)
			by[name] = append(by[name], path)
		}
	}
	return by
}

func TestSourcesLeaveDangerousThingsAlone(t *testing.T) {
	imported := importing(t)
	for _, c := range []struct {
		name, why string
		where     []string // the files that may
	}{
		{"os/exec", "starts commands: only the check at the start does, and only this program itself", []string{"server/startcheck.go"}},
		{"net/http", "asks other machines: the commands ask the server, single sign-on its provider, nobody else anybody", []string{"server/ask.go", "server/backup.go", "server/signin/sso.go"}},
		{"compress/gzip", "could be made to unpack without an end: answers are packed, nothing is unpacked", []string{"server/api/api.go"}},
		{"math/rand", "can be foreseen", nil},
		{"math/rand/v2", "can be foreseen", nil},
		{"crypto/md5", "is broken", nil},
		{"crypto/sha1", "is broken", nil},
		{"unsafe", "gives up what Go checks", nil},
		{"archive/zip", "could be made to unpack without an end", nil},
		{"encoding/gob", "makes values of any type from bytes", nil},
		{"encoding/xml", "has traps that JSON has not", nil},
		{"text/template", "makes HTML without escaping", nil},
		{"net/http/pprof", "shows the program's memory to whoever asks", nil},
		{"expvar", "shows the program's memory to whoever asks", nil},
		{"plugin", "loads code", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := imported[c.name]
			slices.Sort(got)
			if !slices.Equal(got, c.where) {
				t.Errorf("%s %s: imported by %v, may be by %v", c.name, c.why, got, c.where)
			}
		})
	}
	page := sources(t, regexp.MustCompile(`\.tsx?$`), "web/app", "web/worker")
	program := sources(t, regexp.MustCompile(`\.go$`), "server")
	for _, c := range []struct {
		name  string
		in    map[string]string
		never string // a pattern
		where []string
	}{
		{"no script is made from text", page, `\beval\(|\bnew Function\b|document\.write|setTimeout\(["'` + "`" + `]|importScripts`, nil},
		{"one place makes HTML", page, `\.innerHTML|\.outerHTML|insertAdjacentHTML|dangerouslySetInnerHTML`, []string{"web/app/parts/safehtml.tsx"}},
		{"one policy of Trusted Types", page, `trustedTypes\?*\.createPolicy`, []string{"web/app/trusted.ts"}},
		{"no other window is heard", page, `window\.(addEventListener\("message"|onmessage)|\bopener\b|window\.parent\b`, nil},
		{"no cookie is read by a script", page, `document\.cookie`, nil},
		{"no other way out of the page", page, `\bnew WebSocket\b|\bRTCPeerConnection\b|sendBeacon|XMLHttpRequest`, nil},
		{"certificates are always checked", program, `InsecureSkipVerify`, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for path, text := range c.in {
				if regexp.MustCompile(c.never).MatchString(text) {
					got = append(got, path)
				}
			}
			slices.Sort(got)
			if !slices.Equal(got, c.where) {
				t.Errorf("%s: found in %v, may be in %v", c.never, got, c.where)
			}
		})
	}
	t.Run("a PIN is masked", func(t *testing.T) {
		if field := page["web/app/views/pin.tsx"]; !strings.Contains(field, `type="password"`) || strings.Contains(field, "onPaste") {
			t.Error("the field of the PIN is not of the kind that masks, or stops pasting")
		}
	})
}
