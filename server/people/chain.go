package people

import (
	"fmt"
	"strings"

	"sideport/server/edits"
)

// chainRow is one place in the chain of a device. Its key is the device and the number.
type chainRow struct {
	Hash string       `json:"hash"` // of what was signed there
	Prev string       `json:"prev"` // what it says was signed before
	Edit edits.EditID `json:"edit"`
}

func chainKey(device edits.DeviceID, n int) string { return fmt.Sprintf("%s %016x", device, n) }

var firstPrev = strings.Repeat("0", 64)

// enchain puts a signed edit into the chain of its device. A place that is
// taken by something else, or a neighbour that names another hash, says that
// two devices write under one id: a copy, or one that was put back to an
// earlier state. Both stay as they were judged; the device is enrolled again.
func (d *Doors) enchain(tx Tx, e edits.Edit, signed []byte) error {
	here := chainRow{Hash: hashed(string(signed)), Prev: e.Chain.Prev, Edit: e.ID}
	var taken chainRow
	there, err := tx.Row(tableChain, chainKey(e.Device, e.Chain.N), &taken)
	if err != nil {
		return err
	}
	forked := there && taken.Hash != here.Hash
	if !there {
		if forked, err = unlinked(tx, e.Device, e.Chain.N, here); err != nil {
			return err
		}
		if err := tx.PutRow(tableChain, chainKey(e.Device, e.Chain.N), here); err != nil {
			return err
		}
	}
	if !forked {
		return nil
	}
	return d.fork(tx, e)
}

// unlinked reports whether a place does not fit its known neighbours. Gaps are
// no fork: after a restore the server lacks what it had, and order is no matter.
func unlinked(tx Tx, device edits.DeviceID, n int, here chainRow) (bool, error) {
	if n == 1 && here.Prev != firstPrev {
		return true, nil
	}
	var before, after chainRow
	known, err := tx.Row(tableChain, chainKey(device, n-1), &before)
	if err != nil || known && before.Hash != here.Prev {
		return err == nil, err
	}
	known, err = tx.Row(tableChain, chainKey(device, n+1), &after)
	return known && after.Prev != here.Hash, err
}

func (d *Doors) fork(tx Tx, e edits.Edit) error {
	already := false
	err := changeDevice(tx, e.Device, func(row *deviceRow) { already, row.Forked = row.Forked, true })
	if err != nil || already {
		return err
	}
	if err := endSessions(tx, func(s sessionRow) bool { return s.Device == e.Device }); err != nil {
		return err
	}
	return d.write(tx, Event{What: DeviceForked, Who: e.Author, Device: e.Device, About: string(e.Device), Detail: fmt.Sprintf("at number %d", e.Chain.N)})
}
