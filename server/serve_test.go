package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

// child is the real program as a process of its own.
type child struct {
	cmd *exec.Cmd
	url string
	out *bufio.Reader // what it prints
	log *bytes.Buffer
}

// launch starts "sideport serve" on a free port and waits for the line with its address.
func launch(t *testing.T, args ...string) *child {
	t.Helper()
	c, line := begin(t, args...)
	url, ok := strings.CutPrefix(strings.TrimSpace(line), "Sideport: ")
	if !ok {
		_ = c.cmd.Process.Kill()
		_ = c.cmd.Wait()
		t.Fatalf("the program said %q: %s", line, c.log)
	}
	c.url = url
	return c
}

// begin starts "sideport serve" on a free port and returns the first line it prints, "" when it ends without one.
func begin(t *testing.T, args ...string) (*child, string) {
	t.Helper()
	return beginInto(t, nil, args...)
}

// beginInto is begin with a file for what it logs.
func beginInto(t *testing.T, log *os.File, args ...string) (*child, string) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := &child{cmd: exec.Command(self, append([]string{"serve", "-addr", "127.0.0.1:0"}, args...)...), log: &bytes.Buffer{}}
	c.cmd.Env = append(os.Environ(), asChild+"=1")
	c.cmd.Stderr = c.log
	if log != nil {
		c.cmd.Stderr = log
	}
	out, err := c.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.cmd.Process.Kill() })
	c.out = bufio.NewReader(out)
	line, err := c.out.ReadString('\n')
	if err != nil && !errors.Is(err, io.EOF) {
		t.Fatal(err)
	}
	return c, line
}

// host is the address without the rest of the URL.
func (c *child) host() string { return strings.TrimSuffix(strings.TrimPrefix(c.url, "http://"), "/") }

// runProgram runs one command of the program to its end and returns all it said.
func runProgram(args ...string) (string, error) {
	self, err := os.Executable()
	if err != nil {
		return "", err
	}
	command := exec.Command(self, args...)
	command.Env = append(os.Environ(), asChild+"=1")
	out, err := command.CombinedOutput()
	return string(out), err
}

// kill ends the process the way a power cut does, as far as the process can tell.
func (c *child) kill(t *testing.T) {
	t.Helper()
	if err := c.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = c.cmd.Wait() // says only that it was killed
}

// stop asks the program to end and wants that to go well.
func (c *child) stop(t *testing.T) {
	t.Helper()
	if err := c.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := c.cmd.Wait(); err != nil {
		t.Errorf("stopping: %v: %s", err, c.log)
	}
}

func verified(t *testing.T, dir string) store.Report {
	t.Helper()
	report, err := store.VerifyFile(filepath.Join(dir, store.FileName), store.Full)
	if err != nil {
		t.Error(err)
	}
	return report
}

// begun is how many records a unit has that was just set up: the rule book, the unit twice and its lead.
const begun = 4

type snapshot struct {
	Seq  int
	Docs []struct {
		Kind, ID string
		Rev      int
		Body     json.RawMessage
		History  []struct{ At time.Time }
	}
}

func TestFirstStartIsAnEmptyUnitWithTheStarterRules(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	c := launch(t, "-data", dir)
	b := c.setUp(t)
	var s snapshot
	b.get(t, "api/v1/snapshot", &s)
	if len(s.Docs) != 3 || s.Docs[0].Kind != "person" || s.Docs[1].Kind != "rules" || s.Docs[2].Kind != "unit" || s.Seq != begun {
		t.Errorf("a new unit holds %d records, %+v", s.Seq, s.Docs)
	}
	c.stop(t)
	c = launch(t, "-data", dir)
	b.at(c.url).get(t, "api/v1/snapshot", &s)
	if s.Seq != begun {
		t.Errorf("a second start wrote again: %d records", s.Seq)
	}
	c.stop(t)
	verified(t, dir)
}

