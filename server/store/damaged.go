package store

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"sideport/cards"
	"sideport/server/edits"
)

// SomeDamaged comes together with what could be read and names the documents
// whose records are damaged. The zero name stands for one whose name is damaged as well.
type SomeDamaged []edits.DocKey

// Error names the first of them.
func (d SomeDamaged) Error() string {
	return fmt.Sprintf("%v: %d documents, the first is %s %q", edits.ErrDamaged, len(d), d[0].Kind, d[0].ID)
}

// Unwrap makes it an edits.ErrDamaged.
func (d SomeDamaged) Unwrap() error { return edits.ErrDamaged }

// Damaged names the documents; it is how callers that do not know this package ask.
func (d SomeDamaged) Damaged() []edits.DocKey { return slices.Clone(d) }

// nameIn reads which document a key belongs to. The key of a damaged record
// may be damaged too, so only what could be a name is taken for one.
func nameIn(key []byte) edits.DocKey {
	kind, id, _ := bytes.Cut(key, []byte{0})
	switch k := edits.Kind(kind); k {
	case edits.Card, edits.Case, edits.Rules, edits.Person, edits.Unit, edits.Record:
		if cards.ValidKey(string(id)) {
			return edits.DocKey{Kind: k, ID: string(id)}
		}
	}
	return edits.DocKey{}
}

// Readable says how much of the data can be shown.
type Readable struct{ Shown, Damaged int }

// TryReading reads everything that serving could be asked for. What it is for
// is whether that comes to an end: pages that point at each other make the
// engine run for ever or end the process, and no answer can be given for those.
// An error means that no documents can be listed at all.
func (s *Store) TryReading() (Readable, error) {
	var r Readable
	err := s.View(func(tx *Tx) error {
		docs, err := tx.Documents()
		var some SomeDamaged
		if errors.As(err, &some) {
			err = nil
		}
		r = Readable{Shown: len(docs), Damaged: len(some)}
		return err
	})
	for _, name := range buckets {
		// What is damaged here is answered as damaged when it is asked for.
		_ = s.View(func(tx *Tx) error { return tx.walk(name) })
	}
	return r, err
}

// walk touches every byte of a bucket, both ways in which it is read.
func (t *Tx) walk(name []byte) error {
	b := t.tx.Bucket(name)
	if b == nil { // read alone out of a file of layout 1
		return nil
	}
	return b.ForEach(func(key, value []byte) error {
		_, _ = unseal(name, key, value)
		_ = b.Get(key)
		return nil
	})
}
