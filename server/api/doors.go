package api

import (
	"encoding/json"
	"io"
	"time"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
)

// Doors decides who comes in and what may be done: package people, as this
// package needs it. All methods may be called at the same time.
type Doors interface {
	NeedsSetUp() (bool, error)
	SetUp(from people.From, s people.SetUp) (people.SetUpDone, error)
	DemoCodes() (shared, personal string)

	NewCode(by people.Who, name string, shared bool) (people.Code, error)
	Enrol(from people.From, code string) (people.Device, people.Credential, error)
	Device(credential people.Credential) (people.Device, error)
	Seen(device edits.DeviceID, build string) error
	Devices() ([]people.Device, error)
	Revoke(by people.Who, device edits.DeviceID, reason string) error

	SignIn(device people.Device, person cards.PersonID, pin string) (people.SignedIn, error)
	Session(device people.Device, credential people.Credential) (people.Who, error)
	SignOut(device people.Device, credential people.Credential) error
	RegisterKey(who people.Who, device people.Device, public []byte, alg string) (people.KeyID, error)
	Accounts() ([]people.Account, error)
	IssuePIN(by people.Who, person cards.PersonID) (string, error)
	Bar(by people.Who, person cards.PersonID, barred bool, reason string) error

	SignInBy(way people.Way, device people.Device, person cards.PersonID) (people.SignedIn, error)
	Opened(device people.Device, credential people.Credential) (people.SignedIn, error)
	DeviceByID(id edits.DeviceID) (people.Device, error)
	Passkeys(person cards.PersonID) (name string, kept []json.RawMessage, err error)
	MayIntroduce(who people.Who) error
	AddPasskey(who people.Who, id []byte, kept json.RawMessage) error
	UsedPasskey(person cards.PersonID, id []byte, kept json.RawMessage) error
	LinkIdentity(who people.Who, issuer, subject string) error
	Linked(issuer, subject string) (person cards.PersonID, known bool, err error)
	ProofRefused(device edits.DeviceID, person cards.PersonID, way people.Way) error
	TakeProofs(by people.Who, person cards.PersonID) error

	Push(device people.Device, who *people.Who, now time.Time, list []edits.Edit) ([]edits.Receipt, error)
	HeadDiffers(device people.Device, who *people.Who, seq edits.Seq, head string) (bool, error)

	Events(asked people.EventsAsked) (events []people.Event, more bool, err error)
	ExportNDJSON(w io.Writer) error
	Heads() (people.Heads, error)
	Note(e people.Event) error
}
