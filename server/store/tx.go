package store

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"go.etcd.io/bbolt"

	"sideport/server/edits"
)

// The buckets. Persisted: append only, never rename.
var (
	bucketMeta      = []byte("meta")
	bucketLog       = []byte("log")
	bucketEdits     = []byte("edits")
	bucketDocuments = []byte("documents")
	bucketRevisions = []byte("revisions")

	bucketPeople = []byte("people")
	bucketEvents = []byte("events")

	firstBuckets = [][]byte{bucketMeta, bucketLog, bucketEdits, bucketDocuments, bucketRevisions} // of layout 1
	addedBuckets = [][]byte{bucketPeople, bucketEvents}                                           // by layout 2
	buckets      = append(slices.Clone(firstBuckets), addedBuckets...)
	keyMeta      = []byte("unit")
)

// meta is what the file says about itself.
type meta struct {
	Schema int       `json:"schema"`
	Epoch  string    `json:"epoch"`
	Seq    edits.Seq `json:"seq"`
	Head   string    `json:"head"` // hash of the newest record
}

// record is one entry of the log with the hash of the one before.
type record struct {
	Prev  string      `json:"prev"`
	Entry edits.Entry `json:"entry"`
}

// noRecord is what the first record has before it.
var noRecord = strings.Repeat("0", 2*hashSize)

func layOut(tx *bbolt.Tx, epoch string) error {
	if err := makeBuckets(tx, buckets); err != nil {
		return err
	}
	return (&Tx{tx: tx}).setMeta(meta{Schema: Schema, Epoch: epoch, Head: noRecord})
}

func makeBuckets(tx *bbolt.Tx, names [][]byte) error {
	for _, name := range names {
		if _, err := tx.CreateBucket(name); err != nil {
			return fmt.Errorf("make the bucket %s: %w", name, err)
		}
	}
	return nil
}

// Tx is one transaction. It implements edits.Log.
type Tx struct {
	tx    *bbolt.Tx
	wrote bool
}

func (t *Tx) get(bucket, key []byte) ([]byte, bool, error) {
	b := t.tx.Bucket(bucket)
	if b == nil { // read alone out of a file of layout 1
		return nil, false, nil
	}
	value := b.Get(key)
	if value == nil {
		return nil, false, nil
	}
	payload, err := unseal(bucket, key, value)
	return payload, err == nil, err
}

func (t *Tx) put(bucket, key, payload []byte) error {
	t.wrote = true
	if err := t.tx.Bucket(bucket).Put(key, seal(bucket, key, payload)); err != nil {
		return fmt.Errorf("write to %s: %w", bucket, err)
	}
	return nil
}

func (t *Tx) putJSON(bucket, key []byte, v any) ([]byte, error) {
	payload, err := edits.Encode(v)
	if err != nil {
		return nil, err
	}
	return payload, t.put(bucket, key, payload)
}

func decode(bucket, key, payload []byte, into any) error {
	if err := json.Unmarshal(payload, into); err != nil {
		return fmt.Errorf("%w: %s %q cannot be read: %v", edits.ErrDamaged, bucket, key, err)
	}
	return nil
}

func (t *Tx) meta() (meta, error) {
	var m meta
	payload, ok, err := t.get(bucketMeta, keyMeta)
	if err != nil {
		return m, err
	}
	if !ok {
		return m, fmt.Errorf("%w: the file says nothing about itself", edits.ErrDamaged)
	}
	return m, decode(bucketMeta, keyMeta, payload, &m)
}

func (t *Tx) setMeta(m meta) error {
	_, err := t.putJSON(bucketMeta, keyMeta, m)
	return err
}

// record reads one record of the log and the hash it is stored behind.
func (t *Tx) record(seq edits.Seq) (record, string, error) {
	var r record
	key := seqKey(seq)
	value := t.tx.Bucket(bucketLog).Get(key)
	if value == nil {
		return r, "", fmt.Errorf("%w: record %d is missing", edits.ErrDamaged, seq)
	}
	payload, err := unseal(bucketLog, key, value)
	if err != nil {
		return r, "", fmt.Errorf("record %d: %w", seq, err)
	}
	if err := decode(bucketLog, key, payload, &r); err != nil {
		return r, "", err
	}
	if r.Entry.Seq != seq {
		return r, "", fmt.Errorf("%w: record %d says it is %d", edits.ErrDamaged, seq, r.Entry.Seq)
	}
	return r, hex.EncodeToString(value[:hashSize]), nil
}

// at reads the entry that an index names.
func (t *Tx) at(bucket, key []byte) (edits.Entry, bool, error) {
	payload, ok, err := t.get(bucket, key)
	if err != nil || !ok {
		return edits.Entry{}, false, err
	}
	if len(payload) != 8 {
		return edits.Entry{}, false, fmt.Errorf("%w: %s %q names no record", edits.ErrDamaged, bucket, key)
	}
	r, _, err := t.record(seqOf(payload))
	return r.Entry, err == nil, err
}

// Entry returns the entry of an edit.
func (t *Tx) Entry(id edits.EditID) (edits.Entry, bool, error) {
	return t.at(bucketEdits, []byte(id))
}

// RevisionEntry returns the entry that made a revision.
func (t *Tx) RevisionEntry(kind edits.Kind, doc string, rev int) (edits.Entry, bool, error) {
	return t.at(bucketRevisions, revKey(kind, doc, rev))
}

// Revision returns the body of one revision.
func (t *Tx) Revision(kind edits.Kind, doc string, rev int) (json.RawMessage, bool, error) {
	entry, ok, err := t.RevisionEntry(kind, doc, rev)
	return entry.Result(), ok, err
}

// Document returns a document as it is now.
func (t *Tx) Document(kind edits.Kind, id string) (edits.Document, bool, error) {
	var doc edits.Document
	key := docKey(kind, id)
	payload, ok, err := t.get(bucketDocuments, key)
	if err != nil || !ok {
		return doc, false, err
	}
	if err := decode(bucketDocuments, key, payload, &doc); err != nil {
		return doc, false, err
	}
	return doc, true, nil
}

// Next is the place the next entry will have.
func (t *Tx) Next() (edits.Seq, error) {
	m, err := t.meta()
	return m.Seq + 1, err
}

// Append keeps the entry and the document in all buckets.
func (t *Tx) Append(e edits.Entry, doc *edits.Document) error {
	m, err := t.meta()
	if err != nil {
		return err
	}
	if e.Seq != m.Seq+1 {
		return fmt.Errorf("entry %d does not come after %d", e.Seq, m.Seq)
	}
	key := seqKey(e.Seq)
	payload, err := t.putJSON(bucketLog, key, record{Prev: m.Head, Entry: e})
	if err != nil {
		return err
	}
	if err := t.put(bucketEdits, []byte(e.Edit.ID), key); err != nil {
		return err
	}
	if doc != nil {
		if e.Verdict.Rev > 0 {
			if err := t.put(bucketRevisions, revKey(doc.Kind, doc.ID, doc.Rev), key); err != nil {
				return err
			}
		}
		if _, err := t.putJSON(bucketDocuments, docKey(doc.Kind, doc.ID), doc); err != nil {
			return err
		}
	}
	sum := hashOf(bucketLog, key, payload)
	m.Seq, m.Head = e.Seq, hex.EncodeToString(sum[:])
	return t.setMeta(m)
}
