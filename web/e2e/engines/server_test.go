package engines

import (
	"encoding/json"
	"fmt"
	"net/http"
	"path/filepath"
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

func (s *server) document(kind, id string) harness.Document {
	s.t.Helper()
	if s.client == nil {
		s.client, _ = harness.Enrol(s.t, s.url(""))
	}
	snapshot, status, err := harness.Call(s.client, http.MethodGet, s.url("/api/v1/snapshot"), nil)
	if err != nil || status != http.StatusOK {
		s.t.Fatalf("read the server: %d %s (%v)", status, snapshot, err)
	}
	d, err := harness.Pick(snapshot, kind, id)
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
