package api

import (
	"crypto/subtle"
	"errors"
	"log/slog"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"
	"github.com/valyala/fasthttp"

	"sideport/server/people"
)

// caller is who asks, as far as the guard has found out.
type caller struct {
	device *people.Device
	who    *people.Who
	// operator can read the data directory of this machine.
	operator bool
}

const callerKey = "caller"

func callerOf(c *fiber.Ctx) caller {
	known, _ := c.Locals(callerKey).(caller)
	return known
}

// guard lets a request through to its handler, or says why not. It is the one
// place where the rule of a route is enforced.
func (a *API) guard(c *fiber.Ctx, r route) error {
	known, err := a.identify(c)
	if err != nil && r.who != mayAnyone { // damaged data must not hide how the server is
		return err
	}
	c.Locals(callerKey, known)
	if err := a.hurried(c, r, known); err != nil {
		return err
	}
	if len(c.Request().Body()) > r.body {
		return tooLarge(r.body)
	}
	if !r.beforeSetUp && !known.operator {
		if err := a.isSetUp(); err != nil {
			return err
		}
	}
	if err := permitted(r.who, known); err != nil {
		return err
	}
	a.met(c, known)
	return nil
}

// hurried counts the request: for the device where there is one, because a
// whole unit may stand behind one address, and for the address otherwise.
// Guessing a code counts for the address, whichever device does it.
func (a *API) hurried(c *fiber.Ctx, r route, known caller) error {
	if a.rates == nil {
		return nil
	}
	of := "address " + groupOf(a.from(c))
	if known.device != nil && r.rate != rateKnock {
		of = "device " + string(known.device.ID)
	}
	class := r.rate
	if class == ratePush && known.device != nil && !known.device.Reads() {
		class = rateLate
	}
	if wait := a.rates.take(class, of); wait > 0 {
		return busy("Too many requests at once. It is tried again by itself.", wait)
	}
	return nil
}

func (a *API) deviceOf(credential string) (people.Device, error) {
	if credential == "" {
		return people.Device{}, people.ErrNoDevice
	}
	return a.Doors.Device(people.Credential(credential))
}

// identify finds the device and the person of the cookies. A cookie that is
// nobody's is no error here: the rule of the route decides.
func (a *API) identify(c *fiber.Ctx) (caller, error) {
	var known caller
	known.operator = a.isOperator(c)
	device, err := a.deviceOf(a.cookie(c, deviceCookie))
	if errors.Is(err, people.ErrNoDevice) {
		return known, nil
	} else if err != nil {
		return known, err
	}
	known.device = &device
	session := a.cookie(c, personCookie)
	if session == "" || !device.Reads() {
		return known, nil
	}
	who, err := a.Doors.Session(device, people.Credential(session))
	var refusal *people.Refusal
	if errors.As(err, &refusal) {
		return known, nil
	} else if err != nil {
		return known, err
	}
	known.who = &who
	return known, nil
}

// permitted is the meaning of each rule.
func permitted(rule may, known caller) error {
	if rule == mayAnyone || rule == mayOperator && known.operator {
		return nil
	}
	switch {
	case known.device == nil:
		return &Error{Code: NotEnrolled, Text: "This device is not enrolled. The unit lead makes a code for it."}
	case rule == mayRevoked:
		return nil
	case known.device.Revoked != nil:
		return &Error{Code: Revoked, Text: "This device was revoked. What waits on it can still be sent; ask the unit lead."}
	case known.device.Forked:
		return &Error{Code: Revoked, Text: "Two devices work under the name of this one, as after a copy. What waits on it can still be sent; ask the unit lead to enrol it again."}
	case rule == mayDevice:
		return nil
	case known.who == nil:
		return &Error{Code: NotSignedIn, Text: "Nobody is signed in on this device."}
	case rule == maySession:
		return nil
	case known.who.Lead():
		return nil
	}
	return &Error{Code: NotAllowed, Text: "The unit lead alone may do this."}
}

// met notes that a device was here and gives it its cookie again every week.
func (a *API) met(c *fiber.Ctx, known caller) {
	if known.device == nil || !known.device.Reads() {
		return
	}
	if err := a.Doors.Seen(known.device.ID, buildIn(c)); err != nil {
		a.Log.Warn("cannot note that a device was here", slog.String("error", err.Error()))
	}
	if a.renewals.due(string(known.device.ID), a.Now()) {
		a.setDeviceCookie(c, known.device.ID, people.Credential(a.cookie(c, deviceCookie)))
	}
}

// buildIn is the build of the page that asks, as it says itself.
func buildIn(c *fiber.Ctx) string {
	build := c.Get("Sideport-Build")
	if len(build) > 64 || !plainText(build) {
		return ""
	}
	return string([]byte(build))
}

func plainText(s string) bool {
	return !slices.ContainsFunc([]byte(s), func(b byte) bool { return b <= ' ' || b > '~' })
}

// isSetUp refuses everything until the unit has its first lead.
func (a *API) isSetUp() error {
	needed, err := a.needsSetUp()
	if err != nil {
		return err
	}
	if needed {
		return &Error{Code: NeedsSetUp, Text: "This unit is not set up yet. Open the page and type the set-up code that the server has printed."}
	}
	return nil
}

// needsSetUp: data that are read alone cannot be set up, and nobody can say what they lack.
func (a *API) needsSetUp() (bool, error) {
	if a.Store.ReadOnly() {
		return false, nil
	}
	return a.Doors.NeedsSetUp()
}

// operatorHeader carries what stands in a file of the data directory: who can
// read that file can read the data as well.
const operatorHeader = "Sideport-Operator"

func (a *API) isOperator(c *fiber.Ctx) bool {
	said := c.Get(operatorHeader)
	return a.Operator != "" && a.local(c) && subtle.ConstantTimeCompare([]byte(said), []byte(a.Operator)) == 1
}

// beforeBody bounds a request by its header alone, before the body is read:
// what a stranger sends must not fill the memory. An enrolled device is read
// to its end beyond the limit of the route: one that is cut off never sees why.
func (a *API) beforeBody(h *fasthttp.RequestHeader) fasthttp.RequestConfig {
	most := smallBody
	path, _, _ := strings.Cut(string(h.RequestURI()), "?")
	r, ok := routeOf(string(h.Method()), path)
	if ok && r.body > smallBody {
		credential := cookieIn(string(h.Peek(fiber.HeaderCookie)), a.cookieName(deviceCookie))
		if _, err := a.deviceOf(credential); err == nil {
			most = maxRead
		}
	}
	return fasthttp.RequestConfig{MaxRequestBodySize: most, ReadTimeout: readTimeout}
}
