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
	each   int // of one device
	closed bool
	newest edits.Seq
	seats  map[*seat]struct{}
	done   chan struct{}
}

// seat is one live stream.
type seat struct {
	device edits.DeviceID
	news   chan edits.Seq
	gone   chan struct{} // closed when the device may not listen any more
}

func newHub(limit, each int) *hub {
	return &hub{limit: limit, each: each, seats: map[*seat]struct{}{}, done: make(chan struct{})}
}

// join gives a stream a seat; false when all are taken, those of the device are, or the server is closing.
func (h *hub) join(device edits.DeviceID) (*seat, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed || len(h.seats) >= h.limit || h.seatsOf(device) >= h.each {
		return nil, false
	}
	s := &seat{device: device, news: make(chan edits.Seq, 1), gone: make(chan struct{})}
	h.seats[s] = struct{}{}
	return s, true
}

func (h *hub) seatsOf(device edits.DeviceID) int {
	n := 0
	for s := range h.seats {
		if s.device == device {
			n++
		}
	}
	return n
}

// showOut ends the streams of a device that was revoked.
func (h *hub) showOut(device edits.DeviceID) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for s := range h.seats {
		if s.device == device {
			close(s.gone)
			delete(h.seats, s)
		}
	}
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
