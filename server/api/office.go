package api

import (
	"encoding/base64"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
)

func base64url(b []byte) string { return base64.RawURLEncoding.EncodeToString(b) }

func (a *API) devicesRead(c *fiber.Ctx) error {
	devices, err := a.Doors.Devices()
	if err != nil {
		return err
	}
	return send(c, struct {
		Protocol int             `json:"protocol"`
		Devices  []people.Device `json:"devices"`
	}{protocol, orEmpty(devices)})
}

// orEmpty makes a list that is never null.
func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// codeMake makes a code that lets one device in.
func (a *API) codeMake(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	named, err := decodeNewCode(b)
	if err != nil {
		return err
	}
	code, err := a.Doors.NewCode(*callerOf(c).who, named.Name, named.Shared)
	if err != nil {
		return err
	}
	return send(c, struct {
		Protocol int       `json:"protocol"`
		Code     string    `json:"code"`
		Until    time.Time `json:"until"`
		Seconds  int       `json:"seconds"` // that it still holds: the device's clock may be wrong
	}{protocol, code.Text, code.Until, int(code.Until.Sub(a.Now()) / time.Second)})
}

// deviceRevoke ends a device at once, its live streams too.
func (a *API) deviceRevoke(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	reason, err := decodeReason(b)
	if err != nil {
		return err
	}
	known, id := callerOf(c), edits.DeviceID(strings.Clone(c.Params("id")))
	if id == known.device.ID {
		return badRequest("This is the device you are using. Revoke it from another one.")
	}
	if err := a.Doors.Revoke(*known.who, id, reason); err != nil {
		return err
	}
	a.hub.showOut(id)
	return send(c, done{protocol})
}

func (a *API) accountsRead(c *fiber.Ctx) error {
	accounts, err := a.Doors.Accounts()
	if err != nil {
		return err
	}
	return send(c, struct {
		Protocol int              `json:"protocol"`
		Accounts []people.Account `json:"accounts"`
	}{protocol, orEmpty(accounts)})
}

func personIn(c *fiber.Ctx) cards.PersonID { return cards.PersonID(strings.Clone(c.Params("person"))) }

// pinIssue gives a person another PIN, which is shown this once.
func (a *API) pinIssue(c *fiber.Ctx) error {
	if err := a.readNothing(c); err != nil {
		return err
	}
	pin, err := a.Doors.IssuePIN(*callerOf(c).who, personIn(c))
	if err != nil {
		return err
	}
	return send(c, struct {
		Protocol int    `json:"protocol"`
		PIN      string `json:"pin"`
	}{protocol, pin})
}

// personBar keeps a person out, or lets the person in again.
func (a *API) personBar(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	request, err := decodeBar(b)
	if err != nil {
		return err
	}
	if err := a.Doors.Bar(*callerOf(c).who, personIn(c), request.Barred, request.Reason); err != nil {
		return err
	}
	return send(c, done{protocol})
}
