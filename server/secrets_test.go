package main

import (
	"bytes"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestOpenSecretsAreWarnedOf(t *testing.T) {
	dir := t.TempDir()
	file := func(name string, mode os.FileMode) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte("secret"), mode); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, mode); err != nil { // whatever the account takes off by itself
			t.Fatal(err)
		}
		return path
	}
	open := file("open", 0o644)
	var log bytes.Buffer
	warnOfOpenSecrets(slog.New(slog.NewJSONHandler(&log, nil)), "", filepath.Join(dir, "missing"), file("own", 0o600), file("group", 0o640), open)
	if said := strings.TrimSpace(log.String()); strings.Count(said, "\n") != 0 || !strings.Contains(said, open) {
		t.Errorf("of one file that all can read, the log says %s", said)
	}
}
