package api

import (
	"context"
	"crypto/subtle"
	"errors"
	"log/slog"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/signin"
)

const (
	// signOnCookie ties the answer of the single sign-on to the browser that
	// asked. It alone is Lax: the browser comes back from another site.
	signOnCookie = "sideport-sign-on"
	signOnAge    = 10 * time.Minute
	// signOnWait bounds what one request may wait for the provider.
	signOnWait = 15 * time.Second
)

// How the page is told what came of it.
const (
	backSignedIn = "/person?came=signed-in"
	backLinked   = "/person?came=linked"
	backRefused  = "/person?came=not-signed-in"
	backUnlinked = "/person?came=not-linked"
	backAway     = "/person?came=not-reached"
)

func decodeSignOn(b []byte) (link bool, err error) {
	var r struct {
		Link bool `json:"link"`
	}
	err = decodeBody(b, &r)
	return r.Link, err
}

// signOnBegin answers with the address at the provider. With link it is to
// become the sign-on of the person who is signed in.
func (a *API) signOnBegin(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err := errors.Join(err, a.hasSignOn()); err != nil {
		return err
	}
	link, err := decodeSignOn(b)
	if err != nil {
		return err
	}
	known := callerOf(c)
	attempt := signin.Attempt{Device: string(known.device.ID)}
	if link {
		if known.who == nil {
			return &Error{Code: NotSignedIn, Text: "Sign in with the PIN first, then link the single sign-on."}
		}
		if err := a.Doors.MayIntroduce(*known.who); err != nil {
			return err
		}
		attempt.Person = string(known.who.Person)
	}
	ctx, cancel := context.WithTimeout(context.Background(), signOnWait)
	defer cancel()
	name, address, err := a.SSO.Begin(ctx, attempt)
	if err != nil {
		a.Log.Warn("single sign-on", slog.String("error", err.Error()))
		return &Error{Code: Unavailable, Text: "The hospital’s single sign-on did not answer. Sign in with the PIN."}
	}
	a.setSignOnCookie(c, name, signOnAge)
	return send(c, struct {
		Protocol int    `json:"protocol"`
		Address  string `json:"address"`
	}{protocol, address})
}

func (a *API) hasSignOn() error {
	if a.SSO == nil {
		return notFound("This unit has no single sign-on. See docs/operations.md.")
	}
	return nil
}

func (a *API) setSignOnCookie(c *fiber.Ctx, value string, age time.Duration) {
	cookie := &fiber.Cookie{Name: a.cookieName(signOnCookie), Value: value, Path: "/", MaxAge: int(age / time.Second),
		Secure: a.secure(), HTTPOnly: true, SameSite: fiber.CookieSameSiteLaxMode}
	if age <= 0 {
		cookie.Expires = time.Unix(1, 0) // the framework leaves a MaxAge of 0 out
	}
	c.Cookie(cookie)
}

// signOnReturn is where the provider sends the browser. It answers a person, so every outcome is a page.
func (a *API) signOnReturn(c *fiber.Ctx) error {
	if err := a.hasSignOn(); err != nil {
		return err
	}
	back := signin.Return{State: strings.Clone(c.Query("state")), Code: strings.Clone(c.Query("code")),
		Issuer: strings.Clone(c.Query("iss")), Error: strings.Clone(c.Query("error"))}
	began := a.cookie(c, signOnCookie)
	a.setSignOnCookie(c, "", 0)
	if began == "" || subtle.ConstantTimeCompare([]byte(began), []byte(back.State)) != 1 {
		return a.goTo(c, backRefused)
	}
	ctx, cancel := context.WithTimeout(context.Background(), signOnWait)
	defer cancel()
	attempt, identity, err := a.SSO.Finish(ctx, back)
	if errors.Is(err, signin.ErrUnreached) {
		a.Log.Warn("single sign-on", slog.String("error", err.Error()))
		return a.goTo(c, backAway)
	} else if errors.Is(err, signin.ErrNoAttempt) {
		return a.goTo(c, backRefused) // anybody can send such a return: it is nobody's, and is not written down
	} else if err != nil {
		return errors.Join(a.Doors.ProofRefused(edits.DeviceID(attempt.Device), cards.PersonID(attempt.Person), people.ByOIDC), a.goTo(c, backRefused))
	}
	return a.vouched(c, attempt, identity)
}

// vouched lets in whom the provider names, or links them.
func (a *API) vouched(c *fiber.Ctx, attempt signin.Attempt, identity signin.Identity) error {
	device, err := a.deviceOfAttempt(attempt)
	if errors.Is(err, people.ErrNoDevice) {
		return a.goTo(c, backRefused)
	} else if err != nil {
		return err
	}
	if attempt.Person != "" {
		who := people.Who{Person: cards.PersonID(attempt.Person), Device: device.ID}
		return a.goToUnlessRefused(c, backLinked, backUnlinked, a.Doors.LinkIdentity(who, identity.Issuer, identity.Subject))
	}
	person, known, err := a.Doors.Linked(identity.Issuer, identity.Subject)
	if err != nil {
		return err
	}
	if !known {
		return a.goTo(c, backUnlinked)
	}
	in, err := a.Doors.SignInBy(people.ByOIDC, device, person)
	if err == nil {
		a.setPersonCookie(c, in.Session, in.Until)
	}
	return a.goToUnlessRefused(c, backSignedIn, backRefused, err)
}

func (a *API) goToUnlessRefused(c *fiber.Ctx, done, refused string, err error) error {
	var refusal *people.Refusal
	switch {
	case errors.As(err, &refusal):
		return a.goTo(c, refused)
	case err != nil:
		return err
	}
	return a.goTo(c, done)
}

// goTo sends the browser to one of the addresses above; never to one that came in a request.
func (a *API) goTo(c *fiber.Ctx, path string) error {
	c.Set(fiber.HeaderCacheControl, "no-store")
	return c.Redirect(path, fiber.StatusSeeOther)
}

// signOnOpened gives the page what a sign-in by PIN answers, once the browser is back.
func (a *API) signOnOpened(c *fiber.Ctx) error {
	if err := a.readNothing(c); err != nil {
		return err
	}
	in, err := a.Doors.Opened(*callerOf(c).device, people.Credential(a.cookie(c, personCookie)))
	if err != nil {
		return err
	}
	return a.answerSignIn(c, in)
}
