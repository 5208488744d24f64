//go:build unix

package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"io/fs"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"sideport/server/edits"
	"sideport/server/store"
)

// aUnit is the data directory of a new unit, and the browser of its lead, who has set it up and no more.
func aUnit(t *testing.T) (string, *browser) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	c := launch(t, "-data", dir)
	b := c.setUp(t)
	c.stop(t)
	return dir, b
}

// refused runs the server on data that nothing can be served of and returns what it says.
func refused(t *testing.T, dir string, args ...string) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	command := exec.CommandContext(ctx, self, append([]string{"serve", "-addr", "127.0.0.1:0", "-data", dir}, args...)...)
	command.Env = append(os.Environ(), asChild+"=1")
	out, err := command.CombinedOutput()
	var ended *exec.ExitError
	if !errors.As(err, &ended) || ended.ExitCode() != 1 {
		t.Errorf("the program ended with %v", err)
	}
	if strings.Count(string(out), "\n") != 1 {
		t.Errorf("want one line, got %q", out)
	}
	return string(out)
}

// wantReadOnly starts the server, wants it to take no edits and to say why in its log, and returns the snapshot.
func (b *browser) wantReadOnly(t *testing.T, dir, why string, args ...string) (s struct {
	Docs    []struct{ Kind, ID string }
	Damaged []struct{ Kind, ID, Text string }
}) {
	t.Helper()
	c := launch(t, append([]string{"-data", dir}, args...)...)
	var h struct{ OK, ReadOnly bool }
	b.at(c.url).get(t, "api/v1/health", &h)
	if !h.OK || !h.ReadOnly {
		t.Errorf("health: %+v", h)
	}
	if status, _ := b.push(b.personEdit(1, "anna", 0)); status != http.StatusServiceUnavailable {
		t.Errorf("an edit was answered with %d", status)
	}
	if answer, err := http.Get(c.url + "healthz"); err != nil || answer.StatusCode != http.StatusServiceUnavailable {
		t.Errorf("ready to take edits: %v %v", answer, err)
	} else {
		answer.Body.Close()
	}
	b.get(t, "api/v1/snapshot", &s)
	if _, err := askForBackup(asked{addr: c.host()}, dir, "copy.db"); err == nil || !strings.Contains(err.Error(), "no backup is made of them") {
		t.Errorf("a backup: %v", err)
	}
	c.stop(t)
	if !strings.Contains(c.log.String(), why) || !strings.Contains(c.log.String(), "serving to read alone") {
		t.Errorf("the log says %s", c.log)
	}
	return s
}

func TestDamagedDocumentDoesNotTakeTheOthersWithIt(t *testing.T) {
	dir, b := aUnit(t)
	changeRecord(t, dir, edits.Rules, edits.HouseRules)
	s := b.wantReadOnly(t, dir, "does not match its hash")
	if len(s.Docs) != 2 || s.Docs[0].Kind != "person" || s.Docs[1].Kind != "unit" {
		t.Errorf("served: %+v", s.Docs)
	}
	if len(s.Damaged) != 1 || s.Damaged[0].Kind != "rules" || s.Damaged[0].Text == "" {
		t.Errorf("named: %+v", s.Damaged)
	}
}

func TestUnitThatCannotBeReadIsNoReasonToServeNothing(t *testing.T) {
	dir, b := aUnit(t)
	changeRecord(t, dir, edits.Unit, edits.TheUnit)
	if s := b.wantReadOnly(t, dir, "does not match its hash"); len(s.Docs) != 2 || s.Docs[1].Kind != "rules" {
		t.Errorf("served: %+v", s.Docs)
	}
}

// changeRecord flips a bit of the newest record of a document.
func changeRecord(t *testing.T, dir string, kind edits.Kind, id string) {
	t.Helper()
	inDatabase(t, dir, func(tx *bbolt.Tx) error {
		key := []byte(string(kind) + "\x00" + id)
		b := tx.Bucket([]byte("documents"))
		value := append([]byte{}, b.Get(key)...)
		value[len(value)-2] ^= 1
		return b.Put(key, value)
	})
}

