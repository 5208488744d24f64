package people

import (
	"slices"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// How often a PIN may be tried. A try is counted before it is looked at, so
// that neither many at once nor pulling the plug gives one for nothing.
const (
	freeTries = 5           // of one person on one device before the first wait
	firstWait = time.Minute // doubled by every further wrong one
	lastWait  = time.Hour
	dayTries  = 20 // of one person on all devices
	tryDay    = 24 * time.Hour
)

// triesRow are the wrong PINs of one person on one device since the last right one.
type triesRow struct {
	Wrong int       `json:"wrong"`
	Until time.Time `json:"until"` // nothing is looked at before
}

// dayRow are the wrong PINs of one person on all devices within a day.
type dayRow struct {
	At []time.Time `json:"at"` // oldest first
}

func triesKey(device edits.DeviceID, person cards.PersonID) string {
	return string(device) + " " + string(person)
}

// tries is where one person stands on one device.
type tries struct {
	here triesRow
	day  dayRow
}

func triesIn(tx Tx, device edits.DeviceID, person cards.PersonID, now time.Time) (t tries, err error) {
	if _, err = tx.Row(tableTries, triesKey(device, person), &t.here); err != nil {
		return t, err
	}
	if _, err = tx.Row(tableDay, string(person), &t.day); err != nil {
		return t, err
	}
	t.day.At = slices.DeleteFunc(t.day.At, func(at time.Time) bool { return now.Sub(at) >= tryDay })
	return t, nil
}

// dayFrom is when another try is allowed where a whole day's were used; else the zero time.
func (t dayRow) dayFrom() time.Time {
	if len(t.At) < dayTries {
		return time.Time{}
	}
	return t.At[len(t.At)-dayTries].Add(tryDay)
}

// wait is how long the next try has to wait.
func (t tries) wait(now time.Time) time.Duration {
	from := t.here.Until
	if day := t.day.dayFrom(); day.After(from) {
		from = day
	}
	return max(0, from.Sub(now))
}

// left is how many tries there are before a wait.
func (t tries) left() int {
	return max(0, min(freeTries-t.here.Wrong, dayTries-len(t.day.At)))
}

// charged counts one more.
func (t tries) charged(now time.Time) tries {
	t.here.Wrong++
	if over := t.here.Wrong - freeTries; over >= 0 {
		t.here.Until = now.Add(min(lastWait, firstWait<<min(over, 10)))
	}
	t.day.At = append(slices.Clone(t.day.At), now)
	return t
}

func (t tries) put(tx Tx, device edits.DeviceID, person cards.PersonID) error {
	if err := tx.PutRow(tableTries, triesKey(device, person), t.here); err != nil {
		return err
	}
	return tx.PutRow(tableDay, string(person), t.day)
}

// refund takes back what the try at a moment cost, because the PIN was right.
func refund(tx Tx, device edits.DeviceID, person cards.PersonID, now, at time.Time) error {
	t, err := triesIn(tx, device, person, now)
	if err != nil {
		return err
	}
	if i := slices.IndexFunc(t.day.At, at.Equal); i >= 0 {
		t.day.At = slices.Delete(t.day.At, i, i+1)
	}
	if err := tx.PutRow(tableDay, string(person), t.day); err != nil {
		return err
	}
	return tx.DeleteRow(tableTries, triesKey(device, person))
}

// forgive forgets every wrong PIN of a person: a fresh PIN makes them worthless.
func forgive(tx Tx, person cards.PersonID) error {
	var keys []string
	err := tx.Rows(tableTries, "", func(key string, _ func(any) error) error {
		if key == triesKey(edits.DeviceID(key[:min(32, len(key))]), person) {
			keys = append(keys, key)
		}
		return nil
	})
	for _, key := range keys {
		if err == nil {
			err = tx.DeleteRow(tableTries, key)
		}
	}
	if err != nil {
		return err
	}
	return tx.DeleteRow(tableDay, string(person))
}
