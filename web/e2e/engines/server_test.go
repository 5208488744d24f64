package engines

import (
	"encoding/json"
	"fmt"
	"net/http"
	"path/filepath"
	"slices"
	"testing"

	"sideport/web/e2e/harness"
)

// server is a real server process on a fixed port, so that a browser finds it again after a kill.
type server struct {
	t          *testing.T
	addr, data string
	program    func() (string, error)
	process    *harness.Process
	client     *http.Client // of an enrolled device of the tests' own
}

func startServer(t *testing.T) *server {
	t.Helper()
	s := &server{t: t, addr: harness.FreeAddress(t), data: filepath.Join(t.TempDir(), "data"), program: harness.Program}
	s.start()
	t.Cleanup(s.kill)
	return s
}

func (s *server) start() {
	s.t.Helper()
	s.process = harness.Run(s.t, harness.Start{Program: s.program, Addr: s.addr, Data: s.data, Args: []string{"-demo"}})
}

func (s *server) kill() { s.process.Kill() }

// updates puts the next version of the program in the place of this one, with the data it has.
func (s *server) updates() {
	s.t.Helper()
	s.kill()
	s.program = harness.NextProgram
	s.start()
}

func (s *server) url(path string) string { return "http://" + s.addr + path }

// snapshot is everything the server has, as a device reads it.
func (s *server) snapshot() []byte {
	s.t.Helper()
	if s.client == nil {
		s.client, _ = harness.Enrol(s.t, s.url(""))
	}
	snapshot, status, err := harness.Call(s.client, http.MethodGet, s.url("/api/v1/snapshot"), nil)
	if err != nil || status != http.StatusOK {
		s.t.Fatalf("read the server: %d %s (%v)", status, snapshot, err)
	}
	return snapshot
}

// pauses are the records of what was read aloud of a case, each as its pause and what came of it, in order.
func (s *server) pauses(id string) []string {
	s.t.Helper()
	var all struct{ Docs []harness.Document }
	if err := json.Unmarshal(s.snapshot(), &all); err != nil {
		s.t.Fatal(err)
	}
	var said []string
	for _, d := range all.Docs {
		var r struct{ Case, Pause, Outcome string }
		if d.Kind != "record" {
			continue
		}
		if err := json.Unmarshal(d.Body, &r); err != nil {
			s.t.Fatal(err)
		}
		if r.Case == id {
			said = append(said, r.Pause+" "+r.Outcome)
		}
	}
	slices.Sort(said)
	return said
}

func (s *server) document(kind, id string) harness.Document {
	s.t.Helper()
	d, err := harness.Pick(s.snapshot(), kind, id)
	if err != nil {
		s.t.Fatal(err)
	}
	return d
}

func (s *server) chopVacuum() string {
	s.t.Helper()
	var body struct {
		Phases []struct {
			Key    string
			Limits struct{ Vacuum string }
		}
	}
	if err := json.Unmarshal(s.document("card", chopCard).Body, &body); err != nil {
		s.t.Fatal(err)
	}
	for _, p := range body.Phases {
		if p.Key == "chop" {
			return p.Limits.Vacuum
		}
	}
	s.t.Fatal("the card has no phase called chop")
	return ""
}

// has waits until the card on the server has the vacuum.
func (s *server) has(vacuum string) {
	s.t.Helper()
	harness.Eventually(s.t, "the card on the server has "+vacuum+" mmHg", func() error {
		if got := s.chopVacuum(); got != vacuum {
			return fmt.Errorf("it has %s mmHg", got)
		}
		return nil
	})
}
