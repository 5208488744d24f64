package people

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"

	"sideport/cards"
)

// The demonstration's PINs and codes are no secret: they follow from the names,
// so that they can be printed anywhere and are the same at every start.

func demoPIN(person cards.PersonID) string {
	sum := sha256.Sum256([]byte("sideport demonstration PIN " + string(person)))
	return fmt.Sprintf("%06d", binary.BigEndian.Uint32(sum[:4])%1_000_000)
}

func demoCode(use string) string {
	sum := sha256.Sum256([]byte("sideport demonstration code " + use))
	return codeText(sum[:])
}

// DemoCodes are the codes of the demonstration, good for any number of devices; "" outside it.
func (d *Doors) DemoCodes() (shared, personal string) {
	if !d.Demo {
		return "", ""
	}
	return demoCode("shared"), demoCode("personal")
}

// DemoPINs are the PINs of the demonstration's people; nil outside it. A PIN
// that was issued anew since is not among them: nobody printed it.
func (d *Doors) DemoPINs() []PersonPIN { return d.printed }

// demoIssuer issues the printed PINs.
const demoIssuer cards.PersonID = "demonstration"

// openDemo gives everybody without a PIN the printed one.
func (d *Doors) openDemo() error {
	return d.Store.Update(func(tx Tx) error {
		all, err := everybody(tx)
		if err != nil {
			return err
		}
		for _, p := range all {
			row, err := accountIn(tx, p.ID)
			if err != nil {
				return err
			}
			if row.PIN == nil {
				if err := d.give(tx, d.hashPIN(demoPIN(p.ID), demoIssuer), Who{}, p.ID, row); err != nil {
					return err
				}
			}
			if row.PIN == nil || row.PIN.By == demoIssuer {
				d.printed = append(d.printed, PersonPIN{p.ID, p.Name, demoPIN(p.ID)})
			}
		}
		return nil
	})
}

func (d *Doors) enrolDemo(shared bool) (device Device, credential Credential, err error) {
	name := DeviceName{Name: "Demonstration telephone"}
	if shared {
		name = DeviceName{Name: "Demonstration tablet", Shared: true}
	}
	err = d.Store.Update(func(tx Tx) error {
		device, credential, err = d.admit(tx, name, "")
		return err
	})
	return device, credential, err
}
