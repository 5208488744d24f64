package api

import (
	"bufio"
	"math/rand/v2"
	"net"
	"testing"
	"testing/synctest"
	"time"

	"sideport/server/edits"
)

// The tests here run in time of their own, in which nothing but waiting takes
// time: what takes hours here takes moments, and every moment is exact.

const (
	beatEvery = 15 * time.Second
	// watchdog is when a device gives a stream up (docs/sync.md).
	watchdog = 40 * time.Second
)

// heard is one line a device got.
type heard struct {
	after time.Duration
	text  string
}

// tablet is a device at the other end of a stream.
type tablet struct {
	conn  net.Conn
	lines []heard
	ended chan struct{} // the server's side is over
}

// connect opens a stream of a. A tablet that does not read takes nothing.
func connect(t *testing.T, a *API, reads bool) *tablet {
	t.Helper()
	s, ok := a.hub.join("tablet")
	if !ok {
		t.Fatal("no seat is free")
	}
	here, there := net.Pipe()
	d := &tablet{conn: there, ended: make(chan struct{})}
	go func() {
		defer close(d.ended)
		defer here.Close()
		a.stream(bufio.NewWriter(here), here, s, edits.Info{Epoch: "e"})
	}()
	if reads {
		go d.read(time.Now())
	}
	return d
}

func (d *tablet) read(began time.Time) {
	for lines := bufio.NewScanner(d.conn); lines.Scan(); {
		if lines.Text() != "" {
			d.lines = append(d.lines, heard{time.Since(began), lines.Text()})
		}
	}
}

func (d *tablet) hasEnded() bool {
	select {
	case <-d.ended:
		return true
	default:
		return false
	}
}

func newLive(seats int) *API {
	return &API{Config: Config{Heartbeat: beatEvery}, hub: newHub(seats, seats)}
}

func TestHeartbeatComesEveryFifteenSeconds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a := newLive(1)
		d := connect(t, a, true)
		time.Sleep(time.Hour + time.Second)
		a.hub.close()
		synctest.Wait()
		if len(d.lines) != 2+240 || d.lines[0].after != 0 || d.lines[1].text != `data: {"epoch": "e", "seq": 0}` {
			t.Fatalf("%d lines in an hour, the first %v", len(d.lines), d.lines[:2])
		}
		for n, beat := range d.lines[2:] {
			if want := time.Duration(n+1) * beatEvery; beat.after != want || beat.text != ": still here" {
				t.Errorf("beat %d: %v, want it after %v", n, beat, want)
			}
		}
	})
}

// TestEveryTabletHearsTheLastInTime: whenever edits come, each tablet hears the
// newest place at once, and is never left so long without a line that it gives up.
func TestEveryTabletHearsTheLastInTime(t *testing.T) {
	for seed := range uint64(50) {
		synctest.Test(t, func(t *testing.T) {
			r := rand.New(rand.NewPCG(seed, 1))
			a := newLive(8)
			var tablets []*tablet
			for range 8 {
				tablets = append(tablets, connect(t, a, true))
			}
			began, last := time.Now(), time.Duration(0)
			for seq := range edits.Seq(60) {
				time.Sleep(time.Duration(r.Int64N(int64(time.Minute))))
				a.hub.tell(seq + 1)
				last = time.Since(began)
			}
			synctest.Wait()
			for n, d := range tablets {
				newest := d.lines[len(d.lines)-1]
				if newest.text != `data: {"epoch": "e", "seq": 60}` || newest.after != last {
					t.Errorf("seed %d, tablet %d: the last line is %v and should come after %v", seed, n, newest, last)
				}
				for i := 1; i < len(d.lines); i++ {
					if gap := d.lines[i].after - d.lines[i-1].after; gap > beatEvery || gap >= watchdog {
						t.Errorf("seed %d, tablet %d: silent for %v", seed, n, gap)
					}
				}
			}
			a.hub.close()
			synctest.Wait()
		})
	}
}

func TestSlowTabletMissesStepsAndHoldsNobodyUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a := newLive(2)
		slow, quick := connect(t, a, false), connect(t, a, true)
		synctest.Wait()
		began := time.Now()
		for seq := range edits.Seq(1000) {
			a.hub.tell(seq + 1)
			synctest.Wait()
		}
		if took := time.Since(began); took != 0 {
			t.Errorf("telling waited for %v", took)
		}
		if n := len(quick.lines); n != 2*1001 {
			t.Errorf("the quick tablet heard %d lines", n)
		}
		go slow.read(began) // it wakes up
		synctest.Wait()
		if newest := slow.lines[len(slow.lines)-1].text; newest != `data: {"epoch": "e", "seq": 1000}` || len(slow.lines) > 2*3 {
			t.Errorf("the slow tablet heard %v", slow.lines)
		}
		a.hub.close()
		synctest.Wait()
	})
}

func TestTabletThatTakesNothingLosesItsSeat(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a := newLive(1)
		asleep := connect(t, a, false)
		time.Sleep(patience - time.Second)
		synctest.Wait()
		if _, ok := a.hub.join("tablet"); ok || asleep.hasEnded() {
			t.Error("the seat was given away too early")
		}
		time.Sleep(2 * time.Second)
		synctest.Wait()
		if !asleep.hasEnded() {
			t.Error("the seat is held by a tablet that takes nothing")
		}
		awake := connect(t, a, true)
		time.Sleep(time.Hour)
		if awake.hasEnded() {
			t.Error("a tablet that takes every line lost its seat")
		}
		a.hub.close()
		synctest.Wait()
	})
}

func TestClosingEndsEveryStreamAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a := newLive(64)
		var tablets []*tablet
		for range 64 {
			tablets = append(tablets, connect(t, a, true))
		}
		if _, ok := a.hub.join("tablet"); ok {
			t.Error("a 65th tablet has a seat")
		}
		time.Sleep(7 * time.Second)
		began := time.Now()
		a.hub.close()
		a.hub.close() // asking twice is harmless
		synctest.Wait()
		for n, d := range tablets {
			if !d.hasEnded() {
				t.Errorf("stream %d goes on", n)
			}
		}
		if took := time.Since(began); took != 0 {
			t.Errorf("closing took %v", took)
		}
		if _, ok := a.hub.join("tablet"); ok || len(a.hub.seats) != 0 {
			t.Error("a server that closes gives seats away")
		}
	})
}

func TestTabletThatGoesAwayLeavesItsSeat(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a := newLive(1)
		for n := range 100 {
			d := connect(t, a, true)
			time.Sleep(time.Duration(n) * time.Second)
			if err := d.conn.Close(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(beatEvery) // the next line shows that nobody is there
			synctest.Wait()
			if !d.hasEnded() {
				t.Fatalf("tablet %d went away and its stream goes on", n)
			}
		}
	})
}

// A line is whole or not there: what reads the stream counts on the empty line behind each.
func TestEventIsOneWholeMessage(t *testing.T) {
	if got, want := event("e", 7), "event: seq\ndata: {\"epoch\": \"e\", \"seq\": 7}\n\n"; got != want {
		t.Errorf("got %q, want %q (HTML standard, server-sent events: a message ends with an empty line)", got, want)
	}
}
