package api_test

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store/storetest"
)

// flood opens connections from addresses of its own (on Linux every address
// from 127.0.0.1 to 127.255.255.254 is this machine) and holds them: some say
// nothing, some send one byte of a request, some send a whole request again and again.
type flood struct {
	at             string
	wait           sync.WaitGroup
	stop           context.CancelFunc
	opened, failed atomic.Int64
	answers        atomic.Int64
}

const floodConnections = 2000

func startFlood(ctx context.Context, at string) *flood {
	ctx, stop := context.WithCancel(ctx)
	f := &flood{at: at, stop: stop}
	for n := range floodConnections {
		f.wait.Go(func() {
			from := &net.TCPAddr{IP: net.IPv4(127, 0, 1, byte(1+n%8))}
			for ctx.Err() == nil {
				f.hold(ctx, from, n)
			}
		})
	}
	return f
}

// hold keeps one connection until the server or the test ends it.
func (f *flood) hold(ctx context.Context, from net.Addr, n int) {
	c, err := (&net.Dialer{LocalAddr: from, Timeout: time.Second}).DialContext(ctx, "tcp", f.at)
	if err != nil {
		f.failed.Add(1)
		pause(ctx, 50*time.Millisecond)
		return
	}
	defer c.Close()
	defer context.AfterFunc(ctx, func() { _ = c.SetDeadline(time.Now()) })()
	f.opened.Add(1)
	switch n % 4 {
	case 0, 1: // says nothing
		_, _ = io.Copy(io.Discard, c)
	case 2: // begins and does not go on
		_, _ = io.WriteString(c, "POST /api/v1/edits HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 2000000\r\n\r\n{")
		_, _ = io.Copy(io.Discard, c)
	default: // asks again and again
		b := make([]byte, 4096)
		for ctx.Err() == nil {
			if _, err := io.WriteString(c, "GET /api/v1/snapshot HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"); err != nil {
				return
			}
			if _, err := c.Read(b); err != nil {
				return
			}
			f.answers.Add(1)
			pause(ctx, 200*time.Millisecond)
		}
	}
	pause(ctx, 250*time.Millisecond) // shown out: it comes again
}

func pause(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}

func (f *flood) end() { f.stop(); f.wait.Wait() }

// honest pushes one edit as a device does: again under the same id until there is a receipt.
func (s *server) honest(n int, limit time.Duration) (tries int, took time.Duration, err error) {
	card := storetest.Card()
	card.ID = cards.CardID(fmt.Sprintf("anna-chop-%d", n))
	e := s.edit(n, edits.Card, string(card.ID), 0, card)
	began := time.Now()
	client := &http.Client{Timeout: 5 * time.Second}
	defer client.CloseIdleConnections()
	for time.Since(began) < limit {
		tries++
		r, err := http.NewRequest(http.MethodPost, s.url+"/api/v1/edits", strings.NewReader(s.pushBody(e)))
		if err != nil {
			return tries, 0, err
		}
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Sideport-Request", "1")
		r.Header.Set("Cookie", s.cookieHeader())
		res, err := client.Do(r)
		if err == nil {
			b, err := io.ReadAll(res.Body)
			res.Body.Close()
			if err == nil && res.StatusCode == http.StatusOK && strings.Contains(string(b), string(e.ID)) {
				return tries, time.Since(began), nil
			}
		}
		time.Sleep(20 * time.Millisecond)
	}
	return tries, 0, fmt.Errorf("edit %d has no receipt after %s and %d tries", n, limit, tries)
}

// TestFloodLeavesHonestPushesWorking holds 2,000 connections against the server
// while a tablet pushes. It asks only that every push is answered; how long that takes is in docs/measurements.md.
func TestFloodLeavesHonestPushesWorking(t *testing.T) {
	s := start(t)
	f := startFlood(t.Context(), strings.TrimPrefix(s.url, "http://"))
	defer f.end()
	for limit := time.Now().Add(30 * time.Second); f.opened.Load() < floodConnections && time.Now().Before(limit); {
		time.Sleep(20 * time.Millisecond)
	}
	if f.opened.Load() < floodConnections {
		t.Fatalf("only %d connections were opened, %d failed: the flood was none", f.opened.Load(), f.failed.Load())
	}
	var slowest, all time.Duration
	tries := 0
	const pushes = 50
	for n := range pushes {
		again, took, err := s.honest(n+1, time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		tries, all, slowest = tries+again, all+took, max(slowest, took)
	}
	if info, err := s.store.Info(); err != nil || info.Seq != begun+pushes {
		t.Errorf("the log: %+v, %v", info, err)
	}
	t.Logf("%d connections opened (%d answers to them), %d pushes answered in %d tries: %s on average, %s the slowest",
		f.opened.Load(), f.answers.Load(), pushes, tries, (all / pushes).Round(time.Millisecond), slowest.Round(time.Millisecond))
}
