// Package web embeds the built client: the page, its service worker and the
// core, each with its compressed forms. web/build makes them; see DEVELOPERS.md.
package web

import (
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
)

//go:generate go run ./build

//go:embed all:dist
var dist embed.FS

// ErrNotBuilt says that the program was compiled without its client.
var ErrNotBuilt = errors.New("the client is not built: run go generate ./web")

// Index is the one page, which answers for every screen's address.
const Index = "index.html"

// Bundle is the client, ready to serve.
type Bundle struct {
	Build string          // hash over everything, 32 hex digits
	Files map[string]File // by address without the first slash: Index, "sw.js", "assets/…"
}

// File is one file of the client. Brotli and Gzip are nil where compressing gains nothing.
type File struct {
	Path      string
	Type      string // for Content-Type
	Raw       []byte
	Brotli    []byte
	Gzip      []byte
	ETag      string // strong and quoted
	Immutable bool   // the name holds the hash of the content
}

// Assets returns the embedded client, or ErrNotBuilt.
func Assets() (*Bundle, error) {
	return read(dist)
}

func read(files fs.FS) (*Bundle, error) {
	list, err := fs.ReadFile(files, "dist/bundle.json")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNotBuilt
	} else if err != nil {
		return nil, fmt.Errorf("read the client: %w", err)
	}
	var manifest struct {
		Build string
		Files []struct {
			File, SHA256            string
			Brotli, Gzip, Immutable bool
		}
	}
	if err := json.Unmarshal(list, &manifest); err != nil {
		return nil, fmt.Errorf("read the list of the client's files: %w", err)
	}
	b := &Bundle{Build: manifest.Build, Files: map[string]File{}}
	for _, m := range manifest.Files {
		f := File{Path: m.File, Type: contentType(m.File), ETag: `"` + m.SHA256 + `"`, Immutable: m.Immutable}
		for _, form := range []struct {
			suffix string
			wanted bool
			to     *[]byte
		}{{"", true, &f.Raw}, {".br", m.Brotli, &f.Brotli}, {".gz", m.Gzip, &f.Gzip}} {
			if !form.wanted {
				continue
			}
			if *form.to, err = fs.ReadFile(files, "dist/"+m.File+form.suffix); err != nil {
				return nil, fmt.Errorf("the client is incomplete, run go generate ./web: %w", err)
			}
		}
		b.Files[m.File] = f
	}
	return b, nil
}

// types are the media types of everything the client holds. The machine's own
// table is not asked: it differs, and often lacks the manifest's.
var types = map[string]string{
	".css":         "text/css; charset=utf-8",
	".html":        "text/html; charset=utf-8",
	".ico":         "image/x-icon",
	".js":          "text/javascript; charset=utf-8",
	".json":        "application/json",
	".png":         "image/png",
	".svg":         "image/svg+xml",
	".txt":         "text/plain; charset=utf-8",
	".wasm":        "application/wasm",
	".webmanifest": "application/manifest+json",
	".woff2":       "font/woff2",
}

func contentType(name string) string {
	if t, ok := types[path.Ext(name)]; ok {
		return t
	}
	return "application/octet-stream"
}
