package api

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"testing"
	"testing/synctest"
	"time"
)

// guest is somebody at the door, without a network.
func guest(p *porter, of string, answered int64) *visitor {
	here, there := net.Pipe()
	_ = there.Close()
	v := &visitor{Conn: here, porter: p, of: of}
	v.answered.Store(answered)
	return v
}

func TestFullHouseShowsOutTheStalestOfTheCrowd(t *testing.T) {
	p := newPorter(nil, 5)
	var crowd []*visitor
	quiet := guest(p, "quiet", 0) // came first, and is alone
	p.admit(quiet)
	for n := range 4 {
		crowd = append(crowd, guest(p, "crowd", int64(10-n)))
		p.admit(crowd[n])
	}
	if out := p.admit(guest(p, "next", 20)); out != crowd[3] {
		t.Errorf("out goes %+v", out)
	}
	if out := p.admit(guest(p, "crowd", 21)); out != crowd[2] {
		t.Errorf("out goes %+v", out)
	}
	if len(p.here) != 5 || p.count["crowd"] != 3 || p.count["quiet"] != 1 {
		t.Errorf("%d are here: %v", len(p.here), p.count)
	}
	for range 2 { // leaving twice is leaving once
		_ = quiet.Close()
	}
	if len(p.here) != 4 || p.count["quiet"] != 0 {
		t.Errorf("%d are here: %v", len(p.here), p.count)
	}
}

// However many come from wherever, the house holds no more than it can, counts
// them right, and never shows out who is alone at an address while others crowd.
func TestPorterNeverLosesCount(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	p := newPorter(nil, 50)
	var guests []*visitor
	for n := range 5000 {
		switch v := guest(p, fmt.Sprint(r.IntN(4)*r.IntN(4)), int64(n)); {
		case r.IntN(3) == 0 && len(guests) > 0:
			_ = guests[r.IntN(len(guests))].Close()
		default:
			before := p.count[v.of]
			out := p.admit(v)
			if out != nil && out.of != v.of && before > p.count[out.of]+1 {
				t.Fatalf("out goes one of %d, and another address has %d", p.count[out.of]+1, before)
			}
			if out != nil {
				_ = out.Close()
			}
			guests = append(guests, v)
		}
		sum := 0
		for of, n := range p.count {
			if n <= 0 {
				t.Fatalf("%s has %d", of, n)
			}
			sum += n
		}
		if sum != len(p.here) || sum > 50 {
			t.Fatalf("%d counted, %d here", sum, len(p.here))
		}
	}
}

func TestAnswerKeepsAVisitorFresh(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	p := newPorter(l, 2)
	dialled, err := net.Dial("tcp", l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer dialled.Close()
	c, err := p.Accept()
	if err != nil {
		t.Fatal(err)
	}
	v := c.(*visitor)
	v.answered.Store(1)
	if _, err := c.Write([]byte("x")); err != nil {
		t.Fatal(err)
	}
	if at := time.Unix(0, v.answered.Load()); time.Since(at) > time.Minute || v.of != "127.0.0.1" {
		t.Errorf("answered %s, of %s", at, v.of)
	}
	if err := c.Close(); err != nil || len(p.here) != 0 {
		t.Errorf("closed: %v, %d here", err, len(p.here))
	}
}

func TestVisitorThatTakesNothingIsGivenUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		here, there := net.Pipe()
		v := &visitor{Conn: here, porter: newPorter(nil, 1)}
		began := time.Now()
		_, err := v.Write(make([]byte, 10))
		if !errors.Is(err, os.ErrDeadlineExceeded) || time.Since(began) != patience {
			t.Errorf("given up after %s: %v", time.Since(began), err)
		}
		// One that is slow and reads on gets all of it, however long that takes.
		large := bytes.Repeat([]byte("0123456789abcdef"), writeAtOnce/8)
		got := make(chan []byte)
		go func() {
			var all []byte
			b := make([]byte, 1000)
			for {
				n, err := there.Read(b)
				if all = append(all, b[:n]...); err != nil {
					got <- all
					return
				}
				time.Sleep(patience / 100)
			}
		}()
		began = time.Now()
		if n, err := v.Write(large); n != len(large) || err != nil {
			t.Errorf("%d bytes of %d: %v", n, len(large), err)
		}
		if err := v.Close(); err != nil || !bytes.Equal(<-got, large) || time.Since(began) < patience {
			t.Errorf("it came otherwise, within %s: %v", time.Since(began), err)
		}
	})
}
