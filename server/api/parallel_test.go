package api_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store/storetest"
)

// The web framework reuses its buffers from one request to the next, so a
// string that was kept without a copy turns into another device's words. The
// requests differ in length and share their connections to bring that about.
func TestRequestsAtTheSameTimeDoNotMix(t *testing.T) {
	s := start(t)
	const devices, each = 8, 20
	var wait sync.WaitGroup
	for d := range devices {
		wait.Go(func() {
			for n := range each {
				if err := s.pushAndReadBack(d*each+n+1, strings.Repeat(string(rune('a'+d)), 10+97*n)); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wait.Wait()
	if info, err := s.store.Info(); err != nil || info.Seq != begun+devices*each {
		t.Errorf("%d edits are in the log, want %d: %v", info.Seq, devices*each, err)
	}
}

// pushAndReadBack keeps a person with this reason and compares what the server then holds.
func (s *server) pushAndReadBack(n int, reason string) error {
	id := fmt.Sprintf("person-%d", n)
	e := s.edit(n, edits.Person, id, 0, cards.Person{ID: cards.PersonID(id), Name: strings.ToUpper(reason[:5+n%5]), Roles: storetest.Person().Roles})
	e.Reason = reason
	nonce := reason[:min(len(reason), 60+n%40)]
	health, _, err := s.shared("GET", s.url+"/api/v1/health?nonce="+nonce, "")
	if err != nil || !bytes.Contains(health, []byte(`"nonce":"`+nonce+`"`)) {
		return fmt.Errorf("nonce %q came back as %s: %w", nonce, health, err)
	}
	if b, status, err := s.shared("POST", s.url+"/api/v1/edits", s.pushBody(e)); err != nil || status != http.StatusOK {
		return fmt.Errorf("push %d: %d %s: %w", n, status, b, err)
	}
	kept, _, err := s.shared("GET", s.url+"/api/v1/edits/"+string(e.ID), "")
	if err != nil {
		return err
	}
	var got struct{ Edit edits.Edit }
	if err := json.Unmarshal(kept, &got); err != nil || got.Edit.Reason != reason || !bytes.Equal(got.Edit.Body, e.Body) {
		return fmt.Errorf("edit %d is kept as %s: %v", n, kept, err)
	}
	return nil
}

// shared sends over connections that are kept open between requests.
func (s *server) shared(method, url, body string) (answer []byte, status int, err error) {
	r, err := http.NewRequest(method, url, strings.NewReader(body))
	if err != nil {
		return nil, 0, err
	}
	r.Header.Set("Cookie", s.cookieHeader())
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Sideport-Request", "1")
	}
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		return nil, 0, err
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	return b, res.StatusCode, err
}

// A device that gave up waiting sends again while the first request is still
// under way; two tabs of a device do the same.
func TestTheSameEditAtTheSameTimeIsTakenOnce(t *testing.T) {
	s := start(t)
	e := s.edit(1, edits.Card, "anna-chop", 0, storetest.Card())
	var mu sync.Mutex
	var outcomes []edits.Outcome
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			b, status, err := s.shared("POST", s.url+"/api/v1/edits", s.pushBody(e))
			var p pushed
			if err != nil || status != http.StatusOK || json.Unmarshal(b, &p) != nil || len(p.Receipts) != 1 {
				t.Errorf("%d %s: %v", status, b, err)
				return
			}
			mu.Lock()
			defer mu.Unlock()
			outcomes = append(outcomes, p.Receipts[0].Outcome)
		})
	}
	wait.Wait()
	slices.Sort(outcomes)
	want := append(slices.Repeat([]edits.Outcome{edits.AlreadyApplied}, 7), edits.Applied)
	if !slices.Equal(outcomes, want) {
		t.Errorf("outcomes %q, want %q", outcomes, want)
	}
}

// Whatever order they arrive in, one body has the id and no device is told that another body was kept.
func TestOneIDOnTwoBodiesAtTheSameTime(t *testing.T) {
	s := start(t)
	var mu sync.Mutex
	taken := map[string]bool{}
	var wait sync.WaitGroup
	for n := range 8 {
		wait.Go(func() {
			e := s.edit(1, edits.Card, "anna-chop", 0, storetest.Card())
			e.Reason = fmt.Sprintf("reason %d", n)
			b, status, err := s.shared("POST", s.url+"/api/v1/edits", s.pushBody(e))
			if err != nil || (status != http.StatusOK && status != http.StatusBadRequest) {
				t.Errorf("%d %s: %v", status, b, err)
			}
			if status == http.StatusOK {
				mu.Lock()
				defer mu.Unlock()
				taken[e.Reason] = true
			}
		})
	}
	wait.Wait()
	entry, ok, err := s.store.Entry(storetest.ID(1))
	if err != nil || !ok || len(taken) != 1 || !taken[entry.Edit.Reason] {
		t.Errorf("told kept: %v; kept: %q, %v, %v", taken, entry.Edit.Reason, ok, err)
	}
}
