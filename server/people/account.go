package people

import (
	"sideport/cards"
	"sideport/server/edits"
)

// accountRow is how a person signs in, as it is kept.
type accountRow struct {
	PIN      *pinRow      `json:"pin,omitempty"`
	Barred   *Ended       `json:"barred,omitempty"`
	Passkeys []PasskeyRow `json:"passkeys,omitempty"`
	Link     *Link        `json:"link,omitempty"`
}

func accountIn(tx Tx, person cards.PersonID) (accountRow, error) {
	var row accountRow
	_, err := tx.Row(tableAccounts, string(person), &row)
	return row, err
}

// canSignIn reports whether the row opens any door.
func (a accountRow) canSignIn() bool { return a.PIN != nil && a.Barred == nil }

// Accounts says of every person of the unit how they can sign in.
func (d *Doors) Accounts() ([]Account, error) {
	accounts := []Account{}
	err := d.Store.View(func(tx Tx) error {
		all, err := everybody(tx)
		if err != nil {
			return err
		}
		for _, p := range all {
			account, err := d.accountOf(tx, p.ID)
			if err != nil {
				return err
			}
			accounts = append(accounts, account)
		}
		return nil
	})
	return accounts, err
}

func (d *Doors) accountOf(tx Tx, person cards.PersonID) (Account, error) {
	row, err := accountIn(tx, person)
	if err != nil {
		return Account{}, err
	}
	account := Account{Person: person, PIN: row.PIN != nil, Barred: row.Barred, Passkeys: len(row.Passkeys), OIDC: row.Link != nil}
	if row.PIN != nil {
		account.PINIssued = &row.PIN.Issued
	}
	t, err := triesIn(tx, "", person, d.Now())
	if until := t.day.dayFrom(); until.After(d.Now()) {
		account.LockedUntil = &until
	}
	return account, err
}

// everybody reads the people of the unit, in the order of their ids.
func everybody(tx Tx) ([]cards.Person, error) {
	docs, err := tx.Documents()
	if err != nil {
		return nil, err
	}
	var all []cards.Person
	for _, doc := range docs {
		if doc.Kind != edits.Person {
			continue
		}
		p, ok, err := personIn(tx, cards.PersonID(doc.ID))
		if err != nil {
			return nil, err
		}
		if ok {
			all = append(all, p)
		}
	}
	return all, nil
}

// IssuePIN gives a person a fresh PIN and returns it once. Where the person is signed in, that ends.
func (d *Doors) IssuePIN(by Who, person cards.PersonID) (string, error) {
	err := d.Store.View(func(tx Tx) error { return leading(tx, by) })
	if err != nil {
		return "", err
	}
	pin := d.drawPIN()
	err = d.hashing.through(func() error {
		row := d.hashPIN(pin, by.Person)
		return d.Store.Update(func(tx Tx) error {
			if err := leading(tx, by); err != nil {
				return err
			}
			return d.giveNew(tx, row, by, person)
		})
	})
	if err != nil {
		return "", err
	}
	return pin, nil
}

// IssuePINHere is IssuePIN by whoever holds the data directory, for a unit whose only lead has lost theirs.
func (d *Doors) IssuePINHere(person cards.PersonID) (string, error) {
	pin := d.drawPIN()
	err := d.hashing.through(func() error {
		row := d.hashPIN(pin, "")
		return d.Store.Update(func(tx Tx) error { return d.giveNew(tx, row, Who{}, person) })
	})
	if err != nil {
		return "", err
	}
	return pin, nil
}

func (d *Doors) giveNew(tx Tx, row pinRow, by Who, person cards.PersonID) error {
	account, err := knownAccount(tx, person)
	if err != nil {
		return err
	}
	if account.Barred != nil {
		return refuse(NotAllowed, "This person is barred. Admit them again before they get a PIN.")
	}
	return d.give(tx, row, by, person, account)
}

// give keeps a PIN; who came in with the one before is not in any more.
func (d *Doors) give(tx Tx, row pinRow, by Who, person cards.PersonID, account accountRow) error {
	if err := endSessions(tx, func(s sessionRow) bool { return s.Person == person }); err != nil {
		return err
	}
	account.PIN = &row
	if err := tx.PutRow(tableAccounts, string(person), account); err != nil {
		return err
	}
	if err := forgive(tx, person); err != nil {
		return err
	}
	return d.write(tx, Event{What: PINIssued, Who: by.Person, Device: by.Device, About: string(person)})
}

func knownAccount(tx Tx, person cards.PersonID) (accountRow, error) {
	_, ok, err := personIn(tx, person)
	if err != nil {
		return accountRow{}, err
	}
	if !ok {
		return accountRow{}, refuse(NotFound, "There is no person with this id in the unit.")
	}
	return accountIn(tx, person)
}

// Bar keeps a person out from now on, or admits them again. What a barred person still sends is set aside.
func (d *Doors) Bar(by Who, person cards.PersonID, barred bool, reason string) error {
	if err := reasonFits(reason); err != nil {
		return err
	}
	return d.Store.Update(func(tx Tx) error {
		if err := leading(tx, by); err != nil {
			return err
		}
		account, err := knownAccount(tx, person)
		if err != nil || (account.Barred != nil) == barred {
			return err
		}
		what := PersonAdmitted
		account.Barred = nil
		if barred {
			what, account.Barred = PersonBarred, &Ended{At: d.Now(), By: by.Person, Reason: reason}
			if err := d.keepsALead(tx, person); err != nil {
				return err
			}
		}
		if err := tx.PutRow(tableAccounts, string(person), account); err != nil {
			return err
		}
		if err := endSessions(tx, func(s sessionRow) bool { return s.Person == person }); err != nil {
			return err
		}
		return d.write(tx, Event{What: what, Who: by.Person, Device: by.Device, About: string(person), Detail: reason})
	})
}

// keepsALead refuses to keep out the last unit lead who can sign in.
func (d *Doors) keepsALead(tx Tx, but cards.PersonID) error {
	p, _, err := personIn(tx, but)
	if err != nil || !Allowed(p.Roles, Office) {
		return err
	}
	ok, err := aLeadSignsIn(tx, but)
	if err == nil && !ok {
		err = refuse(NotAllowed, "Nobody else could keep the unit’s people and devices then. Make another person a unit lead with a PIN first.")
	}
	return err
}

// aLeadSignsIn reports whether any unit lead but one can sign in.
func aLeadSignsIn(tx Tx, but cards.PersonID) (bool, error) {
	found := false
	err := tx.Rows(tableAccounts, "", func(key string, read func(any) error) error {
		var row accountRow
		if err := read(&row); err != nil || !row.canSignIn() || key == string(but) || found {
			return err
		}
		p, ok, err := personIn(tx, cards.PersonID(key))
		found = ok && Allowed(p.Roles, Office)
		return err
	})
	return found, err
}
