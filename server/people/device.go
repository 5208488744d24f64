package people

import (
	"crypto/subtle"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// deviceRow is a device as it is kept.
type deviceRow struct {
	Device
	Hash string `json:"hash"` // of the secret in its credential
}

// maxBuild is in bytes: a build is named by a short hash.
const maxBuild = 80

// Enrol lets in a device that shows a code, once.
func (d *Doors) Enrol(from From, code string) (Device, Credential, error) {
	if shared, personal := d.DemoCodes(); sameCode(code, shared) || sameCode(code, personal) {
		return d.enrolDemo(sameCode(code, shared))
	}
	tidy := tidyCode(code)
	if tidy == "" {
		return Device{}, "", wrongCode()
	}
	var device Device
	var credential Credential
	err := d.Store.Update(func(tx Tx) error {
		var row codeRow
		key := hashSecret(tidy)
		ok, err := tx.Row(tableCodes, key, &row)
		if err != nil {
			return err
		}
		if !ok || !row.Until.After(d.Now()) {
			return wrongCode()
		}
		if err := tx.DeleteRow(tableCodes, key); err != nil {
			return err
		}
		device, credential, err = d.admit(tx, DeviceName{row.Name, row.Shared}, row.By)
		return err
	})
	if err != nil {
		d.Log.Warn("a device was not enrolled", "address", from.Addr)
		return Device{}, "", err
	}
	return device, credential, nil
}

// admit makes a device.
func (d *Doors) admit(tx Tx, name DeviceName, by cards.PersonID) (Device, Credential, error) {
	secret := d.newSecret()
	device := Device{ID: edits.DeviceID(hex.EncodeToString(d.bytes(16))), Name: name.Name, Shared: name.Shared, Enrolled: d.Now(), By: by}
	if err := tx.PutRow(tableDevices, string(device.ID), deviceRow{Device: device, Hash: hashSecret(secret)}); err != nil {
		return Device{}, "", err
	}
	use := "personal"
	if name.Shared {
		use = "shared"
	}
	err := d.write(tx, Event{What: DeviceEnrolled, Who: by, Device: device.ID, About: string(device.ID), Detail: name.Name + ", " + use})
	return device, Credential(string(device.ID) + "." + secret), err
}

// Device returns the device of a credential, revoked or not, or ErrNoDevice.
func (d *Doors) Device(credential Credential) (Device, error) {
	id, secret, _ := strings.Cut(string(credential), ".")
	if !edits.IsHex32(id) || len(secret) > 100 {
		return Device{}, ErrNoDevice
	}
	var row deviceRow
	err := d.Store.View(func(tx Tx) error {
		ok, err := tx.Row(tableDevices, id, &row)
		if err == nil && (!ok || subtle.ConstantTimeCompare([]byte(row.Hash), []byte(hashSecret(secret))) != 1) {
			return ErrNoDevice
		}
		return err
	})
	if err != nil {
		return Device{}, err
	}
	return row.Device, nil
}

// sighting is when a device was last written down, and whether it had said which build it runs.
type sighting struct {
	at    time.Time
	build bool
}

// Seen writes down that a device was here, at most once a minute, and once more
// where it says only then which build it runs: not every request of a page does.
func (d *Doors) Seen(device edits.DeviceID, build string) error {
	now := d.Now()
	if d.Store.ReadOnly() || !d.newlySeen(device, build != "", now) {
		return nil
	}
	return d.Store.Update(func(tx Tx) error {
		return changeDevice(tx, device, func(row *deviceRow) {
			minute := now.Truncate(time.Minute)
			row.LastSeen = &minute
			if build != "" && len(build) <= maxBuild {
				row.Build = strings.ToValidUTF8(build, "")
			}
		})
	})
}

func (d *Doors) newlySeen(device edits.DeviceID, build bool, now time.Time) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	last := d.seen[device]
	if since := now.Sub(last.at); since >= 0 && since < time.Minute && (last.build || !build) {
		return false
	}
	d.seen[device] = sighting{now, build}
	return true
}

func changeDevice(tx Tx, id edits.DeviceID, change func(*deviceRow)) error {
	var row deviceRow
	ok, err := tx.Row(tableDevices, string(id), &row)
	if err != nil {
		return err
	}
	if !ok {
		return refuse(NotFound, "There is no such device.")
	}
	change(&row)
	return tx.PutRow(tableDevices, string(id), row)
}

// Devices lists every device that was ever enrolled, the newest first.
func (d *Doors) Devices() ([]Device, error) {
	devices := []Device{}
	err := d.Store.View(func(tx Tx) error {
		return tx.Rows(tableDevices, "", func(_ string, read func(any) error) error {
			var row deviceRow
			err := read(&row)
			devices = append(devices, row.Device)
			return err
		})
	})
	slices.SortStableFunc(devices, func(a, b Device) int { return b.Enrolled.Compare(a.Enrolled) })
	return devices, err
}

// Revoke takes a device off the list for ever. What it still sends is set aside.
func (d *Doors) Revoke(by Who, device edits.DeviceID, reason string) error {
	if err := reasonFits(reason); err != nil {
		return err
	}
	return d.Store.Update(func(tx Tx) error {
		if err := leading(tx, by); err != nil {
			return err
		}
		already := false
		err := changeDevice(tx, device, func(row *deviceRow) {
			if already = row.Revoked != nil; !already {
				row.Revoked = &Ended{At: d.Now(), By: by.Person, Reason: reason}
			}
		})
		if err != nil || already {
			return err
		}
		if err := endSessions(tx, func(s sessionRow) bool { return s.Device == device }); err != nil {
			return err
		}
		return d.write(tx, Event{What: DeviceRevoked, Who: by.Person, Device: by.Device, About: string(device), Detail: reason})
	})
}

// maxReason is in bytes.
const maxReason = 500

func reasonFits(reason string) error {
	if len(reason) > maxReason {
		return refuse(BadRequest, fmt.Sprintf("The reason is longer than %d bytes. Shorten it.", maxReason))
	}
	return nil
}
