package people

import (
	"fmt"
	"log/slog"
	"sync"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// Config is everything the doors are given from outside.
type Config struct {
	Store  Vault
	Now    func() time.Time
	Random func([]byte)
	Log    *slog.Logger
	Demo   bool // people get printed PINs and codes can be used any number of times
}

// Doors decides who and what comes in. All methods may be called at the same time.
type Doors struct {
	Config
	hashing queue // of PINs
	printed []PersonPIN

	mu        sync.Mutex
	setUpCode string
	seen      map[edits.DeviceID]sighting // when it was last written that a device was here
	told      map[string]bool             // heads that differed and are written down
	toldOf    map[edits.DeviceID]int      // how many of these each device told
}

// Open makes the doors of an open store. In a demonstration every person
// without a PIN gets the printed one, so the people must be in the store by then.
func Open(c Config) (*Doors, error) {
	d := &Doors{Config: c, hashing: newQueue(), seen: map[edits.DeviceID]sighting{}, told: map[string]bool{}, toldOf: map[edits.DeviceID]int{}}
	if c.Demo {
		if c.Store.ReadOnly() {
			return d, nil
		}
		return d, d.openDemo()
	}
	needed, err := d.NeedsSetUp()
	if err != nil {
		return nil, fmt.Errorf("look for a unit lead: %w", err)
	}
	if needed {
		d.setUpCode = d.newCodeText()
	}
	return d, nil
}

// The tables. Persisted: append only, never rename.
const (
	tableDevices  = "devices"
	tableAccounts = "accounts"
	tableSessions = "sessions" // store.Sessions: a restored copy begins without them
	tableCodes    = "codes"
	tableKeys     = "keys"
	tableSecrets  = "secrets"
	tableTries    = "tries"        // of one person on one device
	tableDay      = "tries of day" // of one person on all devices
	tableChain    = "chain"
	tableOffered  = "offered"
)

// personIn reads a person's document.
func personIn(tx Tx, id cards.PersonID) (cards.Person, bool, error) {
	doc, ok, err := tx.Document(edits.Person, string(id))
	if err != nil || !ok {
		return cards.Person{}, false, err
	}
	var p cards.Person
	if err := cards.Decode(doc.Body, &p); err != nil {
		return p, false, fmt.Errorf("%w: person %s cannot be read: %v", edits.ErrDamaged, id, err)
	}
	return p, true, nil
}

// leading refuses whoever is not a unit lead now, whatever they were when they signed in.
func leading(tx Tx, by Who) error {
	p, ok, err := personIn(tx, by.Person)
	switch {
	case err != nil:
		return err
	case !ok || !Allowed(p.Roles, Office):
		return refuse(NotAllowed, "Only a unit lead does this.")
	}
	return nil
}

func (d *Doors) bytes(n int) []byte {
	b := make([]byte, n)
	d.Random(b)
	return b
}
