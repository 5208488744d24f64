package api

import (
	"github.com/gofiber/fiber/v2"

	"sideport/cards"
	"sideport/server/people"
)

func (a *API) fromOf(c *fiber.Ctx) people.From { return people.From{Addr: a.from(c).String()} }

// setUp makes the first unit lead and enrols the device it is done on.
func (a *API) setUp(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	request, err := decodeSetUp(b)
	if err != nil {
		return err
	}
	done, err := a.Doors.SetUp(a.fromOf(c), request)
	if err != nil {
		return err
	}
	a.tellNewest()
	a.setDeviceCookie(c, done.Device.ID, done.DeviceCredential)
	a.setPersonCookie(c, done.Session, done.Until)
	return send(c, struct {
		Protocol int            `json:"protocol"`
		Device   *shownDevice   `json:"device"`
		Person   cards.PersonID `json:"person"`
		PIN      string         `json:"pin"`
	}{protocol, shown(done.Device), done.Person, done.PIN})
}

// tellNewest tells the live streams of what the doors wrote into the log themselves.
func (a *API) tellNewest() {
	if info, err := a.Store.Info(); err == nil { // where it fails, the next reader is told so
		a.hub.tell(info.Seq)
	}
}

// enrol lets a device in that shows a code. Whoever was signed in on this
// browser before is not any more: the device is another one now.
func (a *API) enrol(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	code, err := decodeEnrol(b)
	if err != nil {
		return err
	}
	device, credential, err := a.Doors.Enrol(a.fromOf(c), code)
	if err != nil {
		return err
	}
	a.setDeviceCookie(c, device.ID, credential)
	a.dropPersonCookie(c)
	return send(c, struct {
		Protocol int          `json:"protocol"`
		Device   *shownDevice `json:"device"`
	}{protocol, shown(device)})
}
