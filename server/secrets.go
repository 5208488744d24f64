package main

import (
	"log/slog"
	"os"
)

// warnOfOpenSecrets names the files that everybody on this machine can read; an empty name is none. What cannot be looked
// at is said by whoever reads it.
func warnOfOpenSecrets(log *slog.Logger, files ...string) {
	for _, name := range files {
		if info, err := os.Stat(name); err == nil && info.Mode().Perm()&0o004 != 0 {
			log.Warn("everybody on this machine can read a secret", slog.String("file", name))
		}
	}
}