func inDatabase(t *testing.T, dir string, do func(*bbolt.Tx) error) {
	t.Helper()
	db, err := bbolt.Open(filepath.Join(dir, store.FileName), 0o600, &bbolt.Options{Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(db.Update(do), db.Close()); err != nil {
		t.Fatal(err)
	}
}

// rewrite changes the bytes of the file behind the engine's back.
func rewrite(t *testing.T, dir string, change func([]byte) []byte) {
	t.Helper()
	path := filepath.Join(dir, store.FileName)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, change(b), 0o600); err != nil {
		t.Fatal(err)
	}
}

// inCircle makes the first page of a bucket point at itself, in the layout of
// the engine: page id, kind (1: branch), one element, no further page; then the
// element: where its key begins, the length of the key, the page it points at.
func inCircle(t *testing.T, dir, bucket string) {
	t.Helper()
	var root, size int
	inDatabase(t, dir, func(tx *bbolt.Tx) error {
		root, size = int(tx.Bucket([]byte(bucket)).Root()), tx.DB().Info().PageSize
		return nil
	})
	if root == 0 {
		t.Fatalf("the bucket %s has no page of its own", bucket)
	}
	rewrite(t, dir, func(b []byte) []byte {
		page := b[root*size:][:32]
		clear(page)
		binary.NativeEndian.PutUint64(page, uint64(root))
		binary.NativeEndian.PutUint16(page[8:], 1)
		binary.NativeEndian.PutUint16(page[10:], 1)
		binary.NativeEndian.PutUint32(page[16:], 16)
		binary.NativeEndian.PutUint64(page[24:], uint64(root))
		return b
	})
}

func TestPagesInACircleAreRefusedPlainly(t *testing.T) {
	for _, bucket := range []string{"documents", "log"} {
		t.Run(bucket, func(t *testing.T) {
			dir, _ := aUnit(t)
			inCircle(t, dir, bucket)
			if out := refused(t, dir); !strings.HasPrefix(out, "sideport: the data in "+dir+" are damaged") || !strings.Contains(out, "restore a backup into a new directory") {
				t.Errorf("the program said %s", out)
			}
			verifyRefuses(t, dir)
		})
	}
}

// verifyRefuses wants one plain line of the verify command as well.
func verifyRefuses(t *testing.T, dir string) {
	t.Helper()
	out, err := runProgram("verify", "-data", dir)
	if err == nil || !strings.HasPrefix(out, "sideport: the data in "+dir+" are damaged") || strings.Count(out, "\n") != 1 {
		t.Errorf("verify said %v: %s", err, out)
	}
}

func TestMissingPagesAreRefusedPlainly(t *testing.T) {
	dir, _ := aUnit(t)
	rewrite(t, dir, func(b []byte) []byte { return b[:5*os.Getpagesize()] })
	if out := refused(t, dir); !strings.HasPrefix(out, "sideport: the data in "+dir+" are damaged") {
		t.Errorf("the program said %s", out)
	}
	verifyRefuses(t, dir)
}

// Opening such a file to write ends the process: the engine reads its list of free pages then.
func TestDamagedListOfFreePagesIsServedToReadAlone(t *testing.T) {
	dir, b := aUnit(t)
	size := os.Getpagesize()
	rewrite(t, dir, func(b []byte) []byte {
		const freelist, txid = 16 + 32, 16 + 48
		newest := b
		if binary.NativeEndian.Uint64(b[size+txid:]) > binary.NativeEndian.Uint64(b[txid:]) {
			newest = b[size:]
		}
		page := int(binary.NativeEndian.Uint64(newest[freelist:]))
		binary.NativeEndian.PutUint16(b[page*size+8:], 0) // no kind of page
		return b
	})
	if s := b.wantReadOnly(t, dir, "invalid freelist page"); len(s.Docs) != 3 || len(s.Damaged) != 0 {
		t.Errorf("served: %+v", s)
	}
}

// hanging lets the check hang and returns the file that will hold its process id.
func hanging(t *testing.T, how string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "pid")
	t.Setenv(hangs, how)
	t.Setenv(hangsIn, file)
	return file
}

func TestCheckThatDoesNotEnd(t *testing.T) {
	dir, b := aUnit(t)
	t.Run("after reading", func(t *testing.T) {
		pid := hanging(t, "after reading")
		if s := b.wantReadOnly(t, dir, "did not end within 4s", "-check-limit", "4s"); len(s.Docs) != 3 {
			t.Errorf("served: %+v", s)
		}
		wantGone(t, pid)
	})
	t.Run("at once", func(t *testing.T) {
		pid := hanging(t, "at once")
		if out := refused(t, dir, "-check-limit", "1s"); !strings.Contains(out, "did not end within 1s: look at the disk, or give it longer with serve -check-limit") {
			t.Errorf("the program said %s", out)
		}
		wantGone(t, pid)
	})
	verified(t, dir)
}

