package api

import (
	"fmt"
	"net/netip"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// clock is a time that the test moves.
type clock struct{ at time.Time }

func (c *clock) now() time.Time { return c.at }

func TestBucketGivesABurstAndThenARate(t *testing.T) {
	c := &clock{time.Unix(0, 0)}
	r := newRates(c.now, map[rate]allowance{rateKnock: {burst: 3, perSecond: 0.5}})
	for n := range 3 {
		if wait := r.take(rateKnock, "a"); wait != 0 {
			t.Fatalf("request %d waits %s", n+1, wait)
		}
	}
	if wait := r.take(rateKnock, "a"); wait != 2*time.Second {
		t.Errorf("the fourth waits %s", wait)
	}
	if wait := r.take(rateKnock, "b"); wait != 0 {
		t.Errorf("somebody else waits %s", wait)
	}
	c.at = c.at.Add(2 * time.Second)
	if first, second := r.take(rateKnock, "a"), r.take(rateKnock, "a"); first != 0 || second != 2*time.Second {
		t.Errorf("after the wait: %s, then %s", first, second)
	}
}

// Whatever comes when, nobody gets more than burst and rate allow, and who waits as told is let in.
func TestNobodyGetsMoreThanTheRate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		limit := allowance{burst: float64(rapid.IntRange(1, 20).Draw(t, "burst")), perSecond: rapid.Float64Range(0.1, 50).Draw(t, "rate")}
		c := &clock{time.Unix(1000, 0)}
		r := newRates(c.now, map[rate]allowance{rateAsk: limit})
		began, let := c.at, 0
		for range rapid.IntRange(1, 200).Draw(t, "requests") {
			c.at = c.at.Add(time.Duration(rapid.Int64Range(0, int64(time.Second)).Draw(t, "pause")))
			wait := r.take(rateAsk, "a")
			if wait == 0 {
				let++
			} else if rapid.Bool().Draw(t, "waits") {
				c.at = c.at.Add(wait)
				if r.take(rateAsk, "a") != 0 {
					t.Fatal("who waited as told is sent away")
				}
				let++
			}
			if most := limit.burst + c.at.Sub(began).Seconds()*limit.perSecond; float64(let) > most+1e-6 {
				t.Fatalf("%d let in, at most %g allowed", let, most)
			}
		}
	})
}

func TestBucketsAreBounded(t *testing.T) {
	c := &clock{time.Unix(0, 0)}
	r := newRates(c.now, allowances)
	for n := range 3 * maxBuckets {
		if n%100 == 0 {
			c.at = c.at.Add(time.Millisecond)
		}
		r.take(rateKnock, fmt.Sprint(n))
		if len(r.buckets) > maxBuckets {
			t.Fatalf("%d buckets", len(r.buckets))
		}
	}
}

func TestEveryClassHasAnAllowance(t *testing.T) {
	for _, r := range table {
		if a := allowances[r.rate]; a.burst < 1 || a.perSecond <= 0 {
			t.Errorf("%s %s: %+v", r.method, r.path, a)
		}
	}
}

func TestAddressesOfOneOwnerCountTogether(t *testing.T) {
	for _, c := range []struct{ a, b string }{{"2001:db8::1", "2001:db8::ffff:2"}, {"192.0.2.1", "192.0.2.1"}, {"::ffff:192.0.2.1", "192.0.2.1"}} {
		if a, b := groupOf(netip.MustParseAddr(c.a).Unmap()), groupOf(netip.MustParseAddr(c.b)); a != b {
			t.Errorf("%s is %s, %s is %s", c.a, a, c.b, b)
		}
	}
	for _, c := range []struct{ a, b string }{{"2001:db8:0:1::1", "2001:db8:0:2::1"}, {"192.0.2.1", "192.0.2.2"}} {
		if a, b := groupOf(netip.MustParseAddr(c.a)), groupOf(netip.MustParseAddr(c.b)); a == b {
			t.Errorf("%s and %s are both %s", c.a, c.b, a)
		}
	}
}

func TestRouteOf(t *testing.T) {
	for _, c := range []struct{ method, path, want string }{
		{"POST", "/api/v1/edits", "/api/v1/edits"},
		{"GET", "/api/v1/docs/card/a/revisions/1", "/api/v1/docs/:kind/:id/revisions/:rev"},
		{"POST", "/api/v1/devices/x/revoke", "/api/v1/devices/:id/revoke"},
		{"POST", "/api/v1/devices//revoke", ""},
		{"POST", "/api/v1/edits/", ""},
		{"POST", "/api/v1/edits/x", ""},
		{"PUT", "/api/v1/edits", ""},
		{"POST", "", ""},
	} {
		if r, ok := routeOf(c.method, c.path); ok != (c.want != "") || r.path != c.want {
			t.Errorf("%s %s: %q, want %q", c.method, c.path, r.path, c.want)
		}
	}
}

func TestCookieIn(t *testing.T) {
	for _, c := range []struct{ header, want string }{
		{"", ""}, {"a=1", "1"}, {"b=2; a=1", "1"}, {"a=1;a=1", "1"}, {"a=1; a=2", ""}, {"aa=1", ""}, {"a", ""}, {"a=", ""}, {"a=x=y", "x=y"}, {" a=1 ", "1"}, {"A=1", ""},
	} {
		if got := cookieIn(c.header, "a"); got != c.want {
			t.Errorf("%q: %q, want %q", c.header, got, c.want)
		}
	}
}
