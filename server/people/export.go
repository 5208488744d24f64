package people

import (
	"bytes"
	"io"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// eventLine and editLine are the two kinds of lines of an export. Hash and
// prev are the chain's: a reader sees from them that nothing is left out.
type eventLine struct {
	Event Event  `json:"event"`
	Hash  string `json:"hash"`
	Prev  string `json:"prev"`
}

type editLine struct {
	Edit exported `json:"edit"`
	Hash string   `json:"hash"`
	Prev string   `json:"prev"`
}

type exported struct {
	Seq      edits.Seq      `json:"seq"`
	ID       edits.EditID   `json:"id"`
	Kind     edits.Kind     `json:"kind"`
	Doc      string         `json:"doc"`
	Author   cards.PersonID `json:"author"`
	Device   edits.DeviceID `json:"device"`
	PushedBy edits.DeviceID `json:"pushed_by,omitempty"`
	Received time.Time      `json:"received"`
	Outcome  edits.Outcome  `json:"outcome"`
	Checked  edits.Checked  `json:"checked,omitempty"`
	Refused  bool           `json:"refused,omitempty"`
}

// exportStep is how many lines are read in one transaction: a long one would make the file grow.
const exportStep = 500

// ExportNDJSON writes every event and a line for every edit, one JSON value a
// line. What edits say is not in it.
func (d *Doors) ExportNDJSON(w io.Writer) error {
	heads, err := d.Heads()
	if err != nil {
		return err
	}
	err = d.inSteps(w, heads.EventSeq, func(tx Tx, seq uint64) (any, error) {
		e, hash, prev, err := eventIn(tx, seq)
		return eventLine{e, hash, prev}, err
	})
	if err != nil {
		return err
	}
	return d.inSteps(w, uint64(heads.Seq), func(tx Tx, seq uint64) (any, error) {
		e, hash, prev, err := tx.Record(edits.Seq(seq))
		return editLine{exportedOf(e), hash, prev}, err
	})
}

func exportedOf(e edits.Entry) exported {
	x := exported{Seq: e.Seq, ID: e.Edit.ID, Kind: e.Edit.Kind, Doc: e.Edit.Doc, Author: e.Edit.Author, Device: e.Edit.Device,
		Received: e.At, Outcome: e.Verdict.Outcome, Refused: e.Refused()}
	if e.Identity != nil {
		x.PushedBy, x.Checked = e.Identity.PushedBy, e.Identity.Checked
	}
	return x
}

// inSteps writes the lines 1 to last, a few at a time.
func (d *Doors) inSteps(w io.Writer, last uint64, line func(Tx, uint64) (any, error)) error {
	for from := uint64(1); from <= last; from += exportStep {
		var lines bytes.Buffer
		err := d.Store.View(func(tx Tx) error {
			for seq := from; seq <= min(last, from+exportStep-1); seq++ {
				v, err := line(tx, seq)
				if err != nil {
					return err
				}
				b, err := edits.Encode(v)
				if err != nil {
					return err
				}
				lines.Write(append(b, '\n'))
			}
			return nil
		})
		if err != nil {
			return err
		}
		if _, err := w.Write(lines.Bytes()); err != nil {
			return err
		}
	}
	return nil
}
