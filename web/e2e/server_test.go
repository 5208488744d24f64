package e2e

import (
	"fmt"
	"net/http"
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
	args    []string // beside the address and the data
	process *harness.Process

	calls   *caller // the tests' own device
	through *server // the process, where this is only a way to it
}

// startServer starts the demonstration on a free port with a data directory of its own.
func startServer(t testing.TB) *server {
	t.Helper()
	return startServerWith(t, "-demo")
}

// startEmptyServer starts a server with nothing in it, as a unit does on its first day.
func startEmptyServer(t testing.TB) *server {
	t.Helper()
	return startServerWith(t)
}

func startServerWith(t testing.TB, args ...string) *server {
	t.Helper()
	s := &server{t: t, addr: harness.FreeAddress(t), data: filepath.Join(t.TempDir(), "data"), args: args}
	s.start()
	t.Cleanup(s.kill)
	return s
}

func (s *server) url(path string) string { return "http://" + s.addr + path }

func (s *server) start() {
	s.t.Helper()
	s.starts(false)
}

func (s *server) starts(complains bool) {
	s.t.Helper()
	s.process = harness.Run(s.t, harness.Start{Program: program, Addr: s.addr, Data: s.data, Args: s.args, Complains: complains})
}

// kill ends the process at once, as a power cut would.
func (s *server) kill() { s.process.Kill() }

// said waits for a line that the server prints and that begins like this, and returns the word after it.
func (s *server) said(beginning string) string {
	s.t.Helper()
	return s.process.Said(s.t, `^`+beginning+`\s*(\S+)`)
}

// get reads as an enrolled device does; what whoever is outside may read needs none.
func (s *server) get(path string) ([]byte, error) {
	client := http.DefaultClient
	if s.calls != nil {
		client = s.calls.client
	}
	body, status, err := harness.Call(client, http.MethodGet, s.url(path), nil)
	if err == nil && isUnknown(status, body) {
		s.calls = nil
		body, status, err = harness.Call(s.caller().client, http.MethodGet, s.url(path), nil)
	}
	if err == nil && status != http.StatusOK {
		err = fmt.Errorf("%s answered %d: %s", path, status, body)
	}
	return body, err
}

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
