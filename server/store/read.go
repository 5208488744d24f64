package store

import (
	"fmt"

	"sideport/server/edits"
)

// Info says where the log stands.
func (t *Tx) Info() (edits.Info, error) {
	m, err := t.meta()
	return edits.Info{Epoch: m.Epoch, Seq: m.Seq, Head: m.Head}, err
}

// Documents returns every document, ordered by kind and id.
func (t *Tx) Documents() ([]edits.Document, error) {
	docs := []edits.Document{}
	err := t.tx.Bucket(bucketDocuments).ForEach(func(key, value []byte) error {
		payload, err := unseal(bucketDocuments, key, value)
		if err != nil {
			return err
		}
		var doc edits.Document
		if err := decode(bucketDocuments, key, payload, &doc); err != nil {
			return err
		}
		docs = append(docs, doc)
		return nil
	})
	return docs, err
}

// ChangedAfter returns the documents that any entry after seq changed, as they are now.
func (t *Tx) ChangedAfter(seq edits.Seq) ([]edits.Document, error) {
	m, err := t.meta()
	if err != nil {
		return nil, err
	}
	docs := []edits.Document{}
	for at := seq + 1; at <= m.Seq; at++ {
		r, _, err := t.record(at)
		if err != nil {
			return nil, err
		}
		if r.Entry.Verdict.Outcome == edits.SetAside {
			continue
		}
		doc, ok, err := t.Document(r.Entry.Edit.Kind, r.Entry.Edit.Doc)
		if err != nil {
			return nil, err
		}
		if !ok {
			return nil, fmt.Errorf("%w: %s %s is missing", edits.ErrDamaged, r.Entry.Edit.Kind, r.Entry.Edit.Doc)
		}
		if doc.Seq == at { // its newest change, so each document comes once
			docs = append(docs, doc)
		}
	}
	return docs, nil
}

// SetAside returns the entries after seq that were set aside, oldest first, at most limit.
func (t *Tx) SetAside(after edits.Seq, limit int) ([]edits.Entry, error) {
	m, err := t.meta()
	if err != nil {
		return nil, err
	}
	entries := []edits.Entry{}
	for at := after + 1; at <= m.Seq && len(entries) < limit; at++ {
		r, _, err := t.record(at)
		if err != nil {
			return nil, err
		}
		if r.Entry.Verdict.Outcome == edits.SetAside {
			entries = append(entries, r.Entry)
		}
	}
	return entries, nil
}

// The methods below are one transaction each, for callers that know no transactions.

// Info says where the log stands.
func (s *Store) Info() (info edits.Info, err error) {
	err = s.View(func(tx *Tx) (err error) {
		info, err = tx.Info()
		return err
	})
	return info, err
}

// Snapshot returns every document and where the log stood.
func (s *Store) Snapshot() (info edits.Info, docs []edits.Document, err error) {
	err = s.View(func(tx *Tx) (err error) {
		if info, err = tx.Info(); err != nil {
			return err
		}
		docs, err = tx.Documents()
		return err
	})
	return info, docs, err
}

// Changes returns the documents that changed after seq and where the log stood.
func (s *Store) Changes(after edits.Seq) (info edits.Info, docs []edits.Document, err error) {
	err = s.View(func(tx *Tx) (err error) {
		if info, err = tx.Info(); err != nil {
			return err
		}
		docs, err = tx.ChangedAfter(after)
		return err
	})
	return info, docs, err
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
