package web

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"
)

func TestWithoutABuildTheErrorSaysWhatToRun(t *testing.T) {
	_, err := read(fstest.MapFS{"dist/.gitkeep": {}})
	if !errors.Is(err, ErrNotBuilt) || !strings.Contains(err.Error(), "go generate ./web") {
		t.Errorf("got %v", err)
	}
}

func TestABuildIsReadWhole(t *testing.T) {
	b, err := read(fstest.MapFS{
		"dist/bundle.json": {Data: []byte(`{"build":"b1","files":[
			{"file":"index.html","sha256":"aa"},
			{"file":"assets/core-1.wasm","brotli":true,"gzip":true,"sha256":"bb","immutable":true}]}`)},
		"dist/index.html":            {Data: []byte("page")},
		"dist/assets/core-1.wasm":    {Data: []byte("raw")},
		"dist/assets/core-1.wasm.br": {Data: []byte("br")},
		"dist/assets/core-1.wasm.gz": {Data: []byte("gz")},
	})
	if err != nil {
		t.Fatal(err)
	}
	page, core := b.Files[Index], b.Files["assets/core-1.wasm"]
	if b.Build != "b1" || string(page.Raw) != "page" || page.Brotli != nil || page.Gzip != nil || page.Immutable || page.ETag != `"aa"` {
		t.Errorf("the page: %+v", page)
	}
	if string(core.Raw) != "raw" || string(core.Brotli) != "br" || string(core.Gzip) != "gz" || !core.Immutable || core.Type != "application/wasm" {
		t.Errorf("the core: %+v", core)
	}
}

func TestAnIncompleteBuildIsRefused(t *testing.T) {
	tests := map[string]fstest.MapFS{
		"a file is missing":              {"dist/bundle.json": {Data: []byte(`{"files":[{"file":"sw.js"}]}`)}},
		"a compressed file is missing":   {"dist/bundle.json": {Data: []byte(`{"files":[{"file":"sw.js","brotli":true}]}`)}, "dist/sw.js": {}},
		"the list of files is not valid": {"dist/bundle.json": {Data: []byte(`{`)}},
	}
	for why, files := range tests {
		if _, err := read(files); err == nil {
			t.Errorf("%s: no error", why)
		}
	}
}

// Types that the platform insists on: a browser refuses a stylesheet or a
// module of another type, compiles WebAssembly while it arrives only as
// application/wasm, and reads the manifest as application/manifest+json
// (registered media types; WebAssembly Web API; Web Application Manifest).
func TestTypes(t *testing.T) {
	tests := map[string]string{
		"index.html":           "text/html; charset=utf-8",
		"sw.js":                "text/javascript; charset=utf-8",
		"assets/main-1.css":    "text/css; charset=utf-8",
		"assets/core-1.wasm":   "application/wasm",
		"manifest.webmanifest": "application/manifest+json",
		"assets/a-1.woff2":     "font/woff2",
		"icons/mark.svg":       "image/svg+xml",
		"icons/icon-192.png":   "image/png",
		"licences.txt":         "text/plain; charset=utf-8",
		"unknown.xyz":          "application/octet-stream",
	}
	for name, want := range tests {
		if got := contentType(name); got != want {
			t.Errorf("%s is served as %s, want %s", name, got, want)
		}
	}
}
