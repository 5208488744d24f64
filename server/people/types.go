package people

import (
	"slices"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// Credential is a secret that a browser holds as a cookie. Only its hash is kept here.
type Credential string

// KeyID names a public key: the first 16 bytes of the SHA-256 of its bytes, as 32 hex digits.
type KeyID string

// From says where a request without an enrolled device came from, for the program's own log.
type From struct{ Addr string }

// Ended says since when, by whom and why something ended.
type Ended struct {
	At     time.Time      `json:"at"`
	By     cards.PersonID `json:"by"`
	Reason string         `json:"reason"`
}

// Device is one enrolled tablet, telephone or computer.
type Device struct {
	ID       edits.DeviceID `json:"id"`
	Name     string         `json:"name"`
	Shared   bool           `json:"shared"` // several people use it: it locks when it is left alone
	Enrolled time.Time      `json:"enrolled"`
	By       cards.PersonID `json:"by"`                  // who made the code; empty: the program itself
	LastSeen *time.Time     `json:"last_seen,omitempty"` // to the minute
	Build    string         `json:"build,omitempty"`     // of the page it last ran
	Forked   bool           `json:"forked,omitempty"`    // two devices write under its id: it may push and read nothing
	Revoked  *Ended         `json:"revoked,omitempty"`
}

// Reads reports whether the device may read the unit's data.
func (d Device) Reads() bool { return d.Revoked == nil && !d.Forked }

// Who is a person signed in on a device, with the roles the person has now.
type Who struct {
	Person cards.PersonID     `json:"person"`
	Name   string             `json:"name"`
	Roles  []cards.PersonRole `json:"roles"`
	Device edits.DeviceID     `json:"device"`
	Until  time.Time          `json:"until"`
}

// Lead reports whether the person keeps the unit's people and devices.
func (w Who) Lead() bool { return slices.Contains(w.Roles, cards.PersonUnitLead) }

// DeviceName is what a new device is called and whether several people use it.
type DeviceName struct {
	Name   string
	Shared bool
}

// SetUp is what the first person of a unit fills in.
type SetUp struct {
	Code   string
	Unit   string
	Name   string // of the first unit lead
	Device DeviceName
}

// SetUpDone is what comes of it. The PIN is shown once.
type SetUpDone struct {
	Person cards.PersonID
	PIN    string
	Device Device
	// The two cookies.
	DeviceCredential Credential
	Session          Credential
	Until            time.Time // of the session
}

// Code lets one device in. Text is shown once.
type Code struct {
	Text  string
	Until time.Time
}

// SignedIn is the answer to a sign-in.
type SignedIn struct {
	Person  cards.PersonID
	Name    string
	Roles   []cards.PersonRole
	Secret  []byte // 32 bytes, the same for this person and device each time: the page wraps its key with them
	Until   time.Time
	Session Credential
}

// Account says how a person can sign in. It holds no secret.
type Account struct {
	Person    cards.PersonID `json:"person"`
	PIN       bool           `json:"pin"` // there is one
	PINIssued *time.Time     `json:"pin_issued,omitempty"`
	Passkeys  int            `json:"passkeys"`
	OIDC      bool           `json:"oidc"`
	Barred    *Ended         `json:"barred,omitempty"`
	// LockedUntil is when a PIN of this person is looked at again on every device; nil: now.
	LockedUntil *time.Time `json:"locked_until,omitempty"`
}

// PersonPIN is a PIN that the demonstration prints.
type PersonPIN struct {
	Person cards.PersonID
	Name   string
	PIN    string
}

// EventsAsked asks for events, newest first.
type EventsAsked struct {
	Before uint64 // 0: from the newest
	Limit  int
	Person cards.PersonID // who did it or whom it is about; "": anybody
	Device edits.DeviceID // the same of devices
}

// Heads are the ends of the two chains. A copy of them outside this machine shows a cut end.
type Heads struct {
	Seq       edits.Seq `json:"seq"`
	Head      string    `json:"head"`
	EventSeq  uint64    `json:"event_seq"`
	EventHead string    `json:"event_head"`
}

// Way is how a person proved who they are when signing in.
type Way string

// The ways. Persisted: append only, never rename.
const (
	ByPIN     Way = "pin"
	ByPasskey Way = "passkey"
	ByOIDC    Way = "oidc"
)
