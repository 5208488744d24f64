package main

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func page(t *testing.T, template string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "index.html")
	if err := os.WriteFile(path, []byte(template), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// A page whose script imports a shared one, which imports another; the desk's is read when it is needed.
var bundled = []output{{path: "/assets/chunk-1.js", imports: []string{"/assets/chunk-2.js"}}, {path: "/assets/main-1.js", imports: []string{"/assets/chunk-1.js"}},
	{path: "/assets/main-1.css"}, {path: "/assets/font-1.woff2"}, {path: "/assets/chunk-2.js"}, {path: "/assets/desk-1.js", imports: []string{"/assets/chunk-3.js"}}}

func TestThePageNamesItsFilesAndTheBuild(t *testing.T) {
	s := &site{}
	s.add("/assets/main-1.js", []byte("x"), shell)
	if err := s.addIndex(page(t, "{{build}} {{script}} {{style}} {{font}}\n{{preload}}\n"), bundled); err != nil {
		t.Fatal(err)
	}
	got := string(s.files[len(s.files)-1].Content)
	if want := s.build + " /assets/main-1.js /assets/main-1.css /assets/font-1.woff2\n" +
		"<link rel=\"modulepreload\" href=\"/assets/chunk-1.js\">\n<link rel=\"modulepreload\" href=\"/assets/chunk-2.js\">\n"; got != want || len(s.build) != 32 {
		t.Errorf("got %s want %s", got, want)
	}
}

func TestThePageIsRefusedWhenIncomplete(t *testing.T) {
	if err := (&site{}).addIndex(page(t, "{{scripts}}"), bundled); err == nil {
		t.Error("an unknown placeholder is taken")
	}
	if err := (&site{}).addIndex(page(t, `<link href="{{style}}">`), bundled[:2]); err == nil {
		t.Error("a page without styles is taken")
	}
	two := append([]output{{path: "/assets/main-2.js"}}, bundled...)
	if err := (&site{}).addIndex(page(t, `<script src="{{script}}"></script>`), two); err == nil {
		t.Error("a page that can name one of two scripts is taken")
	}
}

func TestTheBuildsNameIsTheHashOfEverything(t *testing.T) {
	name := func(content, template string) string {
		s := &site{}
		s.add("/a.js", []byte(content), shell)
		return s.hash([]byte(template))
	}
	first := name("x", "page")
	tests := []struct {
		why, content, template string
		same                   bool
	}{
		{"the same once more", "x", "page", true},
		{"another script", "y", "page", false},
		{"another page around it", "x", "other page", false},
	}
	for _, tt := range tests {
		if got := name(tt.content, tt.template); (got == first) != tt.same {
			t.Errorf("%s: %s and %s", tt.why, first, got)
		}
	}
}

func TestWritingReplacesTheLastBuild(t *testing.T) {
	dist := t.TempDir()
	for _, name := range []string{".gitkeep", "old.js"} {
		if err := os.WriteFile(filepath.Join(dist, name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	s := &site{build: "b"}
	s.add("/", []byte("page"), shell)
	s.add("/assets/a-1.js", []byte(strings.Repeat("long ", 200)), shell)
	if err := s.compress(true); err != nil {
		t.Fatal(err)
	}
	if err := s.write(dist); err != nil {
		t.Fatal(err)
	}
	want := []string{".gitkeep", "assets/a-1.js", "assets/a-1.js.br", "assets/a-1.js.gz", "bundle.json", "index.html"}
	if got := filesIn(t, dist); strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("got %q want %q", got, want)
	}
}

func TestTheBudgetHolds(t *testing.T) {
	noise := func(n int) []byte { // does not compress
		b := make([]byte, n)
		source := rand.NewChaCha8([32]byte{1})
		_, _ = source.Read(b)
		return b
	}
	tests := []struct {
		why                   string
		core, other, language int
		ok                    bool
	}{
		{"all within", coreBudget, shellBudget, languageBudget, true},
		{"core too large", coreBudget + 1, 1, 1, false},
		{"the rest too large", 1, shellBudget + 1, 1, false},
		{"a language too large", 1, 1, languageBudget + 1, false},
	}
	for _, tt := range tests {
		s := &site{}
		s.add("/assets/core-1.wasm", noise(tt.core), lazy)
		s.add("/assets/main-1.js", noise(tt.other), shell)
		s.add("/assets/desk-1.js", noise(deskBudget), lazy)
		s.add("/assets/index-1.js", noise(tt.language), lazy).Entry = "app/lang/de/index.ts"
		s.add("/icons/icon.png", noise(shellBudget), uncached)
		if err := s.checkBudget(); (err == nil) != tt.ok {
			t.Errorf("%s: %v", tt.why, err)
		}
	}
}

func TestARememberedResultCountsOnlyForItsBytes(t *testing.T) {
	cache := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", cache) // Linux
	t.Setenv("HOME", cache)           // macOS
	t.Setenv("LocalAppData", cache)   // Windows
	content := bytes.Repeat([]byte("0123456789"), slow/10)
	first, err := cachedBrotli(content, quickBrotli)
	if err != nil {
		t.Fatal(err)
	}
	remembered, err := filepath.Glob(filepath.Join(cache, "*", "*.br"))
	if err != nil || len(remembered) == 0 {
		remembered, _ = filepath.Glob(filepath.Join(cache, "Library", "Caches", "sideport", "*.br"))
	}
	if len(remembered) != 1 {
		t.Fatalf("remembered %q, want one file", remembered)
	}
	if err := os.WriteFile(remembered[0], []byte("spoilt"), 0o644); err != nil {
		t.Fatal(err)
	}
	again, err := cachedBrotli(content, quickBrotli)
	if err != nil || !bytes.Equal(first, again) || !unpacksTo(again, content) {
		t.Errorf("a spoilt memory was served (%v)", err)
	}
}