// wantGone waits until the process in the file has ended.
func wantGone(t *testing.T, file string) {
	t.Helper()
	b, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return // it was stopped before it could say that it is there
	}
	pid, wrong := strconv.Atoi(string(b))
	if err := errors.Join(err, wrong); err != nil {
		t.Fatal(err)
	}
	for range 500 {
		if errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("process %d goes on", pid)
	_ = syscall.Kill(pid, syscall.SIGKILL) // the test has failed already
}

func TestStoppingWhileTheDataAreChecked(t *testing.T) {
	pid := hanging(t, "at once")
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(self, "-demo", "-addr", "127.0.0.1:0")
	command.Env = append(os.Environ(), asChild+"=1")
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	for range 1000 {
		if b, err := os.ReadFile(pid); err == nil && len(b) > 0 {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	if err := command.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if err := command.Wait(); err != nil {
		t.Errorf("the program ended with %v", err)
	}
	wantGone(t, pid)
	if left, err := os.ReadDir(temp); err != nil || len(left) != 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

// TestAnyDamageIsServedOrRefusedPlainly spoils pages of the file in many ways:
// the program serves what it can, or says in one line why not; it never shows
// its inside and never serves a document that differs.
func TestAnyDamageIsServedOrRefusedPlainly(t *testing.T) {
	dir, lead := aUnit(t)
	whole, err := os.ReadFile(filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	want := documentsOf(t, dir)
	size, pages := os.Getpagesize(), len(whole)/os.Getpagesize()
	outcomes := map[string]int{}
	r := rand.New(rand.NewPCG(1, 0x57a7))
	for n := range 30 {
		b, page := bytes.Clone(whole), r.IntN(pages)
		at := b[page*size:][:size]
		switch n % 5 {
		case 0:
			clear(at)
		case 1:
			copy(at, b[r.IntN(pages)*size:][:size])
		case 2:
			b = b[:page*size]
		case 3: // the part that says what the page holds
			at[r.IntN(64)] ^= 1 << r.IntN(8)
		default:
			at[r.IntN(size)] ^= 1 << r.IntN(8)
		}
		if err := os.WriteFile(filepath.Join(dir, store.FileName), b, 0o600); err != nil {
			t.Fatal(err)
		}
		outcomes[servedOrRefused(t, dir, lead, want)]++
	}
	if outcomes["read alone"] == 0 || outcomes["refused"] == 0 {
		t.Errorf("too little happened: %v", outcomes)
	}
	t.Logf("%v", outcomes)
}

// documentsOf is what a whole data directory holds.
func documentsOf(t *testing.T, dir string) map[string]string {
	t.Helper()
	s, err := store.OpenReadOnly(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	_, docs, err := s.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{}
	for _, d := range docs {
		want[string(d.Kind)+" "+d.ID] = string(d.Body)
	}
	return want
}

func servedOrRefused(t *testing.T, dir string, b *browser, want map[string]string) string {
	t.Helper()
	c, line := begin(t, "-data", dir)
	url, serves := strings.CutPrefix(strings.TrimSpace(line), "Sideport: ")
	if !serves {
		_ = c.cmd.Wait()
		said := strings.TrimSuffix(c.log.String(), "\n")
		if c.cmd.ProcessState.ExitCode() != 1 || !strings.HasPrefix(said, "sideport: ") || strings.Contains(said, "\n") {
			t.Errorf("the program ended with %v and said %s", c.cmd.ProcessState, said)
		}
		return "refused"
	}
	var h struct{ ReadOnly bool }
	b.at(url).get(t, "api/v1/health", &h)
	var s snapshot
	if status, body := b.ask(http.MethodGet, "api/v1/snapshot", nil); h.ReadOnly && (status == http.StatusInternalServerError || status == http.StatusUnauthorized) {
		c.stop(t)
		return "closed" // what is known of this device is itself damaged: nobody can say whether it may read
	} else if status != http.StatusOK || json.Unmarshal(body, &s) != nil {
		t.Errorf("the snapshot: %d %s", status, body)
	}
	for _, d := range s.Docs {
		if want[d.Kind+" "+d.ID] != string(d.Body) {
			t.Errorf("%s %s is served as %s", d.Kind, d.ID, d.Body)
		}
	}
	c.stop(t)
	if h.ReadOnly {
		return "read alone"
	}
	return "sound"
}
