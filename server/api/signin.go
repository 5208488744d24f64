package api

import (
	"time"

	"github.com/gofiber/fiber/v2"

	"sideport/cards"
	"sideport/server/people"
)

// signIn checks a PIN. The session is always a new one, whatever the browser held before.
func (a *API) signIn(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	request, err := decodeSignIn(b)
	if err != nil {
		return err
	}
	in, err := a.Doors.SignIn(*callerOf(c).device, request.Person, request.PIN)
	if err != nil {
		return err
	}
	return a.signedIn(c, in)
}

// signedIn answers whoever has shown who they are, however that was.
func (a *API) signedIn(c *fiber.Ctx, in people.SignedIn) error {
	if known := callerOf(c); known.who != nil { // the session before this one ends
		if err := a.Doors.SignOut(*known.device, people.Credential(a.cookie(c, personCookie))); err != nil {
			return err
		}
	}
	a.setPersonCookie(c, in.Session, in.Until)
	return a.answerSignIn(c, in)
}

func (a *API) answerSignIn(c *fiber.Ctx, in people.SignedIn) error {
	return send(c, struct {
		Protocol int                `json:"protocol"`
		Person   cards.PersonID     `json:"person"`
		Name     string             `json:"name"`
		Roles    []cards.PersonRole `json:"roles"`
		Secret   string             `json:"secret"`
		Until    time.Time          `json:"until"`
	}{protocol, in.Person, in.Name, in.Roles, base64url(in.Secret), in.Until})
}

// done is the answer of calls that have nothing to tell.
type done struct {
	Protocol int `json:"protocol"`
}

func (a *API) signOut(c *fiber.Ctx) error {
	if err := a.readNothing(c); err != nil {
		return err
	}
	if err := a.Doors.SignOut(*callerOf(c).device, people.Credential(a.cookie(c, personCookie))); err != nil {
		return err
	}
	a.dropPersonCookie(c)
	return send(c, done{protocol})
}

func (a *API) readNothing(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	return decodeNothing(b)
}

// me answers with who is signed in on this device.
func (a *API) me(c *fiber.Ctx) error {
	known := callerOf(c)
	answer := struct {
		Protocol int                `json:"protocol"`
		Device   *shownDevice       `json:"device"`
		Person   *cards.PersonID    `json:"person"`
		Roles    []cards.PersonRole `json:"roles"`
		Until    *time.Time         `json:"until"`
	}{Protocol: protocol, Device: shown(*known.device), Roles: []cards.PersonRole{}}
	if known.who != nil {
		answer.Person, answer.Roles, answer.Until = &known.who.Person, known.who.Roles, &known.who.Until
	}
	return send(c, answer)
}

// keyRegister keeps the public half of the key with which this person signs on this device.
func (a *API) keyRegister(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	key, err := decodeKey(b)
	if err != nil {
		return err
	}
	known := callerOf(c)
	id, err := a.Doors.RegisterKey(*known.who, *known.device, key.bytes, key.alg)
	if err != nil {
		return err
	}
	return send(c, struct {
		Protocol int          `json:"protocol"`
		Key      people.KeyID `json:"key"`
	}{protocol, id})
}
