package signin

import (
	"encoding/base64"
	"sync"
	"time"
)

const (
	// patience is how long a person may take at the other side.
	patience = 10 * time.Minute
	// mostAttempts bounds the memory a device that begins and never ends can take.
	mostAttempts = 1000
)

// Attempt is a sign-in, or the first introduction of a proof, that a device has begun.
type Attempt struct {
	Device string
	// Person is who introduces a proof of their own, being signed in already; empty for a sign-in.
	Person string
}

// attempts are what is under way, each good once.
type attempts[T any] struct {
	now    func() time.Time
	random func([]byte)

	mu   sync.Mutex
	open map[string]begun[T]
}

type begun[T any] struct {
	what  T
	until time.Time
}

func newAttempts[T any](now func() time.Time, random func([]byte)) *attempts[T] {
	return &attempts[T]{now: now, random: random, open: map[string]begun[T]{}}
}

// begin keeps an attempt and returns its name. The oldest gives way when there are too many.
func (a *attempts[T]) begin(what T) string {
	name := randomText(a.random)
	a.mu.Lock()
	defer a.mu.Unlock()
	a.forget()
	a.open[name] = begun[T]{what, a.now().Add(patience)}
	return name
}

func (a *attempts[T]) forget() {
	oldest, until := "", time.Time{}
	for name, b := range a.open {
		if !a.now().Before(b.until) {
			delete(a.open, name)
			continue
		}
		if oldest == "" || b.until.Before(until) {
			oldest, until = name, b.until
		}
	}
	if len(a.open) >= mostAttempts {
		delete(a.open, oldest)
	}
}

// end takes an attempt out: nobody can end it a second time.
func (a *attempts[T]) end(name string) (T, bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	b, ok := a.open[name]
	delete(a.open, name)
	if !ok || !a.now().Before(b.until) {
		var none T
		return none, false
	}
	return b.what, true
}

// randomText is 128 random bits in the letters of base64url.
func randomText(random func([]byte)) string {
	b := make([]byte, 16)
	random(b)
	return base64.RawURLEncoding.EncodeToString(b)
}
