package people

import (
	"encoding/json"
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
		signed, err := SignedBytes(a.edit)
		if err != nil {
			return s, err
		}
		return s, a.tx.PutRow(tableOffered, hashed(string(signed)), a.edit.ID)
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
	return a.edit.Kind == edits.Record && a.edit.Author == edits.Theatre && a.edit.Sig == ""
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
	var key keyRow
	if _, err := a.tx.Row(tableKeys, a.edit.Key, &key); err != nil || key.Ended != nil {
		return "It is signed with a key that a unit lead took away. Sign in and make the change again.", err
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

// again asks whether the same edit was taken under another id: each is taken
// once, whoever offers it how often. It is the same by what was signed: an id
// alone anybody can put on an edit of their own.
func (a arrival) again() (string, error) {
	if a.edit.Sig == "" {
		return "", nil
	}
	signed, err := SignedBytes(a.edit)
	if err != nil {
		return "", err
	}
	mark := hashed(string(signed))
	var as edits.EditID
	offered, err := a.tx.Row(tableOffered, mark, &as)
	switch was := a.edit.Was; {
	case err != nil:
		return "", err
	case was == nil && offered:
		return "It was offered anew after the server was restored, and was taken then. Nothing is missing.", nil
	case was == nil:
		return "", nil
	case offered:
		return itIsThere, nil
	}
	there, ok, err := a.tx.Entry(a.edit.Was.ID)
	if err != nil {
		return "", err
	}
	if ok && there.Edit.Sig != "" {
		if first, err := SignedBytes(there.Edit); err == nil && hashed(string(first)) == mark {
			return itIsThere, nil
		}
	}
	return a.moved()
}

const itIsThere = "It is offered anew, and the log has it already. Nothing is missing."

const otherwise = "It is offered anew as something else than its author meant: from a newer revision, after another edit, or as the answer to another proposal. Make the change again."

// moved asks whether what the signature of an edit offered anew does not cover
// says the same: a restore takes revisions away and gives edits other ids, and nothing else.
func (a arrival) moved() (string, error) {
	e, was := a.edit, a.edit.Was
	if e.Parent > was.Parent {
		return otherwise, nil
	}
	for i, id := range e.Takes {
		if same, err := a.renamed(id, was.Takes[i]); err != nil || !same {
			return otherwise, err
		}
	}
	for i, d := range e.Declines {
		if same, err := a.renamed(d.Proposal, was.Declines[i]); err != nil || !same {
			return otherwise, err
		}
	}
	if e.After == was.After {
		return "", nil
	}
	if was.After != "" {
		if same, err := a.renamed(e.After, was.After); err != nil || !same {
			return otherwise, err
		}
		return "", nil
	}
	before, ok, err := a.tx.Entry(e.After)
	if err != nil || ok && (before.Edit.Device != e.Device || before.Edit.Chain == nil || before.Edit.Chain.N >= e.Chain.N) {
		return otherwise, err
	}
	return "", nil
}

// renamed reports whether an id is the one that was signed, or what that edit was offered anew as. One the log lacks changes nothing.
func (a arrival) renamed(now, then edits.EditID) (bool, error) {
	if now == then {
		return true, nil
	}
	entry, ok, err := a.tx.Entry(now)
	return !ok || entry.Edit.Was != nil && entry.Edit.Was.ID == then, err
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
	if err != nil {
		return "", err
	}
	if Allowed(p.Roles, action) {
		return a.leadless(action)
	}
	return fmt.Sprintf(roleWords[action], p.Name), nil
}

// leadless refuses to take the role from the last unit lead who can sign in: the unit would be shut until the program is started again.
func (a arrival) leadless(action Action) (string, error) {
	id := cards.PersonID(a.edit.Doc)
	before, ok, err := personIn(a.tx, id)
	var after cards.Person
	if err != nil || action != EditWho || !ok || !Allowed(before.Roles, Office) || json.Unmarshal(a.edit.Body, &after) != nil || Allowed(after.Roles, Office) {
		return "", err
	}
	if others, err := aLeadSignsIn(a.tx, id); err != nil || others {
		return "", err
	}
	return "Nobody else could keep the unit’s people and devices then. Make another person a unit lead with a PIN first.", nil
}
