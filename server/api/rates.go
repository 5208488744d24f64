package api

import (
	"math"
	"sync"
	"time"
)

// rate is a class of requests that are counted together, for each device or,
// where none is enrolled, for each address.
type rate string

const (
	ratePage   rate = "page"    // files of the client
	rateAsk    rate = "ask"     // reading
	ratePush   rate = "push"    // edits
	rateLate   rate = "late"    // edits of a device that was taken off the list: kept for ever, for nobody to use
	rateRecord rate = "record"  // records that nobody signed: every tablet of the unit holds them for a month
	rateWork   rate = "work"    // what costs more than reading
	rateSignIn rate = "sign-in" // guessing a PIN
	rateKnock  rate = "knock"   // guessing a code; all devices behind one address share it
)

// allowance is a bucket that holds at most burst and gets perSecond back.
type allowance struct{ burst, perSecond float64 }

// allowances are far above what a theatre needs, a whole unit behind one
// address included, and below what hurts: a hundred edits travel in one push.
var allowances = map[rate]allowance{
	ratePage:   {4000, 200},
	rateAsk:    {600, 60},
	ratePush:   {200, 20},
	rateLate:   {30, 1.0 / 300},
	rateRecord: {300, 0.05},
	rateWork:   {100, 10},
	rateSignIn: {30, 1},
	rateKnock:  {60, 1},
}

// maxBuckets bounds the memory: who would be one more empties those that are full again first.
const maxBuckets = 20_000

type bucketKey struct {
	class rate
	of    string // a device or an address
}

type bucket struct {
	left float64
	at   time.Time
}

// rates counts requests.
type rates struct {
	mu      sync.Mutex
	now     func() time.Time // runs forward: not the clock of the documents
	buckets map[bucketKey]bucket
	limits  map[rate]allowance
}

func newRates(now func() time.Time, limits map[rate]allowance) *rates {
	return &rates{now: now, buckets: map[bucketKey]bucket{}, limits: limits}
}

// take says how long whoever asks has to wait; 0: not at all.
func (r *rates) take(class rate, of string) time.Duration { return r.takeAll(class, of, 1) }

// takeAll counts n at once, at most as many as the bucket holds: all or none.
func (r *rates) takeAll(class rate, of string, n float64) time.Duration {
	r.mu.Lock()
	defer r.mu.Unlock()
	limit, now, key := r.limits[class], r.now(), bucketKey{class, of}
	b, ok := r.buckets[key]
	if !ok {
		r.makeRoom(now)
		b = bucket{left: limit.burst, at: now}
	}
	b.left = min(limit.burst, b.left+now.Sub(b.at).Seconds()*limit.perSecond)
	b.at = now
	var wait time.Duration
	if b.left < n {
		wait = time.Duration(math.Ceil((n-b.left)/limit.perSecond)) * time.Second
	} else {
		b.left -= n
	}
	r.buckets[key] = b
	return wait
}

// makeRoom forgets buckets that are full again, which changes nothing for
// anybody. Where that is not enough a flood comes from very many addresses, and
// forgetting all of them costs nothing but one burst more of each.
func (r *rates) makeRoom(now time.Time) {
	if len(r.buckets) < maxBuckets {
		return
	}
	for key, b := range r.buckets {
		limit := r.limits[key.class]
		if b.left+now.Sub(b.at).Seconds()*limit.perSecond >= limit.burst {
			delete(r.buckets, key)
		}
	}
	if len(r.buckets) >= maxBuckets {
		clear(r.buckets)
	}
}
