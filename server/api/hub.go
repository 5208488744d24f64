package api

import (
	"sync"

	"sideport/server/edits"
)

// hub tells live streams that there is something to read.
//
// Must never wait for a stream: a device that went away without a word keeps
// its connection for many minutes. Each stream holds the newest place it has
// not sent yet and nothing else, so a slow one misses steps and never the last.
type hub struct {
	mu     sync.Mutex
	limit  int
	closed bool
	newest edits.Seq
	seats  map[*seat]struct{}
	done   chan struct{}
}

// seat is one live stream.
type seat struct{ news chan edits.Seq }

func newHub(limit int) *hub {
	return &hub{limit: limit, seats: map[*seat]struct{}{}, done: make(chan struct{})}
}

// join gives a stream a seat; false when all are taken or the server is closing.
func (h *hub) join() (*seat, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed || len(h.seats) >= h.limit {
		return nil, false
	}
	s := &seat{news: make(chan edits.Seq, 1)}
	h.seats[s] = struct{}{}
	return s, true
}

func (h *hub) leave(s *seat) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.seats, s)
}

// tell puts the newest place before every stream, in the place of one that was not sent yet.
func (h *hub) tell(seq edits.Seq) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if seq <= h.newest {
		return
	}
	h.newest = seq
	for s := range h.seats {
		select {
		case <-s.news:
		default:
		}
		s.news <- seq // never waits: the lock keeps every other sender out
	}
}

func (h *hub) close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.closed {
		h.closed = true
		close(h.done)
	}
}
