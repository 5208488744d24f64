package e2e

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// program is the built server, built once for all journeys.
var program = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "sideport-e2e-")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "sideport")
	out, err := exec.Command("go", "build", "-o", path, "sideport/server").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("build the server: %w\n%s", err, out)
	}
	return path, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if path, err := program(); err == nil {
		os.RemoveAll(filepath.Dir(path))
	}
	os.Exit(code)
}

// server is a real server process on a fixed port, so that a browser finds it again after a kill.
type server struct {
	t    testing.TB
	addr string
	data string
	args []string // beside the address and the data
	cmd  *exec.Cmd
	done chan struct{}

	mu   sync.Mutex
	told []string // the lines it printed for whoever started it

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
	s := &server{t: t, addr: freeAddress(t), data: filepath.Join(t.TempDir(), "data"), args: args}
	s.start()
	t.Cleanup(s.kill)
	return s
}

func freeAddress(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

func (s *server) url(path string) string { return "http://" + s.addr + path }

func (s *server) start() {
	s.t.Helper()
	path, err := program()
	if err != nil {
		s.t.Fatal(err)
	}
	s.cmd = exec.Command(path, append([]string{"-addr", s.addr, "-data", s.data}, s.args...)...)
	stderr, err := s.cmd.StderrPipe()
	if err != nil {
		s.t.Fatal(err)
	}
	stdout, err := s.cmd.StdoutPipe()
	if err != nil {
		s.t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	s.done = make(chan struct{})
	printed := make(chan struct{})
	go func() {
		defer close(printed)
		s.hear(stdout)
	}()
	go func(cmd *exec.Cmd, done chan struct{}) {
		defer close(done)
		logs := bufio.NewScanner(stderr)
		for logs.Scan() {
			if regexp.MustCompile(`level=ERROR|"level":"ERROR"|panic`).MatchString(logs.Text()) {
				s.t.Errorf("server: %s", logs.Text())
			}
		}
		<-printed // everything must have been read before the process is waited for
		cmd.Wait()
	}(s.cmd, s.done)
	eventually(s.t, "the server answers", func() error {
		_, err := s.get("/api/v1/health")
		return err
	})
}

// hear gathers what the server prints.
func (s *server) hear(out io.Reader) {
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		s.mu.Lock()
		s.told = append(s.told, lines.Text())
		s.mu.Unlock()
	}
}

// said finds the newest line that begins like this and returns the word after it.
func (s *server) said(beginning string) string {
	s.t.Helper()
	word := ""
	eventually(s.t, "the server prints "+beginning, func() error {
		s.mu.Lock()
		defer s.mu.Unlock()
		for _, line := range slices.Backward(s.told) {
			if rest, ok := strings.CutPrefix(line, beginning); ok && len(strings.Fields(rest)) > 0 {
				word = strings.Fields(rest)[0]
				return nil
			}
		}
		return fmt.Errorf("it printed %q", s.told)
	})
	return word
}

// kill ends the process at once, as a power cut would.
func (s *server) kill() {
	if s.cmd == nil {
		return
	}
	s.cmd.Process.Kill()
	<-s.done
	s.cmd = nil
}

// get reads as an enrolled device does; what whoever is outside may read needs none.
func (s *server) get(path string) ([]byte, error) {
	client := http.DefaultClient
	if s.calls != nil {
		client = s.calls.client
	}
	body, status, err := s.call(client, http.MethodGet, path, nil)
	if err == nil && isUnknown(status, body) {
		s.calls = nil
		body, status, err = s.call(s.caller().client, http.MethodGet, path, nil)
	}
	if err == nil && status != http.StatusOK {
		err = fmt.Errorf("%s answered %d: %s", path, status, body)
	}
	return body, err
}

// document is what the journeys compare of a document on the server.
type document struct {
	Kind    string          `json:"kind"`
	ID      string          `json:"id"`
	Rev     int             `json:"rev"`
	Body    json.RawMessage `json:"body"`
	History []struct {
		Rev     int      `json:"rev"`
		Reason  string   `json:"reason"`
		Changes []string `json:"changes"`
	} `json:"history"`
}

// document reads one document as the server has it now.
func (s *server) document(kind, id string) document {
	s.t.Helper()
	body, err := s.get("/api/v1/snapshot")
	if err != nil {
		s.t.Fatal(err)
	}
	var snapshot struct{ Docs []document }
	if err := json.Unmarshal(body, &snapshot); err != nil {
		s.t.Fatal(err)
	}
	for _, d := range snapshot.Docs {
		if d.Kind == kind && d.ID == id {
			return d
		}
	}
	s.t.Fatalf("the server has no %s %q", kind, id)
	return document{}
}

// patience is how long anything may take on a slow machine before a journey fails.
const patience = 45 * time.Second

func eventually(t testing.TB, what string, try func() error) {
	t.Helper()
	deadline := time.Now().Add(patience)
	var err error
	for time.Now().Before(deadline) {
		if err = try(); err == nil {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("waited %s for: %s: %v", patience, what, err)
}
