package people

import (
	"encoding/base64"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// sessionLife is how long a sign-in lasts at most.
const sessionLife = 12 * time.Hour

// sessionRow is somebody signed in. Its key is the hash of the secret.
type sessionRow struct {
	Person cards.PersonID `json:"person"`
	Device edits.DeviceID `json:"device"`
	Since  time.Time      `json:"since"`
	Until  time.Time      `json:"until"`
	Way    Way            `json:"way"`
}

func notSignedIn() error { return refuse(NotSignedIn, "Nobody is signed in on this device. Sign in.") }

// begin signs a person in on a device. Whoever was signed in there is signed
// out: a device has one person at a time, and a session never takes over another's secret.
func (d *Doors) begin(tx Tx, way Way, device edits.DeviceID, p cards.Person) (SignedIn, error) {
	now := d.Now()
	gone := func(s sessionRow) bool { return s.Device == device || !s.Until.After(now) }
	if err := endSessions(tx, gone); err != nil {
		return SignedIn{}, err
	}
	key, err := d.secretOf(tx, device, p.ID)
	if err != nil {
		return SignedIn{}, err
	}
	secret := d.newSecret()
	row := sessionRow{Person: p.ID, Device: device, Since: now, Until: now.Add(sessionLife), Way: way}
	if err := tx.PutRow(tableSessions, hashSecret(secret), row); err != nil {
		return SignedIn{}, err
	}
	done := SignedIn{Person: p.ID, Name: p.Name, Roles: p.Roles, Secret: key, Until: row.Until, Session: Credential(secret)}
	return done, d.write(tx, Event{What: WasSignedIn, Who: p.ID, Device: device, Detail: string(way)})
}

// secretOf is the second key to a person's signing key on a device, made once.
func (d *Doors) secretOf(tx Tx, device edits.DeviceID, person cards.PersonID) ([]byte, error) {
	var kept string
	if ok, err := tx.Row(tableSecrets, triesKey(device, person), &kept); err != nil || ok {
		if err != nil {
			return nil, err
		}
		return base64.StdEncoding.DecodeString(kept)
	}
	secret := d.bytes(32)
	return secret, tx.PutRow(tableSecrets, triesKey(device, person), base64.StdEncoding.EncodeToString(secret))
}

// Session says who is signed in on a device, with the roles the person has at this moment.
func (d *Doors) Session(device Device, credential Credential) (Who, error) {
	if credential == "" || len(credential) > 100 || device.Revoked != nil {
		return Who{}, notSignedIn()
	}
	var who Who
	err := d.Store.View(func(tx Tx) error {
		var row sessionRow
		ok, err := tx.Row(tableSessions, hashSecret(string(credential)), &row)
		if err != nil {
			return err
		}
		now := d.Now()
		// A clock that was put back must not lengthen a session.
		if !ok || row.Device != device.ID || !now.Before(row.Until) || now.Before(row.Since.Add(-time.Minute)) {
			return notSignedIn()
		}
		p, err := standingPerson(tx, row.Person)
		who = Who{Person: row.Person, Name: p.Name, Roles: p.Roles, Device: device.ID, Until: row.Until}
		return err
	})
	if err != nil {
		return Who{}, err
	}
	return who, nil
}

// standingPerson is a person who is in the unit and not barred.
func standingPerson(tx Tx, id cards.PersonID) (cards.Person, error) {
	p, ok, err := personIn(tx, id)
	if err != nil || !ok {
		if err == nil {
			err = notSignedIn()
		}
		return cards.Person{}, err
	}
	account, err := accountIn(tx, id)
	if err == nil && account.Barred != nil {
		err = notSignedIn()
	}
	return p, err
}

// SignOut ends a session. One that is not there is no error.
func (d *Doors) SignOut(device Device, credential Credential) error {
	return d.Store.Update(func(tx Tx) error {
		key := hashSecret(string(credential))
		var row sessionRow
		ok, err := tx.Row(tableSessions, key, &row)
		if err != nil || !ok || row.Device != device.ID {
			return err
		}
		if err := tx.DeleteRow(tableSessions, key); err != nil {
			return err
		}
		return d.write(tx, Event{What: WasSignedOut, Who: row.Person, Device: device.ID})
	})
}

func endSessions(tx Tx, which func(sessionRow) bool) error {
	var keys []string
	err := tx.Rows(tableSessions, "", func(key string, read func(any) error) error {
		var row sessionRow
		err := read(&row)
		if err == nil && which(row) {
			keys = append(keys, key)
		}
		return err
	})
	for _, key := range keys {
		if err == nil {
			err = tx.DeleteRow(tableSessions, key)
		}
	}
	return err
}
