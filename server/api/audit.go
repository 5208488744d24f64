package api

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
)

const (
	usualEvents = 100
	mostEvents  = 500
)

// auditRead lists what happened at the doors, newest first.
func (a *API) auditRead(c *fiber.Ctx) error {
	asked, err := eventsAsked(c)
	if err != nil {
		return err
	}
	events, more, err := a.Doors.Events(asked)
	if err != nil {
		return err
	}
	heads, err := a.Doors.Heads()
	if err != nil {
		return err
	}
	return send(c, struct {
		Protocol int            `json:"protocol"`
		Events   []people.Event `json:"events"`
		More     bool           `json:"more"`
		Heads    people.Heads   `json:"heads"`
	}{protocol, orEmpty(events), more, heads})
}

func eventsAsked(c *fiber.Ctx) (people.EventsAsked, error) {
	asked := people.EventsAsked{Person: cards.PersonID(strings.Clone(c.Query("person"))), Device: edits.DeviceID(strings.Clone(c.Query("device")))}
	before, err := strconv.ParseUint(c.Query("before", "0"), 10, 53)
	if err != nil {
		return asked, badRequest(fmt.Sprintf("before is %q and should be a whole number.", c.Query("before")))
	}
	limit, err := strconv.Atoi(c.Query("limit", strconv.Itoa(usualEvents)))
	if err != nil || limit < 1 || limit > mostEvents {
		return asked, badRequest(fmt.Sprintf("limit is %q and should be a whole number from 1 to %d.", c.Query("limit"), mostEvents))
	}
	asked.Before, asked.Limit = before, limit
	return asked, nil
}

// auditExport writes everything that happened into one file with both chains.
// It is built whole before the first byte leaves, and one at a time: a slow
// reader must not hold the database open.
func (a *API) auditExport(c *fiber.Ctx) error {
	if !a.exporting.TryLock() {
		return busy("Somebody else is exporting at this moment. Try again when it is done.", retrySoon)
	}
	defer a.exporting.Unlock()
	var out bytes.Buffer
	if err := a.Doors.ExportNDJSON(&out); err != nil {
		return err
	}
	if err := a.note(c, people.AuditExported, ""); err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, "application/x-ndjson; charset=utf-8")
	c.Set(fiber.HeaderContentDisposition, `attachment; filename="sideport-audit-`+a.Now().Format("2006-01-02")+`.ndjson"`)
	c.Set(fiber.HeaderCacheControl, "no-store")
	return c.Send(out.Bytes())
}

// note writes down what the caller did.
func (a *API) note(c *fiber.Ctx, what people.What, about string) error {
	e := people.Event{What: what, About: about}
	if known := callerOf(c); known.who != nil {
		e.Who, e.Device = known.who.Person, known.device.ID
	}
	return a.Doors.Note(e)
}
