package people

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// What somebody else vouches for (package signin), and whose it is here. A
// person introduces it while signed in with the PIN of the unit, so nobody can
// take another's name by a name or a mail address that looks alike.

// PasskeyRow is a passkey of a person.
type PasskeyRow struct {
	ID    []byte          `json:"id"`
	Kept  json.RawMessage `json:"kept"` // as package signin made it
	Added time.Time       `json:"added"`
}

// Link is a person at the hospital's single sign-on. The pair is the name; nothing else of it is kept.
type Link struct {
	Issuer  string    `json:"issuer"`
	Subject string    `json:"subject"`
	Linked  time.Time `json:"linked"`
}

// mostPasskeys bounds what one account can hold; a person has few telephones.
const mostPasskeys = 10

// Passkeys returns the name of a person and the passkeys they have introduced; none for somebody unknown or barred.
func (d *Doors) Passkeys(person cards.PersonID) (name string, kept []json.RawMessage, err error) {
	err = d.Store.View(func(tx Tx) error {
		p, err := standingPerson(tx, person)
		if err != nil {
			return err
		}
		account, err := accountIn(tx, person)
		for _, k := range account.Passkeys {
			kept = append(kept, k.Kept)
		}
		name = p.Name
		return err
	})
	if refused := (*Refusal)(nil); errors.As(err, &refused) {
		return "", nil, nil
	}
	return name, kept, err
}

// proves is how long a sign-in proves who holds the device.
const proves = 5 * time.Minute

// MayIntroduce refuses where the sign-in does not prove who holds the device: whoever finds one that somebody left signed in
// must not make a way in of their own, which would outlast the find. A sign-in at the provider proves it neither: a browser
// that was there before may come back without having asked anybody.
func (d *Doors) MayIntroduce(who Who) error {
	return d.Store.View(func(tx Tx) error { return d.proven(tx, who) })
}

func (d *Doors) proven(tx Tx, who Who) error {
	var in *sessionRow
	err := tx.Rows(tableSessions, "", func(_ string, read func(any) error) error {
		var row sessionRow
		err := read(&row)
		if row.Person == who.Person && row.Device == who.Device && d.Now().Before(row.Until) {
			in = &row
		}
		return err
	})
	switch {
	case err != nil:
		return err
	case in == nil:
		return notSignedIn()
	case in.Way == ByOIDC || d.Now().Sub(in.Since) > proves:
		return refuse(SignInAgain, "This needs a sign-in of the last five minutes, by PIN or passkey. Sign in once more, then go on.")
	}
	return nil
}

// AddPasskey keeps a passkey of the person who is signed in.
func (d *Doors) AddPasskey(who Who, id []byte, kept json.RawMessage) error {
	return d.changeAccount(who.Person, func(tx Tx, account *accountRow) error {
		if err := d.proven(tx, who); err != nil {
			return err
		}
		if len(account.Passkeys) >= mostPasskeys {
			return refuse(NotAllowed, "There are ten passkeys already. Ask a unit lead to take them away, then add the ones in use.")
		}
		account.Passkeys = append(account.Passkeys, PasskeyRow{ID: bytes.Clone(id), Kept: kept, Added: d.Now()})
		return d.write(tx, Event{What: PasskeyAdded, Who: who.Person, Device: who.Device, About: string(who.Person)})
	})
}

// UsedPasskey keeps what a sign-in has changed of a passkey, its count above all.
func (d *Doors) UsedPasskey(person cards.PersonID, id []byte, kept json.RawMessage) error {
	return d.changeAccount(person, func(_ Tx, account *accountRow) error {
		i := slices.IndexFunc(account.Passkeys, func(k PasskeyRow) bool { return bytes.Equal(k.ID, id) })
		if i < 0 {
			return refuse(NotSignedIn, "This passkey was taken away. Sign in with the PIN.")
		}
		account.Passkeys[i].Kept = kept
		return nil
	})
}

// LinkIdentity says that the person who is signed in is this one at the single sign-on.
func (d *Doors) LinkIdentity(who Who, issuer, subject string) error {
	return d.changeAccount(who.Person, func(tx Tx, account *accountRow) error {
		if err := d.proven(tx, who); err != nil {
			return err
		}
		owner, known, err := linkedIn(tx, issuer, subject)
		if err != nil {
			return err
		}
		if known && owner != who.Person {
			return refuse(NotAllowed, "This sign-on belongs to somebody else of the unit already. Ask a unit lead.")
		}
		account.Link = &Link{Issuer: issuer, Subject: subject, Linked: d.Now()}
		return d.write(tx, Event{What: SignOnLinked, Who: who.Person, Device: who.Device, About: string(who.Person)})
	})
}

