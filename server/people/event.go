package people

import (
	"encoding/json"
	"fmt"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// What is what happened. Persisted: append only, never rename.
type What string

// Everything that is written down. What people edit is in the log of edits.
const (
	UnitSetUp      What = "set up"
	CodeMade       What = "code made"
	DeviceEnrolled What = "device enrolled"
	DeviceRevoked  What = "device revoked"
	DeviceForked   What = "device forked"
	PINIssued      What = "PIN issued"
	PersonBarred   What = "person barred"
	PersonAdmitted What = "person admitted again"
	WasSignedIn    What = "signed in"
	SignInRefused  What = "sign-in refused"
	LockedOut      What = "locked out"
	WasSignedOut   What = "signed out"
	KeyRegistered  What = "key registered"
	BackupMade     What = "backup made"
	AuditExported  What = "audit exported"
	HeadDiffers    What = "head differs"
	PasskeyAdded   What = "passkey added"
	SignOnLinked   What = "single sign-on linked"
	ProofsTaken    What = "passkeys and single sign-on taken away"
)

// Event is one line of what happened at the doors. It holds no secret, and no
// free text but reasons and the names of devices.
type Event struct {
	Seq    uint64         `json:"seq"`
	At     time.Time      `json:"at"`
	What   What           `json:"what"`
	Who    cards.PersonID `json:"who,omitempty"`    // who did it; empty: the program itself or somebody unknown
	Device edits.DeviceID `json:"device,omitempty"` // on which device
	About  string         `json:"about,omitempty"`  // the person, device, key or file it is about
	Detail string         `json:"detail,omitempty"`
}

// write puts an event into the chain, in the transaction of what it tells about.
func (d *Doors) write(tx Tx, e Event) error {
	last, _, err := tx.EventHead()
	if err != nil {
		return err
	}
	e.Seq, e.At = last+1, d.Now()
	return tx.AppendEvent(e.Seq, e)
}

// Note writes an event down; Seq and At are set here.
func (d *Doors) Note(e Event) error {
	return d.Store.Update(func(tx Tx) error { return d.write(tx, e) })
}

// eventIn reads one event.
func eventIn(tx Tx, seq uint64) (e Event, hash, prev string, err error) {
	raw, hash, prev, err := tx.Event(seq)
	if err != nil {
		return e, "", "", err
	}
	if err := json.Unmarshal(raw, &e); err != nil {
		return e, "", "", fmt.Errorf("%w: event %d cannot be read: %v", edits.ErrDamaged, seq, err)
	}
	return e, hash, prev, nil
}

// maxEvents are read at one time.
const maxEvents = 500

// Events returns events, newest first, and whether there are more.
func (d *Doors) Events(q EventsAsked) (events []Event, more bool, err error) {
	limit := min(max(q.Limit, 1), maxEvents)
	events = []Event{}
	err = d.Store.View(func(tx Tx) error {
		last, _, err := tx.EventHead()
		if err != nil {
			return err
		}
		if q.Before > 0 && q.Before <= last {
			last = q.Before - 1
		}
		for seq := last; seq > 0; seq-- {
			e, _, _, err := eventIn(tx, seq)
			if err != nil {
				return err
			}
			if !q.asksFor(e) {
				continue
			}
			if more = len(events) == limit; more {
				return nil
			}
			events = append(events, e)
		}
		return nil
	})
	return events, more, err
}

func (q EventsAsked) asksFor(e Event) bool {
	return (q.Person == "" || e.Who == q.Person || e.About == string(q.Person)) &&
		(q.Device == "" || e.Device == q.Device || e.About == string(q.Device))
}

// Heads says where both chains stand.
func (d *Doors) Heads() (h Heads, err error) {
	err = d.Store.View(func(tx Tx) error {
		info, err := tx.Info()
		if err != nil {
			return err
		}
		h.Seq, h.Head = info.Seq, info.Head
		h.EventSeq, h.EventHead, err = tx.EventHead()
		return err
	})
	return h, err
}

// maxTold bounds what is remembered of heads that differed, for each device: one that invents heads must not keep others from being heard.
const maxTold = 20

// HeadDiffers reports whether the record at a place of the log has another
// hash than a device remembers, and writes that down once. A log whose end was
// cut off and grown again is whole in itself; only who remembers sees it.
func (d *Doors) HeadDiffers(device Device, who *Who, seq edits.Seq, head string) (bool, error) {
	if seq == 0 || head == "" {
		return false, nil
	}
	differs := false
	err := d.Store.View(func(tx Tx) error {
		info, err := tx.Info()
		if err != nil {
			return err
		}
		if differs = seq > info.Seq; differs {
			return nil
		}
		_, hash, _, err := tx.Record(seq)
		differs = hash != head
		return err
	})
	if err != nil || !differs || !d.firstTold(device, seq, head) {
		return differs, err
	}
	e := Event{What: HeadDiffers, Device: device.ID, Detail: fmt.Sprintf("at record %d", seq)}
	if who != nil {
		e.Who = who.Person
	}
	return true, d.Note(e)
}

func (d *Doors) firstTold(device Device, seq edits.Seq, head string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	key := fmt.Sprintf("%s %d %.64s", device.ID, seq, head)
	if d.told[key] || d.toldOf[device.ID] >= maxTold || d.Store.ReadOnly() {
		return false
	}
	d.told[key] = true
	d.toldOf[device.ID]++
	return true
}
