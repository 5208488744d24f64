package e2e

import (
	"os"
	"path/filepath"
	"testing"

	"sideport/web/e2e/harness"
)

// program is the server that start starts.
var program = harness.Program

func TestMain(m *testing.M) {
	code := m.Run()
	harness.Clean()
	os.Exit(code)
}

// server is a real server process on a fixed port, so that a browser finds it again after a kill.
type server struct {
	t       testing.TB
	addr    string
	data    string
	process *harness.Process
}

// startServer starts the demonstration on a free port with a data directory of its own.
func startServer(t testing.TB) *server {
	t.Helper()
	s := &server{t: t, addr: harness.FreeAddress(t), data: filepath.Join(t.TempDir(), "data")}
	s.start()
	t.Cleanup(s.kill)
	return s
}

func (s *server) url(path string) string { return "http://" + s.addr + path }

func (s *server) start() {
	s.t.Helper()
	s.process = harness.Run(s.t, program, s.addr, s.data, false)
}

// kill ends the process at once, as a power cut would.
func (s *server) kill() { s.process.Kill() }

func (s *server) get(path string) ([]byte, error) { return harness.Get(s.url(path)) }

type document = harness.Document

// document reads one document as the server has it now.
func (s *server) document(kind, id string) document {
	s.t.Helper()
	snapshot, err := s.get("/api/v1/snapshot")
	if err != nil {
		s.t.Fatal(err)
	}
	d, err := harness.Pick(snapshot, kind, id)
	if err != nil {
		s.t.Fatal(err)
	}
	return d
}

const patience = harness.Patience

func eventually(t testing.TB, what string, try func() error) {
	t.Helper()
	harness.Eventually(t, what, try)
}