func TestDemoIsCompleteAndSaysSo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	c := launch(t, "-demo", "-data", dir)
	b := c.inDemo(t)
	var s snapshot
	b.get(t, "api/v1/snapshot", &s)
	number := map[string]int{}
	for _, d := range s.Docs {
		number[d.Kind]++
		if !d.History[0].At.Equal(s.Docs[0].History[0].At) {
			t.Errorf("%s %s is of %v and %s of %v: none of what was put in together may look newer", d.Kind, d.ID, d.History[0].At, s.Docs[0].ID, s.Docs[0].History[0].At)
		}
	}
	if number["card"] < 12 || number["case"] < 8 || number["person"] < 4 || number["rules"] != 1 || number["unit"] != 1 {
		t.Errorf("the demonstration holds %v", number)
	}
	var h struct{ Demo bool }
	b.get(t, "api/v1/health", &h)
	if !h.Demo {
		t.Error("health does not say that it is a demonstration")
	}
	if out, err := runProgram("health", "-addr", c.host()); err != nil || out != "" {
		t.Errorf("the health command: %v: %s", err, out)
	}
	c.stop(t)
	verified(t, dir)
}

func TestDemoWithoutADirectoryLeavesNothing(t *testing.T) {
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	c := launch(t, "-demo")
	c.stop(t)
	if left, err := os.ReadDir(temp); err != nil || len(left) != 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

func TestDamagedDataAreServedToReadAlone(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	c := launch(t, "-data", dir)
	b := c.setUp(t)
	c.stop(t)
	spoilRules(t, filepath.Join(dir, store.FileName))
	c = launch(t, "-data", dir)
	var h struct{ ReadOnly bool }
	b.at(c.url).get(t, "api/v1/health", &h)
	if !h.ReadOnly {
		t.Errorf("damaged data are served as if whole: %s", c.log)
	}
	if out, err := runProgram("health", "-addr", c.host()); err == nil || !strings.Contains(out, "takes no edits") {
		t.Errorf("the health command: %v: %s", err, out)
	}
	if status, _ := b.push(b.personEdit(1, "anna", 0)); status != http.StatusServiceUnavailable {
		t.Errorf("an edit was answered with %d", status)
	}
	c.stop(t)
}

// spoilRules changes one letter of the starter rule book in the file, wherever it stands.
func spoilRules(t *testing.T, path string) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(b, []byte(`"kind":"rules"`)) {
		t.Fatal("the rule book is not in the file")
	}
	b = bytes.ReplaceAll(b, []byte(`"kind":"rules"`), []byte(`"kind":"rXles"`)) // pages that are free again hold copies
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestBackupWhileTheServerRuns(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	c := launch(t, "-data", dir)
	to := filepath.Join(t.TempDir(), "copy.db")
	if out, err := runProgram("backup", "-data", dir, "-to", to, "-addr", c.host()); err != nil || out != "" {
		t.Errorf("backup: %v: %s", err, out)
	}
	if report, err := store.VerifyFile(to, store.Full); err != nil || report.Info.Seq != 2 { // nobody has set it up
		t.Errorf("the copy: %+v, %v", report, err)
	}
	if left, err := os.ReadDir(filepath.Join(dir, backupDir)); err != nil || len(left) != 0 {
		t.Errorf("left in the server's own backups: %v, %v", left, err)
	}
	if out, err := runProgram("backup", "-data", dir, "-to", to+"2", "-addr", "127.0.0.1:1"); err == nil || !strings.Contains(out, "give its address with -addr") {
		t.Errorf("with the wrong address: %v: %s", err, out)
	}
	c.stop(t)
}

func TestTakenAddressIsSaidPlainly(t *testing.T) {
	c := launch(t, "-data", filepath.Join(t.TempDir(), "data"))
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv(asChild, "1")
	p := &Program{Config: Config{Reach: Reach{Addr: c.host()}, Data: filepath.Join(t.TempDir(), "data"), Self: self, CheckLimit: time.Minute,
		Now: time.Now, Random: store.Random, Log: newLog(io.Discard), Out: io.Discard}}
	if err := errors.Join(p.Open(t.Context()), p.Close()); err == nil || !strings.Contains(err.Error(), "is taken: stop the other program") {
		t.Errorf("got %v", err)
	}
	c.stop(t)
}

func personEdit(n int, id string, parent int) edits.Edit {
	body, err := edits.Encode(cards.Person{ID: cards.PersonID(id), Name: fmt.Sprintf("Edit %d", n), Roles: []cards.PersonRole{cards.PersonScrub}, Invented: true})
	if err != nil {
		panic(err)
	}
	return edits.Edit{ID: storetest.ID(n), Kind: edits.Person, Doc: id, Parent: parent, Author: "anna", Device: storetest.DeviceID(id),
		Made: "2027-03-31T07:42:00Z", Body: body}
}

// personEdit is one that who is signed in makes on this device.
func (b *browser) personEdit(n int, id string, parent int) edits.Edit {
	e := personEdit(n, id, parent)
	e.Author, e.Device = b.person, b.device
	return e
}

// pusher is a device that edits one document again and again and, like a
// device, sends an edit again with the same id until it has a receipt.
type pusher struct {
	id       string
	first    int
	next     int
	parent   int
	receipts map[edits.EditID]edits.Receipt
	again    int
}

// run pushes until the server is gone.
func (p *pusher) run(b *browser) {
	for {
		e := b.personEdit(p.first+p.next, p.id, p.parent)
		status, receipts := b.push(e)
		if status == http.StatusTooManyRequests {
			time.Sleep(10 * time.Millisecond)
			continue
		}
		if status != http.StatusOK || len(receipts) != 1 {
			return
		}
		r := receipts[0]
		if r.Outcome == edits.AlreadyApplied {
			p.again++
		}
		p.receipts[e.ID], p.parent, p.next = r, r.Rev, p.next+1
	}
}

// TestKilledServerKeepsEveryAcknowledgedEditOnce kills the program under load.
// It shows that nothing between the database and the answer loses or doubles
// an edit. It says nothing about a disk that lies: the system's cache outlives
// the process.
func TestKilledServerKeepsEveryAcknowledgedEditOnce(t *testing.T) {
	const kills, clients = 12, 4
	dir := filepath.Join(t.TempDir(), "data")
	pushers := make([]*pusher, clients)
	for i := range pushers {
		pushers[i] = &pusher{id: fmt.Sprintf("client-%d", i), first: (i + 1) * 1_000_000, receipts: map[edits.EditID]edits.Receipt{}}
	}
	c := launch(t, "-data", dir)
	b := c.setUp(t)
	c.stop(t)
	for n := range kills {
		c := launch(t, "-data", dir)
		b.at(c.url)
		var wg sync.WaitGroup
		for _, p := range pushers {
			wg.Go(func() { p.run(b) })
		}
		time.Sleep(time.Duration(60+37*n%150) * time.Millisecond)
		c.kill(t)
		wg.Wait()
	}
	c = launch(t, "-data", dir)
	b.at(c.url)
	sent, again := 0, 0
	for _, p := range pushers {
		// The edit that had no answer when the server died is sent once more, so that every edit has its receipt.
		e := b.personEdit(p.first+p.next, p.id, p.parent)
		status, receipts := b.push(e)
		if status != http.StatusOK {
			t.Fatalf("%s: the last edit was answered with %d", p.id, status)
		}
		p.receipts[e.ID] = receipts[0]
		sent, again = sent+len(p.receipts), again+p.again
		for id, r := range p.receipts {
			var kept struct{ Receipt edits.Receipt }
			b.getSlowly(t, "api/v1/edits/"+string(id), &kept)
			if kept.Receipt.Rev != r.Rev || kept.Receipt.Seq != r.Seq || kept.Receipt.Outcome != edits.Applied {
				t.Errorf("edit %s was answered %+v and is kept as %+v", id, r, kept.Receipt)
			}
		}
		if want := len(p.receipts); p.receipts[e.ID].Rev != want {
			t.Errorf("%s sent %d edits and is at revision %d", p.id, want, p.receipts[e.ID].Rev)
		}
	}
	c.stop(t)
	if report := verified(t, dir); int(report.Info.Seq) != sent+begun {
		t.Errorf("the log holds %d records, and %d edits were sent", report.Info.Seq, sent)
	}
	if sent < kills*clients {
		t.Errorf("only %d edits in %d rounds: the test tested nothing", sent, kills)
	}
	t.Logf("%d kills, %d edits kept exactly once, %d of them answered only the second time", kills, sent, again)
}
