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
	"testing"
	"time"
)

// Process is a running server.
type Process struct {
	cmd  *exec.Cmd
	done chan struct{}
}

// Run starts the demonstration at the address with the data directory and waits until it answers. What it logs as an
// error fails the test, unless it is expected to complain.
func Run(t testing.TB, program func() (string, error), addr, data string, complains bool) *Process {
	t.Helper()
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(path, "-demo", "-addr", addr, "-data", data)
	stderr, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	p := &Process{cmd: cmd, done: make(chan struct{})}
	go func() {
		defer close(p.done)
		logs := bufio.NewScanner(stderr)
		for logs.Scan() {
			if !complains && wrong.MatchString(logs.Text()) {
				t.Errorf("server: %s", logs.Text())
			}
		}
		cmd.Wait()
	}()
	Eventually(t, "the server answers", func() error {
		_, err := Get("http://" + addr + "/api/v1/health")
		return err
	})
	return p
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