// Linked says which person of the unit this one at the single sign-on is.
func (d *Doors) Linked(issuer, subject string) (person cards.PersonID, known bool, err error) {
	err = d.Store.View(func(tx Tx) error {
		person, known, err = linkedIn(tx, issuer, subject)
		return err
	})
	return person, known, err
}

func linkedIn(tx Tx, issuer, subject string) (owner cards.PersonID, known bool, err error) {
	err = tx.Rows(tableAccounts, "", func(key string, read func(any) error) error {
		var row accountRow
		if err := read(&row); err != nil {
			return err
		}
		if l := row.Link; l != nil && l.Issuer == issuer && l.Subject == subject {
			owner, known = cards.PersonID(key), true
		}
		return nil
	})
	return owner, known, err
}

// ProofRefused writes down that somebody did not come in. person is whom they
// said they were; what is nobody's id is not written down.
func (d *Doors) ProofRefused(device edits.DeviceID, person cards.PersonID, way Way) error {
	return d.Store.Update(func(tx Tx) error {
		_, known, err := personIn(tx, person)
		if err != nil {
			return err
		}
		if !known {
			person = ""
		}
		return d.write(tx, Event{What: SignInRefused, Device: device, About: string(person), Detail: string(way)})
	})
}

// TakeProofs takes the passkeys and the single sign-on of a person away, as for
// a lost telephone. Whoever is signed in by them no longer is.
func (d *Doors) TakeProofs(by Who, person cards.PersonID) error {
	return d.changeAccount(person, func(tx Tx, account *accountRow) error {
		if err := leading(tx, by); err != nil {
			return err
		}
		account.Passkeys, account.Link = nil, nil
		if err := endKeys(tx, person, d.Now()); err != nil {
			return err
		}
		if err := endSessions(tx, func(s sessionRow) bool { return s.Person == person && s.Way != ByPIN }); err != nil {
			return err
		}
		return d.write(tx, Event{What: ProofsTaken, Who: by.Person, Device: by.Device, About: string(person)})
	})
}

func (d *Doors) changeAccount(person cards.PersonID, change func(Tx, *accountRow) error) error {
	return d.Store.Update(func(tx Tx) error {
		account, err := knownAccount(tx, person)
		if err != nil {
			return err
		}
		if err := change(tx, &account); err != nil {
			return err
		}
		return tx.PutRow(tableAccounts, string(person), account)
	})
}

// openedWithin is how long after a sign-in that came back from elsewhere the page may ask what a sign-in gives.
const openedWithin = 2 * time.Minute

// Opened gives the page what SignIn would have given it, after a sign-in that
// ended in another page's answer (single sign-on). Shortly after it alone, and not for a PIN.
func (d *Doors) Opened(device Device, credential Credential) (SignedIn, error) {
	who, err := d.Session(device, credential)
	if err != nil {
		return SignedIn{}, err
	}
	done := SignedIn{Person: who.Person, Name: who.Name, Roles: who.Roles, Until: who.Until, Session: credential}
	err = d.Store.Update(func(tx Tx) error {
		var row sessionRow
		ok, err := tx.Row(tableSessions, hashSecret(string(credential)), &row)
		if err != nil {
			return err
		}
		if !ok || row.Way == ByPIN || d.Now().Sub(row.Since) > openedWithin {
			return notSignedIn()
		}
		done.Secret, err = d.secretOf(tx, device.ID, who.Person)
		return err
	})
	return done, err
}

// DeviceByID finds a device without its credential, for an answer that a
// browser brings from another site and to which it adds no cookie of ours. ErrNoDevice.
func (d *Doors) DeviceByID(id edits.DeviceID) (Device, error) {
	var row deviceRow
	err := d.Store.View(func(tx Tx) error {
		ok, err := tx.Row(tableDevices, string(id), &row)
		if err == nil && !ok {
			return ErrNoDevice
		}
		return err
	})
	return row.Device, err
}
