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
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := &child{cmd: exec.Command(self, append([]string{"serve", "-addr", "127.0.0.1:0"}, args...)...), log: &bytes.Buffer{}}
	c.cmd.Env = append(os.Environ(), asChild+"=1")
	c.cmd.Stderr = c.log
	out, err := c.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.cmd.Process.Kill() })
	line, err := bufio.NewReader(out).ReadString('\n')
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

func getJSON(t *testing.T, url string, v any) {
	t.Helper()
	res, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if err := json.NewDecoder(res.Body).Decode(v); err != nil || res.StatusCode != 200 {
		t.Fatalf("%s: %d, %v", url, res.StatusCode, err)
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

type snapshot struct {
	Seq  int
	Docs []struct {
		Kind, ID string
		Rev      int
		Body     json.RawMessage
	}
}

func TestFirstStartIsAnEmptyUnitWithTheStarterRules(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	c := launch(t, "-data", dir)
	var s snapshot
	getJSON(t, c.url+"api/v1/snapshot", &s)
	if len(s.Docs) != 2 || s.Docs[0].Kind != "rules" || s.Docs[1].Kind != "unit" {
		t.Errorf("a new unit holds %+v", s.Docs)
	}
	c.stop(t)
	c = launch(t, "-data", dir)
	getJSON(t, c.url+"api/v1/snapshot", &s)
	if s.Seq != 2 {
		t.Errorf("a second start wrote again: %d records", s.Seq)
	}
	c.stop(t)
	verified(t, dir)
}

func TestDemoIsCompleteAndSaysSo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	c := launch(t, "-demo", "-data", dir)
	var s snapshot
	getJSON(t, c.url+"api/v1/snapshot", &s)
	number := map[string]int{}
	for _, d := range s.Docs {
		number[d.Kind]++
	}
	if number["card"] < 12 || number["case"] < 8 || number["person"] < 4 || number["rules"] != 1 || number["unit"] != 1 {
		t.Errorf("the demonstration holds %v", number)
	}
	var h struct{ Demo bool }
	getJSON(t, c.url+"api/v1/health", &h)
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
	launch(t, "-data", dir).stop(t)
	spoilRules(t, filepath.Join(dir, store.FileName))
	c := launch(t, "-data", dir)
	var h struct{ ReadOnly bool }
	getJSON(t, c.url+"api/v1/health", &h)
	if !h.ReadOnly {
		t.Errorf("damaged data are served as if whole: %s", c.log)
	}
	if out, err := runProgram("health", "-addr", c.host()); err == nil || !strings.Contains(out, "takes no edits") {
		t.Errorf("the health command: %v: %s", err, out)
	}
	if status, _ := postEdits(c.url, personEdit(1, "anna", 0)); status != http.StatusServiceUnavailable {
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
	at := bytes.Index(b, []byte(`"kind":"rules"`))
	if at < 0 {
		t.Fatal("the rule book is not in the file")
	}
	b[at+len(`"kind":"r`)] = 'X'
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
	if report, err := store.VerifyFile(to, store.Full); err != nil || report.Info.Seq != 2 {
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
	p := &Program{Config: Config{Addr: c.host(), Data: filepath.Join(t.TempDir(), "data"), Self: self, CheckLimit: time.Minute,
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

// postEdits pushes and returns the status and the receipts; status 0 is no answer at all.
func postEdits(url string, list ...edits.Edit) (int, []edits.Receipt) {
	b, err := edits.Encode(map[string]any{"protocol": 1, "device": list[0].Device, "edits": list})
	if err != nil {
		panic(err)
	}
	r, err := http.NewRequest(http.MethodPost, url+"api/v1/edits", bytes.NewReader(b))
	if err != nil {
		panic(err)
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Sideport-Request", "1")
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		return 0, nil
	}
	defer res.Body.Close()
	var answer struct{ Receipts []edits.Receipt }
	if json.NewDecoder(res.Body).Decode(&answer) != nil {
		return 0, nil
	}
	return res.StatusCode, answer.Receipts
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
func (p *pusher) run(url string) {
	for {
		e := personEdit(p.first+p.next, p.id, p.parent)
		status, receipts := postEdits(url, e)
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
	for n := range kills {
		c := launch(t, "-data", dir)
		var wg sync.WaitGroup
		for _, p := range pushers {
			wg.Go(func() { p.run(c.url) })
		}
		time.Sleep(time.Duration(60+37*n%150) * time.Millisecond)
		c.kill(t)
		wg.Wait()
	}
	c := launch(t, "-data", dir)
	sent, again := 0, 0
	for _, p := range pushers {
		// The edit that had no answer when the server died is sent once more, so that every edit has its receipt.
		e := personEdit(p.first+p.next, p.id, p.parent)
		status, receipts := postEdits(c.url, e)
		if status != http.StatusOK {
			t.Fatalf("%s: the last edit was answered with %d", p.id, status)
		}
		p.receipts[e.ID] = receipts[0]
		sent, again = sent+len(p.receipts), again+p.again
		for id, r := range p.receipts {
			var kept struct{ Receipt edits.Receipt }
			getJSON(t, c.url+"api/v1/edits/"+string(id), &kept)
			if kept.Receipt.Rev != r.Rev || kept.Receipt.Seq != r.Seq || kept.Receipt.Outcome != edits.Applied {
				t.Errorf("edit %s was answered %+v and is kept as %+v", id, r, kept.Receipt)
			}
		}
		if want := len(p.receipts); p.receipts[e.ID].Rev != want {
			t.Errorf("%s sent %d edits and is at revision %d", p.id, want, p.receipts[e.ID].Rev)
		}
	}
	c.stop(t)
	const begun = 2 // the unit and the rule book
	if report := verified(t, dir); int(report.Info.Seq) != sent+begun {
		t.Errorf("the log holds %d records, and %d edits were sent", report.Info.Seq, sent)
	}
	if sent < kills*clients {
		t.Errorf("only %d edits in %d rounds: the test tested nothing", sent, kills)
	}
	t.Logf("%d kills, %d edits kept exactly once, %d of them answered only the second time", kills, sent, again)
}
