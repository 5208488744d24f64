package main

import (
	"os"
	"path/filepath"
	"testing"
)

func TestReplacingAFileTouchesNothingElse(t *testing.T) {
	dir := t.TempDir()
	card, link, other := filepath.Join(dir, "card.md"), filepath.Join(dir, "link.md"), filepath.Join(dir, "link.md.part")
	for path, text := range map[string]string{card: "old", other: "somebody's own"} {
		if err := os.WriteFile(path, []byte(text), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink("card.md", link); err != nil {
		t.Fatal(err)
	}
	if err := replaceFile(link, []byte("new")); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{card: "new", link: "new", other: "somebody's own"} {
		if got, err := os.ReadFile(path); err != nil || string(got) != want {
			t.Errorf("%s holds %q, want %q: %v", path, got, want, err)
		}
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is not a link any more: %v", err)
	}
	if info, err := os.Stat(card); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("the file's mode changed: %v, %v", info.Mode(), err)
	}
	if left, err := filepath.Glob(filepath.Join(dir, ".sideport-*")); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}
