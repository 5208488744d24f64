package api

import (
	"strings"

	"github.com/gofiber/fiber/v2"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
)

const maxNonce = 100

// shownDevice is what a device is told of itself.
type shownDevice struct {
	ID     edits.DeviceID `json:"id"`
	Name   string         `json:"name"`
	Shared bool           `json:"shared"`
}

func shown(d people.Device) *shownDevice { return &shownDevice{d.ID, d.Name, d.Shared} }

// demoCodes are printed where the demonstration begins; they are no secret.
type demoCodes struct {
	Shared   string `json:"shared"`
	Personal string `json:"personal"`
}

// healthAnswer says how the server is. Where the log stands is told to enrolled devices alone.
type healthAnswer struct {
	OK        bool            `json:"ok"`
	Nonce     string          `json:"nonce"`
	Epoch     string          `json:"epoch,omitempty"`
	Seq       *edits.Seq      `json:"seq,omitempty"`
	Head      string          `json:"head,omitempty"`
	Core      string          `json:"core"`
	ReadOnly  bool            `json:"readonly"`
	Demo      bool            `json:"demo"`
	SetUp     bool            `json:"setup"`
	Device    *shownDevice    `json:"device"`
	Revoked   bool            `json:"revoked"`
	Forked    bool            `json:"forked"`
	Person    *cards.PersonID `json:"person"`
	DemoCodes *demoCodes      `json:"demo_codes,omitempty"`
	// Other ways to sign in than by PIN, where the server has them.
	Passkeys bool `json:"passkeys,omitempty"`
	SSO      bool `json:"sso,omitempty"`
}

// health answers with the caller's nonce: a network that answers everything with a page of its own cannot.
func (a *API) health(c *fiber.Ctx) error {
	answer := healthAnswer{OK: true, Nonce: strings.Clone(c.Query("nonce")), Core: a.Assets.Build, ReadOnly: a.Store.ReadOnly(), Demo: a.Demo,
		Passkeys: a.Passkeys != nil, SSO: a.SSO != nil}
	if len(answer.Nonce) > maxNonce {
		return badRequest("The nonce is longer than 100 bytes.")
	}
	info, err := a.Store.Info()
	if err != nil {
		return err
	}
	if answer.SetUp, err = a.needsSetUp(); err != nil {
		return err
	}
	if a.Demo {
		shared, personal := a.Doors.DemoCodes()
		answer.DemoCodes = &demoCodes{shared, personal}
	}
	known := callerOf(c)
	if known.device != nil {
		answer.Device, answer.Revoked, answer.Forked = shown(*known.device), known.device.Revoked != nil, known.device.Forked
		if known.device.Reads() {
			answer.Epoch, answer.Seq, answer.Head = info.Epoch, &info.Seq, info.Head
		}
	}
	if known.who != nil {
		answer.Person = &known.who.Person
	}
	return send(c, answer)
}

// ready answers whoever watches over the process, who reads nothing but the
// status: 503 while edits are not taken, whatever can still be read.
func (a *API) ready(c *fiber.Ctx) error {
	if a.Store.ReadOnly() {
		c.Status(fiber.StatusServiceUnavailable)
	}
	return a.health(c)
}
