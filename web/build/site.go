package main

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// part says how the service worker treats a file.
type part int

const (
	shell    part = iota // fetched at install: what every screen needs
	lazy                 // fetched afterwards
	uncached             // not kept: the service worker itself, and icons
)

// file is one file of the client.
type file struct {
	Path    string
	Content []byte
	Part    part
	Entry   string // the source that is imported when needed and that this is the bundle of
	brotli  []byte // nil when it would not be smaller
	gzip    []byte
}

// precached is a file as the service worker sees it.
type precached struct {
	Path      string `json:"path"`
	Integrity string `json:"integrity"`
}

// site is the client in the making.
type site struct {
	files []*file
	build string // hash over everything
}

func (s *site) add(path string, content []byte, p part) *file {
	f := &file{Path: path, Content: content, Part: p}
	s.files = append(s.files, f)
	return f
}

// hashed names a file after its content, so that it can be cached for ever.
func hashed(name, extension string, content []byte) string {
	sum := sha256.Sum256(content)
	return "/assets/" + name + "-" + hex.EncodeToString(sum[:5]) + extension
}

// addStatic adds the files that are shipped as they are: icons and the manifest.
func (s *site) addStatic(folder string) error {
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		relative, err := filepath.Rel(folder, path)
		if err != nil {
			return err
		}
		p := shell
		if filepath.Ext(path) == ".png" { // the system fetches one when the program goes to the home screen
			p = uncached
		}
		s.add("/"+filepath.ToSlash(relative), content, p)
		return nil
	})
	if err != nil {
		return fmt.Errorf("read the static files: %w", err)
	}
	return nil
}

// addLicences adds the licences of all vendored code as one text.
func (s *site) addLicences(folder string) error {
	list, err := readVendor(folder)
	if err != nil {
		return err
	}
	var b strings.Builder
	for _, v := range list {
		licence, err := os.ReadFile(filepath.Join(folder, v.Folder, "LICENSE"))
		if err != nil {
			return fmt.Errorf("every vendored library needs its licence: %w", err)
		}
		fmt.Fprintf(&b, "%s %s (%s)\n\n%s\n\n", v.Name, v.Version, v.Licence, strings.TrimSpace(string(licence)))
	}
	s.add("/licences.txt", []byte(b.String()), lazy)
	return nil
}

// addIndex fills in the one page. The build's name stands in it, so it is
// reckoned over everything but the page's own bytes, for which its template stands.
func (s *site) addIndex(path string, page []output) error {
	template, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("read the page: %w", err)
	}
	slices.SortFunc(s.files, func(a, b *file) int { return strings.Compare(a.Path, b.Path) })
	s.build = s.hash(template)
	text := strings.NewReplacer(
		"{{build}}", s.build,
		"{{script}}", html.EscapeString(find(page, "main-", ".js")),
		"{{preload}}\n", preloads(page),
		"{{style}}", html.EscapeString(find(page, "main-", ".css")),
		"{{font}}", html.EscapeString(find(page, "", ".woff2")),
	).Replace(string(template))
	if strings.Contains(text, "{{") {
		return fmt.Errorf("%s has a placeholder that web/build does not know", path)
	}
	if strings.Contains(text, `=""`) {
		return fmt.Errorf("the page lacks a script, a style or the font, or one of them became two: see the imports of app/main.tsx and app/views/desk.ts")
	}
	s.add("/", []byte(text), shell)
	return nil
}

// atOnce lists the scripts without which the page does not begin: its own first, then what that imports, and so on.
func atOnce(page []output) []string {
	list := []string{find(page, "main-", ".js")}
	for i := 0; i < len(list); i++ {
		for _, f := range page {
			if f.path != list[i] {
				continue
			}
			for _, path := range f.imports {
				if !slices.Contains(list, path) {
					list = append(list, path)
				}
			}
		}
	}
	return list
}

