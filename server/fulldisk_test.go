//go:build unix

package main

import (
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"sideport/server/edits"
	"sideport/server/store"
)

// fileLimit bounds the size of every file the child writes, so that its disk seems full.
const fileLimit = "SIDEPORT_TEST_FILE_LIMIT"

func init() {
	if bytes, err := strconv.ParseUint(os.Getenv(fileLimit), 10, 64); err == nil {
		limit := syscall.Rlimit{Cur: bytes, Max: bytes}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			panic(err)
		}
	}
}

// TestFullDiskStopsTheProgramAndLosesNothing checks the rule of a failed
// commit from outside: the edit is answered "unavailable", the process ends
// with an error within a second or so, and afterwards every acknowledged edit
// is there and the unanswered one can be sent again.
func TestFullDiskStopsTheProgramAndLosesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	c := launch(t, "-data", dir)
	b := c.setUp(t)
	c.stop(t)
	info, err := os.Stat(filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv(fileLimit, strconv.FormatInt(info.Size(), 10))
	c = launch(t, "-data", dir)
	kept, failed := pushUntilRefused(t, c, b.at(c.url))
	if c.cmd.Wait(); c.cmd.ProcessState.ExitCode() != 1 {
		t.Errorf("the program ended with %v", c.cmd.ProcessState)
	}
	if log := c.log.String(); !strings.Contains(log, "commit failed: stopping") || !strings.Contains(log, "sideport: the disk did not confirm an edit") {
		t.Errorf("the operator was told: %s", log)
	}
	if err := os.Unsetenv(fileLimit); err != nil {
		t.Fatal(err)
	}
	c = launch(t, "-data", dir)
	if status, r := b.at(c.url).push(failed); status != http.StatusOK || r[0].Rev != kept+1 {
		t.Errorf("sent again: %d %+v, after %d kept", status, r, kept)
	}
	c.stop(t)
	if report := verified(t, dir); int(report.Info.Seq) != begun+kept+1 {
		t.Errorf("the log holds %d records, %d edits were acknowledged", report.Info.Seq, kept+1)
	}
}

// pushUntilRefused returns how many edits were acknowledged and the one that was not.
func pushUntilRefused(t *testing.T, c *child, b *browser) (kept int, failed edits.Edit) {
	t.Helper()
	for limit := time.Now().Add(10 * time.Second); time.Now().Before(limit); kept++ {
		e := b.personEdit(kept+1, "anna", kept)
		switch status, _ := b.push(e); status {
		case http.StatusOK:
		case http.StatusServiceUnavailable:
			return kept, e
		default:
			t.Fatalf("edit %d was answered with %d: %s", kept+1, status, c.log)
		}
	}
	t.Fatalf("%d edits fitted on a full disk", kept)
	return 0, edits.Edit{}
}
