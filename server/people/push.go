package people

import (
	"fmt"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// Push takes edits in their order, each in a transaction of its own. With an
// error come the receipts of those before it, which are kept. who is the
// person signed in on the device, or nil.
func (d *Doors) Push(device Device, who *Who, now time.Time, list []edits.Edit) ([]edits.Receipt, error) {
	receipts := make([]edits.Receipt, 0, len(list))
	for _, e := range list {
		receipt, err := d.take(device.ID, who, now, e)
		if err != nil {
			return receipts, fmt.Errorf("accept edit %s: %w", e.ID, err)
		}
		receipts = append(receipts, receipt)
	}
	return receipts, nil
}

func (d *Doors) take(device edits.DeviceID, who *Who, now time.Time, e edits.Edit) (receipt edits.Receipt, err error) {
	err = d.Store.Update(func(tx Tx) (err error) {
		a := arrival{doors: d, tx: tx, device: device, who: who, edit: e}
		receipt, err = edits.AcceptAs(tx, now, e, a.standing)
		return err
	})
	return receipt, err
}

// Signed reports whether anything in an edit claims that it is signed.
func Signed(e edits.Edit) bool {
	return e.Sig != "" || e.Key != "" || e.Chain != nil || e.Checked != "" || e.Was != nil
}

// TakeIn takes an edit out of a file that the operator of the server has. A
// signed one is asked the same as a pushed one. Of one that is not signed the
// operator says whose it is.
func TakeIn(v Vault, now time.Time, e edits.Edit) (receipt edits.Receipt, err error) {
	if !Signed(e) {
		err = v.Update(func(tx Tx) (err error) {
			receipt, err = edits.Accept(tx, now, e)
			return err
		})
		return receipt, err
	}
	d := &Doors{Config: Config{Store: v, Now: func() time.Time { return now }}}
	return d.take("", nil, now, e)
}

// arrival is one edit at the door.
type arrival struct {
	doors  *Doors
	tx     Tx
	device edits.DeviceID // that pushed it; "": the operator of the server, out of a file
	who    *Who
	edit   edits.Edit
}

// standing says whether the edit is its author's and the author may make it.
// The places in the chain and among what was offered anew are kept with it.
func (a arrival) standing() (edits.Standing, error) {
	s := edits.Standing{PushedBy: a.device}
	for _, ask := range []func() (string, error){a.devices, a.author, func() (string, error) { return a.proof(&s) }, a.again, a.role} {
		reason, err := ask()
		if err != nil {
			return s, err
		}
		if reason != "" {
			s.Refused = reason
			return s, nil
		}
	}
	if a.edit.Was != nil {
		return s, a.tx.PutRow(tableOffered, string(a.edit.Was.ID), a.edit.ID)
	}
	return s, nil
}

// devices asks after the device that sends the edit and the one it was made on.
func (a arrival) devices() (string, error) {
	for _, id := range []edits.DeviceID{a.device, a.edit.Device} {
		if id == "" {
			continue
		}
		var row deviceRow
		ok, err := a.tx.Row(tableDevices, string(id), &row)
		switch {
		case err != nil:
			return "", err
		case !ok:
			return "It was made on a device that is not enrolled in this unit. Make the change again on one that is.", nil
		case row.Revoked != nil && id == a.device:
			return "The device that sent it was taken off the unit’s list. Make the change again on another device.", nil
		case row.Revoked != nil:
			return "It was made on a device that was taken off the unit’s list. Make the change again on another device.", nil
		}
	}
	return "", nil
}

// nobodys reports whether the edit is one that needs no person: a record of a pause.
func (a arrival) nobodys() bool {
	return a.edit.Kind == Record && a.edit.Author == Theatre && a.edit.Sig == ""
}

// author asks after the person.
func (a arrival) author() (string, error) {
	if a.nobodys() {
		return "", nil
	}
	_, ok, err := personIn(a.tx, a.edit.Author)
	if err != nil {
		return "", err
	}
	if !ok {
		return "Its author, “" + short(a.edit.Author) + "”, is not one of the unit’s people. A unit lead can add them; then make the change again.", nil
	}
	row, err := accountIn(a.tx, a.edit.Author)
	if err == nil && row.Barred != nil {
		return "Its author, " + string(a.edit.Author) + ", may change nothing at present. A unit lead can read it here.", nil
	}
	return "", err
}

func short(id cards.PersonID) string {
	if len(id) > 40 {
		return string(id[:40])
	}
	return string(id)
}

// proof asks whether the edit is its author's.
func (a arrival) proof(s *edits.Standing) (string, error) {
	if a.edit.Sig == "" {
		return a.unsigned(s), nil
	}
	signed, reason, err := checkSignature(a.tx, a.edit)
	if err != nil || reason != "" {
		return reason, err
	}
	s.Checked = edits.ByServer
	if a.edit.Checked == here {
		s.Checked = edits.OnDevice
	}
	return "", a.doors.enchain(a.tx, a.edit, signed)
}

func (a arrival) unsigned(s *edits.Standing) string {
	e := a.edit
	switch {
	case Signed(e):
		return "It says who signed it and holds no signature. Make the change again."
	case e.Device != a.device:
		return "It is not signed and was made on another device than the one that sent it. Make the change again."
	case a.nobodys():
		s.Checked = edits.ByNobody
		return ""
	case a.who != nil && a.who.Person == e.Author && a.who.Device == a.device:
		s.Checked = edits.BySession
		return ""
	}
	return "It is not signed, and its author is not signed in on the device that sent it. Sign in and make the change again."
}

const notFitting = "Its signature does not fit it: it was changed after it was signed, or it is not its author’s. Make the change again."

// checkSignature returns the signed bytes of an edit whose signature fits a key of its author on its device, or says why not.
func checkSignature(tx Tx, e edits.Edit) (signed []byte, reason string, err error) {
	var key keyRow
	ok, err := tx.Row(tableKeys, e.Key, &key)
	switch {
	case err != nil:
		return nil, "", err
	case !ok:
		return nil, "It is signed with a key that this unit does not know. Sign in on the device and make the change again.", nil
	case key.Person != e.Author, key.Device != e.Device:
		return nil, "It is signed with a key that is not its author’s on this device. Make the change again.", nil
	}
	if signed, err = SignedBytes(e); err != nil || !fits(key.Alg, key.Public, signed, e.Sig) {
		return nil, notFitting, nil
	}
	return signed, "", nil
}

// again asks whether the same edit was taken under another id: each is taken once, whoever offers it how often.
func (a arrival) again() (string, error) {
	var as edits.EditID
	if was := a.edit.Was; was != nil {
		_, there, err := a.tx.Entry(was.ID)
		if err != nil {
			return "", err
		}
		offered, err := a.tx.Row(tableOffered, string(was.ID), &as)
		if err == nil && (there || offered) {
			return "It is offered anew, and the log has it already. Nothing is missing.", nil
		}
		return "", err
	}
	offered, err := a.tx.Row(tableOffered, string(a.edit.ID), &as)
	if err == nil && offered {
		return "It was offered anew after the server was restored, and was taken then. Nothing is missing.", nil
	}
	return "", err
}

// role asks whether the author may do it.
func (a arrival) role() (string, error) {
	if a.nobodys() {
		return "", nil
	}
	action, err := actionOf(a.tx, a.edit)
	if err != nil || action == "" {
		return "", err
	}
	p, _, err := personIn(a.tx, a.edit.Author)
	if err != nil || Allowed(p.Roles, action) {
		return "", err
	}
	return fmt.Sprintf(roleWords[action], p.Name), nil
}
