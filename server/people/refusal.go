package people

import (
	"errors"
	"time"
)

// The codes of refusals; the API's errors carry the same words.
const (
	NotEnrolled = "not enrolled"
	Revoked     = "revoked"
	NotSignedIn = "not signed in"
	SignInAgain = "sign in again"
	NotAllowed  = "not allowed"
	WrongPIN    = "wrong pin"
	WrongCode   = "wrong code"
	NeedsSetUp  = "needs set-up"
	BadRequest  = "bad request"
	NotFound    = "not found"
	Busy        = "busy"
)

// Refusal says no in words for people. Wait is how long until the same may be
// tried again, Left how many tries are left before there is a wait.
type Refusal struct {
	Code string
	Text string
	Wait time.Duration
	Left int
}

func (r *Refusal) Error() string { return r.Code + ": " + r.Text }

// ErrNoDevice: the credential belongs to no device.
var ErrNoDevice = errors.New("no device has this credential")

func refuse(code, text string) error { return &Refusal{Code: code, Text: text} }