// preloads asks for the scripts that the page's own imports, so that they do not wait for it to be read.
func preloads(page []output) string {
	var b strings.Builder
	for _, path := range atOnce(page)[1:] {
		fmt.Fprintf(&b, "<link rel=\"modulepreload\" href=\"%s\">\n", html.EscapeString(path))
	}
	return b.String()
}

// find is the address of the one file with such a name; "" where there is none, or more than one.
func find(page []output, prefix, extension string) string {
	found := ""
	for _, f := range page {
		if !strings.HasPrefix(f.path, "/assets/"+prefix) || !strings.HasSuffix(f.path, extension) {
			continue
		}
		if found != "" {
			return ""
		}
		found = f.path
	}
	return found
}

// hash names the build: 32 hex digits over the names and contents of all files and the page's template.
func (s *site) hash(template []byte) string {
	h := sha256.New()
	for _, f := range s.files {
		fmt.Fprintf(h, "%s %d\n", f.Path, len(f.Content))
		h.Write(f.Content)
	}
	h.Write(template)
	return hex.EncodeToString(h.Sum(nil)[:16])
}

func (s *site) addServiceWorker(web string) error {
	lists := map[part][]precached{}
	for _, f := range s.files {
		if f.Part == uncached {
			continue
		}
		sum := sha256.Sum256(f.Content)
		lists[f.Part] = append(lists[f.Part], precached{f.Path, "sha256-" + base64.StdEncoding.EncodeToString(sum[:])})
	}
	script, err := bundleServiceWorker(web, s.build, lists[shell], lists[lazy])
	if err != nil {
		return err
	}
	s.add("/sw.js", script, uncached)
	return nil
}

// listed is a file in dist/bundle.json, which package web reads.
type listed struct {
	File      string `json:"file"` // in dist and, except for the page, in the address; .br and .gz beside it where they exist
	Brotli    bool   `json:"brotli,omitempty"`
	Gzip      bool   `json:"gzip,omitempty"`
	SHA256    string `json:"sha256"`
	Immutable bool   `json:"immutable,omitempty"`
}

// write replaces the contents of dist.
func (s *site) write(dist string) error {
	if err := clear(dist); err != nil {
		return err
	}
	var list []listed
	for _, f := range s.files {
		name := strings.TrimPrefix(f.Path, "/")
		if name == "" {
			name = "index.html"
		}
		sum := sha256.Sum256(f.Content)
		list = append(list, listed{
			File: name, Brotli: f.brotli != nil, Gzip: f.gzip != nil,
			SHA256: hex.EncodeToString(sum[:]), Immutable: strings.HasPrefix(f.Path, "/assets/"),
		})
		for suffix, content := range map[string][]byte{"": f.Content, ".br": f.brotli, ".gz": f.gzip} {
			if content == nil {
				continue
			}
			if err := writeFile(filepath.Join(dist, filepath.FromSlash(name)+suffix), content); err != nil {
				return err
			}
		}
	}
	b, err := json.MarshalIndent(map[string]any{"build": s.build, "files": list}, "", "  ")
	if err != nil {
		return fmt.Errorf("list the client's files: %w", err)
	}
	return writeFile(filepath.Join(dist, "bundle.json"), append(b, '\n'))
}

func writeFile(path string, content []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return fmt.Errorf("write the client: %w", err)
	}
	if err := os.WriteFile(path, content, 0o644); err != nil {
		return fmt.Errorf("write the client: %w", err)
	}
	return nil
}

// clear empties dist, except for the file that keeps the folder in version control.
func clear(dist string) error {
	entries, err := os.ReadDir(dist)
	if err != nil && !os.IsNotExist(err) {
		return fmt.Errorf("empty the folder of the client: %w", err)
	}
	for _, e := range entries {
		if e.Name() == ".gitkeep" {
			continue
		}
		if err := os.RemoveAll(filepath.Join(dist, e.Name())); err != nil {
			return fmt.Errorf("empty the folder of the client: %w", err)
		}
	}
	return nil
}
