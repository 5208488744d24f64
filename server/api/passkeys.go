package api

import (
	"encoding/json"
	"errors"
	"strings"

	"github.com/gofiber/fiber/v2"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/signin"
)

// ceremony is what a browser is to do with an authenticator.
type ceremony struct {
	Protocol int             `json:"protocol"`
	Attempt  string          `json:"attempt"`
	Ask      json.RawMessage `json:"ask"` // as WebAuthn Level 3, section 5.1.9 and 5.1.10, reads it
}

// performed is what came of it.
type performed struct {
	Attempt string          `json:"attempt"`
	Person  cards.PersonID  `json:"person,omitempty"`
	Answer  json.RawMessage `json:"answer"`
}

func decodePerformed(b []byte) (performed, error) {
	var r performed
	if err := decodeBody(b, &r); err != nil {
		return performed{}, err
	}
	err := all(oneLine("attempt", r.Attempt, maxName, true), oneLine("person", string(r.Person), maxName, false))
	if err == nil && len(r.Answer) == 0 {
		err = badRequest("The request holds no answer.")
	}
	return r, err
}

func decodeAsked(b []byte) (cards.PersonID, error) {
	var r struct {
		Person cards.PersonID `json:"person"`
	}
	if err := decodeBody(b, &r); err != nil {
		return "", err
	}
	return r.Person, oneLine("person", string(r.Person), maxName, true)
}

// passkeyBegin begins to introduce a passkey of the person who is signed in.
func (a *API) passkeyBegin(c *fiber.Ctx) error {
	if err := errors.Join(a.readNothing(c), a.hasPasskeys()); err != nil {
		return err
	}
	known := callerOf(c)
	if err := a.Doors.MayIntroduce(*known.who); err != nil {
		return err
	}
	user, err := a.passkeyUser(known.who.Person)
	if err != nil {
		return err
	}
	name, ask, err := a.Passkeys.BeginAdd(signin.Attempt{Device: string(known.device.ID), Person: string(known.who.Person)}, user)
	if err != nil {
		return err
	}
	return send(c, ceremony{protocol, name, ask})
}

// passkeyAdd keeps the passkey that passkeyBegin asked for.
func (a *API) passkeyAdd(c *fiber.Ctx) error {
	did, err := a.readPerformed(c)
	if err != nil {
		return err
	}
	known := callerOf(c)
	user, err := a.passkeyUser(known.who.Person)
	if err != nil {
		return err
	}
	attempt, key, err := a.Passkeys.FinishAdd(did.Attempt, user, did.Answer)
	if err == nil && attempt != (signin.Attempt{Device: string(known.device.ID), Person: string(known.who.Person)}) {
		err = signin.ErrNoAttempt
	}
	if err != nil {
		return passkeyWords(err)
	}
	if err := a.Doors.AddPasskey(*known.who, key.ID, key.Kept); err != nil {
		return err
	}
	return send(c, done{protocol})
}

// passkeyAsk begins to sign a person in.
func (a *API) passkeyAsk(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err := errors.Join(err, a.hasPasskeys()); err != nil {
		return err
	}
	person, err := decodeAsked(b)
	if err != nil {
		return err
	}
	user, err := a.passkeyUser(person)
	if err != nil {
		return err
	}
	name, ask, err := a.Passkeys.BeginSignIn(signin.Attempt{Device: string(callerOf(c).device.ID)}, user)
	if err != nil {
		return passkeyWords(err)
	}
	return send(c, ceremony{protocol, name, ask})
}

// passkeySignIn answers as a sign-in by PIN does.
func (a *API) passkeySignIn(c *fiber.Ctx) error {
	did, err := a.readPerformed(c)
	if err != nil {
		return err
	}
	device := *callerOf(c).device
	user, err := a.passkeyUser(did.Person)
	if err != nil {
		return err
	}
	attempt, key, err := a.Passkeys.FinishSignIn(did.Attempt, user, did.Answer)
	if err == nil && attempt != (signin.Attempt{Device: string(device.ID)}) {
		err = signin.ErrNoAttempt
	}
	if errors.Is(err, signin.ErrNoAttempt) {
		return passkeyWords(err)
	} else if err != nil {
		return errors.Join(a.Doors.ProofRefused(device.ID, did.Person, people.ByPasskey), passkeyWords(err))
	}
	if err := a.Doors.UsedPasskey(did.Person, key.ID, key.Kept); err != nil {
		return err
	}
	in, err := a.Doors.SignInBy(people.ByPasskey, device, did.Person)
	if err != nil {
		return err
	}
	return a.signedIn(c, in)
}

func (a *API) readPerformed(c *fiber.Ctx) (performed, error) {
	b, err := ownBody(c)
	if err := errors.Join(err, a.hasPasskeys()); err != nil {
		return performed{}, err
	}
	return decodePerformed(b)
}

func (a *API) hasPasskeys() error {
	if a.Passkeys == nil {
		return notFound("This server has no address by name, so it takes no passkeys. See docs/operations.md.")
	}
	return nil
}

func (a *API) passkeyUser(person cards.PersonID) (signin.PasskeyUser, error) {
	name, kept, err := a.Doors.Passkeys(person)
	return signin.PasskeyUser{Person: string(person), Name: name, Kept: kept}, err
}

// passkeyWords says a refusal in words that help nobody who guesses.
func passkeyWords(err error) error {
	switch {
	case errors.Is(err, signin.ErrNoAttempt):
		return &Error{Code: NotAllowed, Text: "This took too long or was begun elsewhere. Begin again."}
	case errors.Is(err, signin.ErrRefused):
		return &Error{Code: NotAllowed, Text: "The passkey was not taken. Try again, or sign in with the PIN."}
	}
	return err
}

// proofsTake takes a person's passkeys and single sign-on away.
func (a *API) proofsTake(c *fiber.Ctx) error {
	if err := a.readNothing(c); err != nil {
		return err
	}
	if err := a.Doors.TakeProofs(*callerOf(c).who, cards.PersonID(strings.Clone(c.Params("person")))); err != nil {
		return err
	}
	return send(c, done{protocol})
}

// deviceOfAttempt is the device that began a sign-in which comes back without its cookie.
func (a *API) deviceOfAttempt(attempt signin.Attempt) (people.Device, error) {
	device, err := a.Doors.DeviceByID(edits.DeviceID(attempt.Device))
	if err == nil && !device.Reads() {
		err = people.ErrNoDevice
	}
	return device, err
}
