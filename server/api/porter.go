package api

import (
	"net"
	"sync"
	"sync/atomic"
	"time"
)

// porter hands out connections and keeps their number bounded.
//
// When the house is full it does not turn the next one away: it shows somebody
// out. That is one of those who hold most connections, and of those the one
// that was answered least recently. So thousands of connections that
// somebody opens and holds cost nobody else a place.
type porter struct {
	net.Listener
	most  int
	mu    sync.Mutex
	here  map[*visitor]struct{}
	count map[string]int // connections of each address
}

// visitor is one connection.
type visitor struct {
	net.Conn
	porter *porter
	of     string
	// answered is when something was last written to it, in nanoseconds; at first, when it came.
	answered atomic.Int64
	left     sync.Once
}

func newPorter(l net.Listener, most int) *porter {
	return &porter{Listener: l, most: most, here: map[*visitor]struct{}{}, count: map[string]int{}}
}

// Accept waits for the next connection.
func (p *porter) Accept() (net.Conn, error) {
	c, err := p.Listener.Accept()
	if err != nil {
		return nil, err
	}
	v := &visitor{Conn: c, porter: p, of: groupOf(addressOf(c.RemoteAddr()))}
	v.answered.Store(time.Now().UnixNano())
	if out := p.admit(v); out != nil {
		_ = out.Close() // whoever holds it finds out; there is nobody to tell here
	}
	return v, nil
}

// admit lets somebody in and returns who has to leave for that, if anybody.
func (p *porter) admit(v *visitor) *visitor {
	p.mu.Lock()
	defer p.mu.Unlock()
	var out *visitor
	if len(p.here) >= p.most {
		out = p.chooseLocked()
		p.forgetLocked(out)
	}
	p.here[v] = struct{}{}
	p.count[v.of]++
	return out
}

func (p *porter) chooseLocked() *visitor {
	crowd, most := "", 0
	for of, n := range p.count {
		if n > most {
			crowd, most = of, n
		}
	}
	var stalest *visitor
	for v := range p.here {
		if v.of == crowd && (stalest == nil || v.answered.Load() < stalest.answered.Load()) {
			stalest = v
		}
	}
	return stalest
}

func (p *porter) forgetLocked(v *visitor) {
	if _, ok := p.here[v]; !ok {
		return
	}
	delete(p.here, v)
	if p.count[v.of]--; p.count[v.of] == 0 {
		delete(p.count, v.of)
	}
}

// writeAtOnce is how much has to be taken within patience.
const writeAtOnce = 64 << 10

// Write notes when a visitor was answered, and gives up one that takes nothing:
// whoever asks and never reads the answer would hold it in memory.
func (v *visitor) Write(b []byte) (int, error) {
	written := 0
	for {
		if err := v.Conn.SetWriteDeadline(time.Now().Add(patience)); err != nil {
			return written, err
		}
		n, err := v.Conn.Write(b[written:min(len(b), written+writeAtOnce)])
		written += n
		if err != nil {
			return written, err
		}
		v.answered.Store(time.Now().UnixNano())
		if written == len(b) {
			return written, nil
		}
	}
}

// Close gives the place back.
func (v *visitor) Close() error {
	v.left.Do(func() {
		v.porter.mu.Lock()
		defer v.porter.mu.Unlock()
		v.porter.forgetLocked(v)
	})
	return v.Conn.Close()
}
