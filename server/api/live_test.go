package api_test

import (
	"bufio"
	"context"
	"net/http"
	"runtime"
	"strings"
	"testing"
	"time"

	"sideport/server/edits"
	"sideport/server/store/storetest"
)

// listen opens a live stream and hands out its lines.
func listen(t *testing.T, s *server) (lines <-chan string, closed <-chan struct{}) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, s.url+"/api/v1/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	res, err := (&http.Transport{}).RoundTrip(r)
	if err != nil {
		t.Fatal(err)
	}
	if res.StatusCode != 200 || res.Header.Get("Content-Type") != "text/event-stream" {
		t.Fatalf("live: %d %v", res.StatusCode, res.Header)
	}
	out, done := make(chan string, 1000), make(chan struct{})
	go func() {
		defer close(done)
		defer res.Body.Close()
		for sc := bufio.NewScanner(res.Body); sc.Scan(); {
			out <- sc.Text()
		}
	}()
	return out, done
}

func waitFor(t *testing.T, lines <-chan string, part string) {
	t.Helper()
	limit := time.After(5 * time.Second)
	for {
		select {
		case l := <-lines:
			if strings.Contains(l, part) {
				return
			}
		case <-limit:
			t.Fatalf("no line with %q came", part)
		}
	}
}

func TestLiveSaysWhereTheLogStands(t *testing.T) {
	s := start(t)
	lines, _ := listen(t, s)
	waitFor(t, lines, `"seq": 0}`)
	s.push(edit(1, edits.Card, "anna-chop", 0, storetest.Card()), edit(2, edits.Person, "anna", 0, storetest.Person()))
	waitFor(t, lines, `"seq": 2}`)
	waitFor(t, lines, ": still here")
}

func TestLiveStreamsAreBounded(t *testing.T) {
	s := start(t)
	for range 64 {
		listen(t, s)
	}
	if got := s.get("/api/v1/live"); got.status != 429 || got.code() != "busy" || got.header.Get("Retry-After") == "" {
		t.Errorf("stream 65: %d %s", got.status, got.body)
	}
}

func TestClosingEndsLiveStreamsAtOnce(t *testing.T) {
	s := start(t)
	lines, closed := listen(t, s)
	waitFor(t, lines, `"seq": 0}`)
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	began := time.Now()
	if err := s.api.Close(ctx); err != nil {
		t.Error(err)
	}
	select {
	case <-closed:
	case <-time.After(2 * time.Second):
		t.Error("the stream is still open")
	}
	if took := time.Since(began); took > 3*time.Second {
		t.Errorf("closing took %v", took)
	}
	if stacks := make([]byte, 1<<20); strings.Contains(string(stacks[:runtime.Stack(stacks, true)]), "api.(*API).stream") {
		t.Errorf("a stream goes on after closing:\n%s", stacks)
	}
}
