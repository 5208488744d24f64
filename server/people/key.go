package people

import (
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// keyRow is a public key of one person on one device. Its key is the name of the public key.
type keyRow struct {
	Person     cards.PersonID `json:"person"`
	Device     edits.DeviceID `json:"device"`
	Alg        string         `json:"alg"`
	Public     []byte         `json:"public"`
	Registered time.Time      `json:"registered"`
	Ended      *time.Time     `json:"ended,omitempty"` // what arrives signed by it later is set aside
}

// maxKeys of one person on one device: browsers lose keys, and each time another is made.
const maxKeys = 50

// RegisterKey keeps the public half of the key with which a person signs on a
// device. Keys stay for ever: what they signed is checked again by verifying.
func (d *Doors) RegisterKey(who Who, device Device, public []byte, alg string) (KeyID, error) {
	if err := usable(alg, public); err != nil {
		return "", refuse(BadRequest, "This is not a public key that edits can be checked with. Load the page again.")
	}
	if who.Device != device.ID {
		return "", notSignedIn()
	}
	id := NameKey(public)
	return id, d.Store.Update(func(tx Tx) error {
		if err := enrolled(tx, device.ID); err != nil {
			return err
		}
		var row keyRow
		ok, err := tx.Row(tableKeys, string(id), &row)
		switch {
		case err != nil:
			return err
		case ok && row.Ended != nil:
			return refuse(NotAllowed, "This key was taken away. Load the page again; it makes a fresh one.")
		case ok && row.Person == who.Person && row.Device == device.ID:
			return nil
		case ok:
			return refuse(NotAllowed, "This key belongs to another person or another device. Load the page again; it makes a fresh one.")
		}
		if err := roomForKey(tx, who.Person, device.ID); err != nil {
			return err
		}
		row = keyRow{Person: who.Person, Device: device.ID, Alg: alg, Public: public, Registered: d.Now()}
		if err := tx.PutRow(tableKeys, string(id), row); err != nil {
			return err
		}
		return d.write(tx, Event{What: KeyRegistered, Who: who.Person, Device: device.ID, About: string(id), Detail: alg})
	})
}

func roomForKey(tx Tx, person cards.PersonID, device edits.DeviceID) error {
	n := 0
	err := tx.Rows(tableKeys, "", func(_ string, read func(any) error) error {
		var row keyRow
		err := read(&row)
		if row.Person == person && row.Device == device {
			n++
		}
		return err
	})
	if err == nil && n >= maxKeys {
		err = refuse(NotAllowed, "This person has made fifty keys on this device. Something loses them: enrol the device again.")
	}
	return err
}

// endKeys has whatever a person's keys sign set aside from now on, on every device: somebody else may hold one.
func endKeys(tx Tx, person cards.PersonID, now time.Time) error {
	ended := map[string]keyRow{}
	err := tx.Rows(tableKeys, "", func(key string, read func(any) error) error {
		var row keyRow
		err := read(&row)
		if row.Person == person && row.Ended == nil {
			row.Ended = &now
			ended[key] = row
		}
		return err
	})
	for key, row := range ended {
		if err == nil {
			err = tx.PutRow(tableKeys, key, row)
		}
	}
	return err
}
