package store

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"

	"sideport/server/edits"
)

// Info says where the log stands.
func (t *Tx) Info() (edits.Info, error) {
	m, err := t.meta()
	return edits.Info{Epoch: m.Epoch, Seq: m.Seq, Head: m.Head}, err
}

// Documents returns every document, ordered by kind and id. Where the records
// of some are damaged it returns the others and a SomeDamaged: one bad record
// must not take every card of the unit with it.
func (t *Tx) Documents() ([]edits.Document, error) { return t.documentsAfter(0) }

func (t *Tx) documentsAfter(seq edits.Seq) ([]edits.Document, error) {
	docs, damaged := []edits.Document{}, SomeDamaged(nil)
	err := t.tx.Bucket(bucketDocuments).ForEach(func(key, value []byte) error {
		doc, err := documentOf(key, value)
		switch {
		case err != nil:
			damaged = append(damaged, nameIn(key))
		case doc.Seq > seq:
			docs = append(docs, doc)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("walk through the documents: %w", err)
	}
	if damaged != nil {
		return docs, damaged
	}
	return docs, nil
}

// documentOf reads a document. A record that says it is another one is damaged too.
func documentOf(key, value []byte) (edits.Document, error) {
	var doc edits.Document
	payload, err := unseal(bucketDocuments, key, value)
	if err != nil {
		return doc, err
	}
	if err := decode(bucketDocuments, key, payload, &doc); err != nil {
		return doc, err
	}
	if !bytes.Equal(docKey(doc.Kind, doc.ID), key) {
		return doc, fmt.Errorf("%w: %s %q holds %s %s", edits.ErrDamaged, bucketDocuments, key, doc.Kind, doc.ID)
	}
	return doc, nil
}

// ChangedAfter returns the documents that any entry after seq changed, as they
// are now. Where the log or a document is damaged it looks through all documents
// instead and returns those that can be read, with a SomeDamaged for the others.
func (t *Tx) ChangedAfter(seq edits.Seq) ([]edits.Document, error) {
	docs, err := t.changedByLog(seq)
	if errors.Is(err, edits.ErrDamaged) {
		return t.documentsAfter(seq)
	}
	return docs, err
}

func (t *Tx) changedByLog(seq edits.Seq) ([]edits.Document, error) {
	m, err := t.meta()
	if err != nil {
		return nil, err
	}
	newest := map[edits.DocKey]edits.Seq{}
	for at := seq + 1; at <= m.Seq; at++ {
		r, _, err := t.record(at)
		if err != nil {
			return nil, err
		}
		if r.Entry.Verdict.Outcome != edits.SetAside {
			newest[edits.DocKey{Kind: r.Entry.Edit.Kind, ID: r.Entry.Edit.Doc}] = at
		}
	}
	docs := []edits.Document{}
	// In the order of their newest changes, each read once: a document with many proposals is megabytes.
	for _, key := range slices.SortedFunc(maps.Keys(newest), func(a, b edits.DocKey) int { return cmp.Compare(newest[a], newest[b]) }) {
		doc, ok, err := t.Document(key.Kind, key.ID)
		if err != nil {
			return nil, err
		}
		if !ok {
			return nil, fmt.Errorf("%w: %s %s is missing", edits.ErrDamaged, key.Kind, key.ID)
		}
		docs = append(docs, doc)
	}
	return docs, nil
}

// At returns the entry at a place of the log.
func (t *Tx) At(seq edits.Seq) (edits.Entry, error) {
	r, _, err := t.record(seq)
	return r.Entry, err
}

// SetAside returns the entries after seq that were set aside, oldest first, at most limit.
func (t *Tx) SetAside(after edits.Seq, limit int) ([]edits.Entry, error) {
	m, err := t.meta()
	if err != nil {
		return nil, err
	}
	entries := []edits.Entry{}
	for at, size := after+1, 0; at <= m.Seq && len(entries) < limit && size < maxAsideBytes; at++ {
		r, _, err := t.record(at)
		if err != nil {
			return nil, err
		}
		if r.Entry.Verdict.Outcome == edits.SetAside {
			entries, size = append(entries, r.Entry), size+len(r.Entry.Edit.Body)
		}
	}
	return entries, nil
}

// maxAsideBytes bounds what SetAside reads into memory: the entry that reaches it is the last.
const maxAsideBytes = 4 << 20

// The methods below are one transaction each, for callers that know no transactions.

// Info says where the log stands.
func (s *Store) Info() (info edits.Info, err error) {
	err = s.View(func(tx *Tx) (err error) {
		info, err = tx.Info()
		return err
	})
	return info, err
}

// Snapshot returns every document and where the log stood. With a SomeDamaged
// comes everything that can be read.
func (s *Store) Snapshot() (info edits.Info, docs []edits.Document, err error) {
	err = s.View(func(tx *Tx) (err error) {
		if info, err = tx.Info(); err != nil {
			return err
		}
		docs, err = tx.Documents()
		return err
	})
	return info, docs, s.noting(err)
}

// noting remembers that a damaged document was met.
func (s *Store) noting(err error) error {
	var some SomeDamaged
	if errors.As(err, &some) {
		s.spoilt.Store(true)
	}
	return err
}

// Changes returns the documents that changed after seq and where the log
// stood. With a SomeDamaged comes everything that can be read. A store that is
// served to read alone, or in which a damaged document was met, names all
// damaged documents every time.
func (s *Store) Changes(after edits.Seq) (info edits.Info, docs []edits.Document, err error) {
	err = s.View(func(tx *Tx) (err error) {
		if info, err = tx.Info(); err != nil {
			return err
		}
		if docs, err = tx.ChangedAfter(after); err == nil && (s.readOnly || s.spoilt.Load()) {
			docs, err = tx.documentsAfter(after)
		}
		return err
	})
	return info, docs, s.noting(err)
}

// SetAside returns the entries after seq that were set aside, at most limit.
func (s *Store) SetAside(after edits.Seq, limit int) (info edits.Info, entries []edits.Entry, err error) {
	err = s.View(func(tx *Tx) (err error) {
		if info, err = tx.Info(); err != nil {
			return err
		}
		entries, err = tx.SetAside(after, limit)
		return err
	})
	return info, entries, err
}

// Document returns a document as it is now.
func (s *Store) Document(kind edits.Kind, id string) (doc edits.Document, ok bool, err error) {
	err = s.View(func(tx *Tx) (err error) {
		doc, ok, err = tx.Document(kind, id)
		return err
	})
	return doc, ok, err
}

// RevisionEntry returns the entry that made a revision.
func (s *Store) RevisionEntry(kind edits.Kind, id string, rev int) (e edits.Entry, ok bool, err error) {
	err = s.View(func(tx *Tx) (err error) {
		e, ok, err = tx.RevisionEntry(kind, id, rev)
		return err
	})
	return e, ok, err
}

// Entry returns the entry of an edit.
func (s *Store) Entry(id edits.EditID) (e edits.Entry, ok bool, err error) {
	err = s.View(func(tx *Tx) (err error) {
		e, ok, err = tx.Entry(id)
		return err
	})
	return e, ok, err
}
