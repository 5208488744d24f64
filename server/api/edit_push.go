package api

import (
	"fmt"

	"github.com/gofiber/fiber/v2"

	"sideport/server/edits"
)

// push is the request of a device with edits that wait on it.
type push struct {
	Protocol int            `json:"protocol"`
	Epoch    string         `json:"epoch,omitempty"` // whose revisions the parents are; a device that has read nothing leaves it out
	Device   edits.DeviceID `json:"device"`
	Edits    []edits.Edit   `json:"edits"`
}

type pushed struct {
	Protocol int             `json:"protocol"`
	Epoch    string          `json:"epoch"`
	Seq      edits.Seq       `json:"seq"`
	Receipts []edits.Receipt `json:"receipts"`
}

// decodePush reads a push and refuses it as a whole when any edit in it could not be given a receipt.
func decodePush(b []byte) (push, error) {
	var p push
	if err := decodeBody(b, &p); err != nil {
		return push{}, err
	}
	switch {
	case p.Protocol != protocol:
		return push{}, badRequest(fmt.Sprintf("The request speaks protocol %d and this server %d. Load the page again.", p.Protocol, protocol))
	case !edits.IsHex32(string(p.Device)):
		return push{}, badRequest("The request names no device of 32 hex digits.")
	case len(p.Edits) == 0:
		return push{}, badRequest("The request holds no edits.")
	case len(p.Edits) > maxEdits:
		return push{}, badRequest(fmt.Sprintf("The request holds %d edits; send at most %d at a time.", len(p.Edits), maxEdits))
	}
	for _, e := range p.Edits {
		if err := e.Malformed(); err != nil {
			return push{}, badRequest("Nothing was taken: " + err.Error() + ".")
		}
		// What the program itself writes needs no owner, so nobody else may pass for it.
		if e.Device == edits.ServerDevice {
			return push{}, badRequest(fmt.Sprintf("Nothing was taken: edit %s has the device of the server itself.", e.ID))
		}
	}
	return p, nil
}

// editPush takes edits in their order, each in a transaction of its own, also
// those of a device that may not read any more. When one fails, those before
// it are kept and the device sends all of them again.
func (a *API) editPush(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	p, err := decodePush(b)
	if err != nil {
		return err
	}
	if err := a.sameEpoch(p.Epoch); err != nil {
		return err
	}
	known := callerOf(c)
	if p.Device != known.device.ID {
		return badRequest("The request names another device than the one that is enrolled here. Nothing was taken.")
	}
	if n := nobodys(p.Edits); n > 0 && a.rates != nil {
		if wait := a.rates.takeAll(rateRecord, "device "+string(p.Device), float64(n)); wait > 0 {
			return busy("Too many records at once from this device. They are sent again by themselves.", wait)
		}
	}
	receipts, err := a.Doors.Push(*known.device, known.who, a.Now(), p.Edits)
	for _, r := range receipts {
		a.hub.tell(r.Seq)
	}
	if err != nil {
		return fmt.Errorf("take edits of device %s: %w", p.Device, err)
	}
	info, err := a.Store.Info()
	if err != nil {
		return err
	}
	return send(c, pushed{Protocol: protocol, Epoch: info.Epoch, Seq: info.Seq, Receipts: receipts})
}

// nobodys counts the records that nobody signed: nothing but the device vouches for them.
func nobodys(list []edits.Edit) int {
	n := 0
	for _, e := range list {
		if e.Author == edits.Theatre && e.Sig == "" {
			n++
		}
	}
	return n
}

// sameEpoch refuses a push whose parents are revisions of another epoch: after
// a restore the same number may be a revision that the author never saw. The
// epoch of a running server does not change.
func (a *API) sameEpoch(epoch string) error {
	if epoch == "" {
		return nil
	}
	info, err := a.Store.Info()
	if err != nil {
		return err
	}
	if epoch != info.Epoch {
		return &Error{Code: OtherEpoch, Text: "The server was restored from an older copy. Nothing was taken. The device reads everything again and then sends what the server lacks."}
	}
	return nil
}
