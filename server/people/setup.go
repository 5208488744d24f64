package people

import (
	"encoding/hex"
	"slices"
	"strconv"
	"strings"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// NeedsSetUp reports whether no unit lead can sign in, and one could be made.
func (d *Doors) NeedsSetUp() (bool, error) {
	if d.Demo || d.Store.ReadOnly() {
		return false, nil
	}
	found := false
	err := d.Store.View(func(tx Tx) (err error) {
		found, err = aLeadSignsIn(tx, "")
		return err
	})
	return !found && err == nil, err
}

// SetUpCode is the one-time code that the program prints when it starts without a unit lead, else "".
func (d *Doors) SetUpCode() string {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.setUpCode
}

// SetUp makes the first unit lead, with a device and a PIN, all of it or nothing.
func (d *Doors) SetUp(from From, s SetUp) (SetUpDone, error) {
	if !sameCode(s.Code, d.SetUpCode()) {
		d.Log.Warn("the unit was not set up: the code is not the printed one", "address", from.Addr)
		return SetUpDone{}, refuse(WrongCode, "This is not the code that the server printed when it started. Read it again, or start the server again for another.")
	}
	name, err := deviceName(s.Device.Name)
	if err != nil {
		return SetUpDone{}, err
	}
	s.Device.Name = name
	var done SetUpDone
	err = d.hashing.through(func() error {
		done.PIN = d.drawPIN()
		row := d.hashPIN(done.PIN, "")
		return d.Store.Update(func(tx Tx) error { return d.setUp(tx, s, row, &done) })
	})
	if err != nil {
		return SetUpDone{}, err
	}
	d.mu.Lock()
	d.setUpCode = ""
	d.mu.Unlock()
	return done, nil
}

func (d *Doors) setUp(tx Tx, s SetUp, pin pinRow, done *SetUpDone) error {
	if there, err := aLeadSignsIn(tx, ""); err != nil || there {
		if err == nil {
			err = refuse(NotAllowed, "The unit has a unit lead already. Ask them for a code.")
		}
		return err
	}
	lead, err := d.firstLead(tx, s)
	if err != nil {
		return err
	}
	device, credential, err := d.admit(tx, s.Device, lead.ID)
	if err != nil {
		return err
	}
	by := Who{Person: lead.ID, Device: device.ID}
	if err := d.write(tx, Event{What: UnitSetUp, Who: lead.ID, Device: device.ID}); err != nil {
		return err
	}
	account, err := accountIn(tx, lead.ID)
	if err != nil {
		return err
	}
	account.Barred = nil // the printed code outranks it: nobody else could lift it
	if err := d.give(tx, pin, by, lead.ID, account); err != nil {
		return err
	}
	in, err := d.begin(tx, ByPIN, device.ID, lead)
	done.Person, done.Device, done.DeviceCredential, done.Session, done.Until = lead.ID, device, credential, in.Session, in.Until
	return err
}

// firstLead writes the documents of the unit and of its first lead.
func (d *Doors) firstLead(tx Tx, s SetUp) (cards.Person, error) {
	lead, err := personNamed(tx, strings.TrimSpace(s.Name))
	if err != nil {
		return lead, err
	}
	if !slices.Contains(lead.Roles, cards.PersonUnitLead) {
		lead.Roles = append(lead.Roles, cards.PersonUnitLead)
	}
	if err := d.putDoc(tx, edits.Person, string(lead.ID), lead.ID, lead); err != nil {
		return lead, err
	}
	return lead, d.putDoc(tx, edits.Unit, edits.TheUnit, lead.ID, cards.EyeUnit{Name: strings.TrimSpace(s.Unit)})
}

// personNamed finds somebody who is in the unit already under this name, or makes a fresh id for them.
func personNamed(tx Tx, name string) (cards.Person, error) {
	id := string(cards.Slug(name))
	if id == "" {
		id = "lead"
	}
	for n := 1; ; n++ {
		try := id
		if n > 1 {
			try += "-" + strconv.Itoa(n)
		}
		p, ok, err := personIn(tx, cards.PersonID(try))
		if err != nil || ok && p.Name == name {
			return p, err
		}
		if !ok {
			return cards.Person{ID: cards.PersonID(try), Name: name}, nil
		}
	}
}

// putDoc writes a document as the program itself does.
func (d *Doors) putDoc(tx Tx, kind edits.Kind, id string, author cards.PersonID, v any) error {
	body, err := edits.Encode(v)
	if err != nil {
		return err
	}
	present, ok, err := tx.Document(kind, id)
	if err != nil || ok && string(present.Body) == string(body) {
		return err
	}
	receipt, err := edits.Accept(tx, d.Now(), edits.Edit{ID: edits.EditID(hex.EncodeToString(d.bytes(16))), Kind: kind, Doc: id, Parent: present.Rev,
		Author: author, Device: edits.ServerDevice, Made: d.Now().UTC().Format(time.RFC3339), Reason: "set-up of the unit", Body: body})
	if err == nil && receipt.Outcome == edits.SetAside {
		err = refuse(BadRequest, firstWords(receipt))
	}
	return err
}

// firstWords is the first thing wrong with a document.
func firstWords(r edits.Receipt) string {
	if len(r.Problems) > 0 {
		return r.Problems[0].Text
	}
	return r.Reason
}
