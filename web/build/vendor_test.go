package main

import (
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// Third-party code runs with the same rights as ours, so every byte of it is
// the one that was looked at: a changed, missing or unlisted file fails.
func TestVendoredCodeIsWhatItWas(t *testing.T) {
	folder := filepath.Join("..", "vendor")
	list, err := readVendor(folder)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) == 0 {
		t.Fatal("vendor.json lists nothing")
	}
	known := []string{"vendor.json"}
	for _, v := range list {
		if v.Name == "" || v.Version == "" || v.Licence == "" || v.Why == "" || v.Folder == "" {
			t.Errorf("%q: name, version, licence, folder and why must be told", v.Name)
		}
		for _, f := range v.Files {
			known = append(known, f.Path)
			b, err := os.ReadFile(filepath.Join(folder, filepath.FromSlash(f.Path)))
			if err != nil {
				t.Error(err)
				continue
			}
			sum := sha256.Sum256(b)
			if got := hex.EncodeToString(sum[:]); got != f.SHA256 {
				t.Errorf("%s has the hash %s, vendor.json says %s", f.Path, got, f.SHA256)
			}
		}
	}
	for _, path := range filesIn(t, folder) {
		if !slices.Contains(known, path) {
			t.Errorf("%s is not listed in vendor.json", path)
		}
	}
}

func filesIn(t *testing.T, folder string) []string {
	t.Helper()
	var paths []string
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		relative, err := filepath.Rel(folder, path)
		paths = append(paths, filepath.ToSlash(relative))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return paths
}
