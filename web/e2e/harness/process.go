package harness

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os/exec"
	"regexp"
	"slices"
	"sync"
	"testing"
	"time"
)

// Start says what to start.
type Start struct {
	Program    func() (string, error)
	Addr, Data string
	Args       []string // beside the address and the data, such as -demo
	Complains  bool     // it will log errors, and is meant to
}

// Process is a running server.
type Process struct {
	cmd  *exec.Cmd
	done chan struct{}

	mu   sync.Mutex
	told []string // the lines it printed for whoever started it
}

// Run starts a server and waits until it answers. What it logs as an error fails the test, unless it is expected to complain.
func Run(t testing.TB, s Start) *Process {
	t.Helper()
	path, err := s.Program()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(path, append([]string{"-addr", s.Addr, "-data", s.Data}, s.Args...)...)
	stderr, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	p := &Process{cmd: cmd, done: make(chan struct{})}
	printed := make(chan struct{})
	go func() {
		defer close(printed)
		p.hear(stdout)
	}()
	go func() {
		defer close(p.done)
		logs := bufio.NewScanner(stderr)
		for logs.Scan() {
			if !s.Complains && wrong.MatchString(logs.Text()) {
				t.Errorf("server: %s", logs.Text())
			}
		}
		<-printed // everything must have been read before the process is waited for
		cmd.Wait()
	}()
	Eventually(t, "the server answers", func() error {
		_, err := Get("http://" + s.Addr + "/api/v1/health")
		return err
	})
	return p
}

// hear gathers what the server prints.
func (p *Process) hear(out io.Reader) {
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		p.mu.Lock()
		p.told = append(p.told, lines.Text())
		p.mu.Unlock()
	}
}

// Said waits for a line that the pattern fits, and returns what the pattern's first group holds of the newest.
func (p *Process) Said(t testing.TB, pattern string) string {
	t.Helper()
	line, found := regexp.MustCompile(pattern), ""
	Eventually(t, "the server prints "+pattern, func() error {
		p.mu.Lock()
		defer p.mu.Unlock()
		for _, told := range slices.Backward(p.told) {
			if match := line.FindStringSubmatch(told); match != nil {
				found = match[1]
				return nil
			}
		}
		return fmt.Errorf("it printed %q", p.told)
	})
	return found
}

// PIN is the PIN of an invented person, as the demonstration prints it.
func (p *Process) PIN(t testing.TB, person string) string {
	t.Helper()
	return p.Said(t, `^PIN (\d{6})  `+regexp.QuoteMeta(person)+`$`)
}

var wrong = regexp.MustCompile(`level=ERROR|"level":"ERROR"|panic`)

// Kill ends the process at once, as a power cut would. Killing none, or one twice, does nothing.
func (p *Process) Kill() {
	if p == nil {
		return
	}
	p.cmd.Process.Kill()
	<-p.done
}

// FreeAddress is an address on this machine that nothing listens at.
func FreeAddress(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// Get reads an address; any answer but 200 is an error.
func Get(url string) ([]byte, error) {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, url, nil)
	if err != nil {
		return nil, err
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err == nil && resp.StatusCode != http.StatusOK {
		err = fmt.Errorf("%s answered %d: %s", url, resp.StatusCode, body)
	}
	return body, err
}

// Document is what the journeys compare of a document on the server.
type Document struct {
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

// Pick is one document of a snapshot.
func Pick(snapshot []byte, kind, id string) (Document, error) {
	var all struct{ Docs []Document }
	if err := json.Unmarshal(snapshot, &all); err != nil {
		return Document{}, err
	}
	for _, d := range all.Docs {
		if d.Kind == kind && d.ID == id {
			return d, nil
		}
	}
	return Document{}, fmt.Errorf("the server has no %s %q", kind, id)
}

// Patience is how long anything may take on a slow machine before a journey fails.
const Patience = 45 * time.Second

// Eventually tries until it goes well or patience ends.
func Eventually(t testing.TB, what string, try func() error) {
	t.Helper()
	deadline := time.Now().Add(Patience)
	var err error
	for time.Now().Before(deadline) {
		if err = try(); err == nil {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("waited %s for: %s: %v", Patience, what, err)
}
