package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os/exec"
	"regexp"
	"strings"
	"time"

	"sideport/server/edits"
	"sideport/server/store"
)

// checkGrace is how much longer than its own limit the checking process may live before it is killed.
const checkGrace = time.Second

// checkedApart is what a look at the data from another process found.
type checkedApart struct {
	sound    bool
	readable bool     // everything that would be served can be read without harm to who reads it
	findings []string // what is wrong, as far as it can be said
}

// checkApart verifies the data in a process of its own: the engine trusts the
// pages of its file, so a damaged one can send it round for ever or end the
// process, and no process survives to tell. An error says why nothing can be served.
func (p *Program) checkApart(ctx context.Context) (checkedApart, error) {
	limited, cancel := context.WithTimeout(ctx, p.CheckLimit+checkGrace)
	defer cancel()
	var out, said head
	check := exec.CommandContext(limited, p.Self, "verify", "-quick", "-limit="+p.CheckLimit.String(), "-data="+p.Data)
	check.Stdout, check.Stderr = &out, &said
	check.WaitDelay = checkGrace
	err := check.Run()
	var ended *exec.ExitError
	switch {
	case ctx.Err() != nil:
		return checkedApart{}, ctx.Err()
	case err != nil && limited.Err() == nil && !errors.As(err, &ended):
		return checkedApart{}, fmt.Errorf("cannot check the data in a process of its own: %w", err)
	}
	found := readFindings(out.String(), p.Data)
	found.sound = err == nil && found.readable
	if found.sound || len(found.findings) > 0 {
		return found, nil
	}
	reason := openWords(p.Data, edits.ErrDamaged) // a crash leaves no words
	if limited.Err() != nil {
		reason = lateWords(p.Data, p.CheckLimit)
	} else if line, ours := ownWords(said.String()); ours {
		reason = errors.New(line)
	}
	if !found.readable {
		return found, reason
	}
	found.findings = []string{reason.Error()}
	return found, nil
}

func lateWords(name string, limit time.Duration) error {
	return fmt.Errorf("checking the data in %s did not end within %s: look at the disk, or give it longer with serve -check-limit; if that does not help, restore a backup into a new directory with sideport restore", name, limit)
}

// shownLine is the first thing the quick check says when everything could be read.
const shownLine = "%d of %d documents can be shown\n"

var isShownLine = regexp.MustCompile(`^\d+ of \d+ documents can be shown$`)

func shownWords(r store.Readable) string {
	return fmt.Sprintf(shownLine, r.Shown, r.Shown+r.Damaged)
}

func readFindings(out, dir string) checkedApart {
	var found checkedApart
	for line := range strings.Lines(out) {
		line = strings.TrimSuffix(line, "\n")
		if isShownLine.MatchString(line) {
			found.readable = true
		} else if finding, ok := strings.CutPrefix(line, dir+": "); ok {
			found.findings = append(found.findings, finding)
		}
	}
	return found
}

// ownWords is the one line the program itself ends with; a crash says something else.
func ownWords(said string) (string, bool) {
	line, _, _ := strings.Cut(said, "\n")
	return strings.CutPrefix(line, "sideport: ")
}

// head keeps the beginning of what a process says; a crash can say megabytes.
type head struct{ kept bytes.Buffer }

const headSize = 64 << 10

// Write takes everything and keeps the first headSize bytes.
func (h *head) Write(b []byte) (int, error) {
	h.kept.Write(b[:min(len(b), max(0, headSize-h.kept.Len()))])
	return len(b), nil
}

func (h *head) String() string { return h.kept.String() }
