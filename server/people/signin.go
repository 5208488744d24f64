package people

import (
	"fmt"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// maxPIN bounds what is hashed, in bytes.
const maxPIN = 64

// SignIn signs a person in with a PIN. Somebody unknown, somebody without a
// PIN and a wrong PIN take the same time and give the same answer.
func (d *Doors) SignIn(device Device, person cards.PersonID, pin string) (SignedIn, error) {
	if len(pin) > maxPIN || len(person) > maxPIN {
		return SignedIn{}, refuse(BadRequest, "A PIN has six digits.")
	}
	if err := d.locked(device.ID, person); err != nil {
		return SignedIn{}, err
	}
	var done SignedIn
	err := d.hashing.through(func() error {
		charge, err := d.charge(device, person)
		if err != nil {
			return err
		}
		if charge.row.is(pin) && charge.known {
			done, err = d.settle(device, charge)
			return err
		}
		return d.wrong(device, charge)
	})
	return done, err
}

// locked answers, without writing anything, where nothing may be tried now.
func (d *Doors) locked(device edits.DeviceID, person cards.PersonID) error {
	return d.Store.View(func(tx Tx) error {
		counted, err := d.countedAs(tx, person)
		if err != nil {
			return err
		}
		return d.lockedIn(tx, device, counted)
	})
}

func (d *Doors) lockedIn(tx Tx, device edits.DeviceID, counted cards.PersonID) error {
	now := d.Now()
	t, err := triesIn(tx, device, counted, now)
	if err == nil && t.wait(now) > 0 {
		err = lockedFor(t.wait(now))
	}
	return err
}

func lockedFor(wait time.Duration) error {
	return &Refusal{Code: WrongPIN, Wait: wait, Text: "There were too many wrong PINs for this name. Wait " + waitWords(wait) + ", or ask a unit lead for a new PIN."}
}

func waitWords(wait time.Duration) string {
	minutes := int((wait + time.Minute - 1) / time.Minute)
	switch {
	case minutes == 1:
		return "1 minute"
	case minutes < 120:
		return fmt.Sprintf("%d minutes", minutes)
	}
	return fmt.Sprintf("%d hours", (minutes+59)/60)
}

// unknown is under whose name the tries for people who are not there are counted.
const unknown cards.PersonID = "-"

// countedAs is under whose name a try is counted: of names that are nobody's, no rows are made.
func (d *Doors) countedAs(tx Tx, person cards.PersonID) (cards.PersonID, error) {
	_, ok, err := personIn(tx, person)
	if err == nil && !ok {
		person = unknown
	}
	return person, err
}

// charge is a try that was counted and not yet looked at.
type charge struct {
	person cards.PersonID
	at     time.Time
	known  bool   // there is a PIN
	row    pinRow // to compare with
	after  tries
}

func (d *Doors) charge(device Device, person cards.PersonID) (charge, error) {
	c := charge{at: d.Now(), row: nobody}
	err := d.Store.Update(func(tx Tx) (err error) {
		if err := enrolled(tx, device.ID); err != nil {
			return err
		}
		if c.person, err = d.countedAs(tx, person); err != nil {
			return err
		}
		if err := d.lockedIn(tx, device.ID, c.person); err != nil {
			return err
		}
		account, err := accountIn(tx, c.person)
		if err != nil {
			return err
		}
		if account.PIN != nil {
			c.known, c.row = true, *account.PIN
		}
		t, err := triesIn(tx, device.ID, c.person, c.at)
		c.after = t.charged(c.at)
		if err != nil {
			return err
		}
		return c.after.put(tx, device.ID, c.person)
	})
	return c, err
}

// enrolled refuses a device that is not there, revoked or forked.
func enrolled(tx Tx, id edits.DeviceID) error {
	var row deviceRow
	ok, err := tx.Row(tableDevices, string(id), &row)
	switch {
	case err != nil:
		return err
	case !ok:
		return refuse(NotEnrolled, "This device is not enrolled in the unit. Ask a unit lead for a code.")
	case !row.Reads():
		return refuse(Revoked, "This device was taken off the unit’s list. Ask a unit lead for a code to enrol it again.")
	}
	return nil
}

// wrong answers a PIN that does not fit. The try was counted before.
func (d *Doors) wrong(device Device, c charge) error {
	err := d.Store.Update(func(tx Tx) error {
		about := ""
		if c.person != unknown {
			about = string(c.person)
		}
		if err := d.write(tx, Event{What: SignInRefused, Device: device.ID, About: about}); err != nil {
			return err
		}
		if wait := c.after.wait(c.at); wait > 0 {
			return d.write(tx, Event{What: LockedOut, Device: device.ID, About: about, Detail: "for " + waitWords(wait)})
		}
		return nil
	})
	if err != nil {
		return err
	}
	return &Refusal{Code: WrongPIN, Text: "The name and the PIN do not belong together.", Wait: c.after.wait(c.at), Left: c.after.left()}
}

// settle signs in whoever knew the PIN, unless something ended that meanwhile.
func (d *Doors) settle(device Device, c charge) (SignedIn, error) {
	var done SignedIn
	barred := false
	err := d.Store.Update(func(tx Tx) error {
		if err := enrolled(tx, device.ID); err != nil {
			return err
		}
		if err := refund(tx, device.ID, c.person, d.Now(), c.at); err != nil {
			return err
		}
		account, err := accountIn(tx, c.person)
		if err != nil {
			return err
		}
		if barred = account.Barred != nil; barred {
			return d.write(tx, Event{What: SignInRefused, Device: device.ID, About: string(c.person), Detail: "barred"})
		}
		if account.PIN == nil || string(account.PIN.Hash) != string(c.row.Hash) {
			return refuse(WrongPIN, "A new PIN was issued for this name a moment ago. Use that one.")
		}
		p, err := standingPerson(tx, c.person)
		if err != nil {
			return err
		}
		done, err = d.begin(tx, ByPIN, device.ID, p)
		return err
	})
	if err == nil && barred {
		err = isBarred()
	}
	return done, err
}

func isBarred() error {
	return refuse(NotAllowed, "This person may not sign in at present. Ask a unit lead.")
}

// SignInBy signs in a person whom the caller has recognised by a passkey or an outside provider.
func (d *Doors) SignInBy(way Way, device Device, person cards.PersonID) (SignedIn, error) {
	var done SignedIn
	err := d.Store.Update(func(tx Tx) error {
		if err := enrolled(tx, device.ID); err != nil {
			return err
		}
		account, err := accountIn(tx, person)
		if err != nil {
			return err
		}
		if account.Barred != nil {
			return isBarred()
		}
		p, err := standingPerson(tx, person)
		if err != nil {
			return err
		}
		done, err = d.begin(tx, way, device.ID, p)
		return err
	})
	return done, err
}
