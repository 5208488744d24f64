package signin_test

import (
	"encoding/json"
	"errors"
	"testing"
	"time"

	"sideport/server/signin"
	"sideport/server/signin/signintest"
)

// The authenticator in these tests is somebody else's
// (github.com/descope/virtualwebauthn). What is asked of us: Web Authentication
// Level 2, sections 7.1 and 7.2.

const origin = "https://cards.example.org"

func newPhone() *signintest.Phone { return signintest.NewPhone(origin, "cards.example.org") }

func passkeys(t *testing.T) *signin.Passkeys {
	t.Helper()
	p, err := signin.NewPasskeys(origin, "Unit", time.Now, random)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

var began = signin.Attempt{Device: "d", Person: "anna"}

// added introduces the phone and returns the person with that passkey.
func added(t *testing.T, p *signin.Passkeys, ph *signintest.Phone) signin.PasskeyUser {
	t.Helper()
	anna := signin.PasskeyUser{Person: "anna", Name: "Anna"}
	name, ask, err := p.BeginAdd(began, anna)
	if err != nil {
		t.Fatal(err)
	}
	attempt, key, err := p.FinishAdd(name, anna, ph.Add(t, ask))
	if err != nil || attempt != began {
		t.Fatalf("add a passkey: %+v %v", attempt, err)
	}
	ph.Authenticator.AddCredential(ph.Credential)
	anna.Kept = append(anna.Kept, key.Kept)
	return anna
}

func TestPasskeySignsIn(t *testing.T) {
	p, ph := passkeys(t), newPhone()
	anna := added(t, p, ph)
	name, ask, err := p.BeginSignIn(signin.Attempt{Device: "d"}, anna)
	if err != nil {
		t.Fatal(err)
	}
	answer := ph.Sign(t, ask)
	attempt, key, err := p.FinishSignIn(name, anna, answer)
	if err != nil || attempt.Device != "d" || len(key.Kept) == 0 {
		t.Fatalf("%+v %v", attempt, err)
	}
	if _, _, err := p.FinishSignIn(name, anna, answer); !errors.Is(err, signin.ErrNoAttempt) {
		t.Errorf("the same answer once more: %v", err)
	}
}

func TestPasskeyRefused(t *testing.T) {
	tests := []struct {
		why string
		// answer is what the browser sends for an attempt it did not begin in the right way.
		answer func(t *testing.T, p *signin.Passkeys, ph *signintest.Phone, anna signin.PasskeyUser) (string, []byte)
		want   error
	}{
		{"made for another site", func(t *testing.T, p *signin.Passkeys, ph *signintest.Phone, anna signin.PasskeyUser) (string, []byte) {
			name, ask := begin(t, p, anna)
			ph.Party.Origin = "https://cards.example.com"
			return name, ph.Sign(t, ask)
		}, signin.ErrRefused},
		{"another attempt's answer", func(t *testing.T, p *signin.Passkeys, ph *signintest.Phone, anna signin.PasskeyUser) (string, []byte) {
			name, _ := begin(t, p, anna)
			_, ask := begin(t, p, anna)
			return name, ph.Sign(t, ask)
		}, signin.ErrRefused},
		{"another phone's key", func(t *testing.T, p *signin.Passkeys, ph *signintest.Phone, anna signin.PasskeyUser) (string, []byte) {
			name, ask := begin(t, p, anna)
			other := signintest.NewCredential()
			other.ID = ph.Credential.ID
			ph.Credential = other
			return name, ph.Sign(t, ask)
		}, signin.ErrRefused},
		{"a phone that did not ask for its owner", func(t *testing.T, p *signin.Passkeys, ph *signintest.Phone, anna signin.PasskeyUser) (string, []byte) {
			name, ask := begin(t, p, anna)
			ph.Authenticator.Options.UserNotVerified = true
			return name, ph.Sign(t, ask)
		}, signin.ErrRefused},
		{"an answer to adding", func(t *testing.T, p *signin.Passkeys, ph *signintest.Phone, anna signin.PasskeyUser) (string, []byte) {
			name, ask, err := p.BeginAdd(began, anna)
			if err != nil {
				t.Fatal(err)
			}
			return name, ph.Add(t, ask)
		}, signin.ErrNoAttempt},
		{"no JSON", func(t *testing.T, p *signin.Passkeys, _ *signintest.Phone, anna signin.PasskeyUser) (string, []byte) {
			name, _ := begin(t, p, anna)
			return name, []byte("{")
		}, signin.ErrRefused},
	}
	for _, tt := range tests {
		t.Run(tt.why, func(t *testing.T) {
			p, ph := passkeys(t), newPhone()
			anna := added(t, p, ph)
			name, answer := tt.answer(t, p, ph, anna)
			if _, key, err := p.FinishSignIn(name, anna, answer); !errors.Is(err, tt.want) || key.Kept != nil {
				t.Errorf("got %v, want %v", err, tt.want)
			}
		})
	}
}

// A copy of an authenticator is behind in counting (section 6.1.1): whichever of the two comes second is noticed.
func TestPasskeyOfACopiedAuthenticator(t *testing.T) {
	p, ph := passkeys(t), newPhone()
	anna := added(t, p, ph)
	sign := func(counter uint32) error {
		name, ask := begin(t, p, anna)
		ph.Credential.Counter = counter
		_, key, err := p.FinishSignIn(name, anna, ph.Sign(t, ask))
		if err == nil {
			anna.Kept = []json.RawMessage{key.Kept}
		}
		return err
	}
	if err := sign(7); err != nil {
		t.Fatal(err)
	}
	if err := sign(3); !errors.Is(err, signin.ErrRefused) {
		t.Errorf("a count that went back: %v", err)
	}
}

func TestPasskeyWithoutOne(t *testing.T) {
	if _, _, err := passkeys(t).BeginSignIn(signin.Attempt{Device: "d"}, signin.PasskeyUser{Person: "ben"}); !errors.Is(err, signin.ErrRefused) {
		t.Errorf("got %v", err)
	}
}

func begin(t *testing.T, p *signin.Passkeys, u signin.PasskeyUser) (string, json.RawMessage) {
	t.Helper()
	name, ask, err := p.BeginSignIn(signin.Attempt{Device: "d"}, u)
	if err != nil {
		t.Fatal(err)
	}
	return name, ask
}
