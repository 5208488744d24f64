package api_test

import (
	"bufio"
	"context"
	"fmt"
	"net/http"
	"runtime"
	"strings"
	"testing"
	"time"

	"sideport/server/edits"
	"sideport/server/store/storetest"
)

// listen opens a live stream and hands out its lines.
func listen(t *testing.T, s *client) (lines <-chan string, closed <-chan struct{}) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, s.s.url+"/api/v1/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Cookie", s.cookieHeader())
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
	lines, _ := listen(t, s.client)
	waitFor(t, lines, fmt.Sprintf(`"seq": %d}`, begun))
	s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()), s.edit(2, edits.Person, "cara", 0, cara()))
	waitFor(t, lines, fmt.Sprintf(`"seq": %d}`, begun+2))
	waitFor(t, lines, ": still here")
}

func TestLiveStreamsAreBounded(t *testing.T) {
	s := start(t)
	for range 8 {
		listen(t, s.client)
	}
	if got := s.get("/api/v1/live"); got.status != 429 || got.code() != "busy" || got.header.Get("Retry-After") == "" {
		t.Errorf("stream 9 of one device: %d %s", got.status, got.body)
	}
	for range 31 {
		other := s.enrol("Another tablet")
		for range 8 {
			listen(t, other)
		}
	}
	if got := s.enrol("One too many").get("/api/v1/live"); got.status != 429 || got.code() != "busy" || got.header.Get("Retry-After") == "" {
		t.Errorf("stream 257: %d %s", got.status, got.body)
	}
}

func TestClosingEndsLiveStreamsAtOnce(t *testing.T) {
	s := start(t)
	lines, closed := listen(t, s.client)
	waitFor(t, lines, fmt.Sprintf(`"seq": %d}`, begun))
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
