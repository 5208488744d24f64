package store

import "fmt"

// Schema numbers the layout of the file. Append only; a file with a newer one is refused.
//
//	1  the log, its indexes and the documents
//	2  people, devices and the events at the doors
const Schema = 2

// checkSchema refuses files that are not ours or are newer.
func (s *Store) checkSchema() error {
	return s.View(func(tx *Tx) error {
		if err := s.has(tx, firstBuckets); err != nil {
			return err
		}
		m, err := tx.meta()
		switch {
		case err != nil:
			return err
		case m.Schema > Schema:
			return fmt.Errorf("%w: %s has layout %d, this program knows %d", ErrSchema, s.path, m.Schema, Schema)
		case m.Schema < 2:
			return nil
		}
		return s.has(tx, addedBuckets)
	})
}

func (s *Store) has(tx *Tx, names [][]byte) error {
	for _, name := range names {
		if tx.tx.Bucket(name) == nil {
			return fmt.Errorf("%w: %s has no %s", ErrInvalid, s.path, name)
		}
	}
	return nil
}

// raiseSchema gives a file of an earlier layout what this one adds, all of it
// or nothing. A file that is opened to read alone stays as it is.
func (s *Store) raiseSchema() error {
	return s.update(func(t *Tx) error {
		m, err := t.meta()
		if err != nil || m.Schema >= Schema {
			return err
		}
		if err := makeBuckets(t.tx, addedBuckets); err != nil {
			return err
		}
		m.Schema = Schema
		return t.setMeta(m)
	})
}
