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

func TestTheStartWarnsOfAnOpenKey(t *testing.T) {
	dir := t.TempDir()
	cert, key := filepath.Join(dir, "cards.pem"), filepath.Join(dir, "cards.key")
	certify(t, cert, key, "cards.example.org", 1)
	for _, file := range []string{cert, key} {
		if err := os.Chmod(file, 0o644); err != nil { // a certificate is no secret
			t.Fatal(err)
		}
	}
	log, err := os.Create(filepath.Join(dir, "log"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = log.Close() })
	c, _ := beginInto(t, log, "-data", filepath.Join(dir, "data"), "-origin", "https://cards.example.org", "-tls-cert", cert, "-tls-key", key)
	c.stop(t)
	said, err := os.ReadFile(log.Name())
	if want := `a secret","file":"` + key + `"`; err != nil || strings.Count(string(said), "a secret") != 1 || !strings.Contains(string(said), want) {
		t.Errorf("the log should say %s once: %s (%v)", want, said, err)
	}
}
