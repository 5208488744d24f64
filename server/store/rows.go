package store

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"sideport/server/edits"
)

// Sessions is the table of who is signed in; a restored copy begins without them.
const Sessions = "sessions"

// keyEvents is where the file says how far the events go.
var keyEvents = []byte("events")

// rowKey is table and key with a zero byte between.
func rowKey(table, key string) []byte { return []byte(table + "\x00" + key) }

// Row reads a row of a table about people and devices.
func (t *Tx) Row(table, key string, into any) (bool, error) {
	payload, ok, err := t.get(bucketPeople, rowKey(table, key))
	if err != nil || !ok {
		return false, err
	}
	return true, decode(bucketPeople, rowKey(table, key), payload, into)
}

// Rows walks through the rows of a table whose key begins with prefix, in the order of keys.
func (t *Tx) Rows(table, prefix string, each func(key string, read func(into any) error) error) error {
	b := t.tx.Bucket(bucketPeople)
	if b == nil { // read alone out of a file of layout 1
		return nil
	}
	from := rowKey(table, prefix)
	c := b.Cursor()
	for k, value := c.Seek(from); k != nil && bytes.HasPrefix(k, from); k, value = c.Next() {
		key := bytes.Clone(k)
		payload, err := unseal(bucketPeople, key, value)
		if err != nil {
			return err
		}
		read := func(into any) error { return decode(bucketPeople, key, payload, into) }
		if err := each(string(key[len(table)+1:]), read); err != nil {
			return err
		}
	}
	return nil
}

// PutRow writes a row of a table.
func (t *Tx) PutRow(table, key string, row any) error {
	_, err := t.putJSON(bucketPeople, rowKey(table, key), row)
	return err
}

// DeleteRow removes a row of a table; one that is not there is no error.
func (t *Tx) DeleteRow(table, key string) error {
	t.wrote = true
	if err := t.tx.Bucket(bucketPeople).Delete(rowKey(table, key)); err != nil {
		return fmt.Errorf("remove from %s: %w", table, err)
	}
	return nil
}

// eventRecord is one event with the hash of the one before.
type eventRecord struct {
	Prev  string          `json:"prev"`
	Event json.RawMessage `json:"event"`
}

type eventHead struct {
	Seq  uint64 `json:"seq"`
	Head string `json:"head"`
}

// EventHead says where the chain of events stands.
func (t *Tx) EventHead() (seq uint64, hash string, err error) {
	payload, ok, err := t.get(bucketMeta, keyEvents)
	if err != nil || !ok {
		return 0, noRecord, err
	}
	var h eventHead
	err = decode(bucketMeta, keyEvents, payload, &h)
	return h.Seq, h.Head, err
}

// AppendEvent puts an event at the next place of its chain.
func (t *Tx) AppendEvent(seq uint64, event any) error {
	last, prev, err := t.EventHead()
	if err != nil {
		return err
	}
	if seq != last+1 {
		return fmt.Errorf("event %d does not come after %d", seq, last)
	}
	raw, err := edits.Encode(event)
	if err != nil {
		return err
	}
	key := seqKey(edits.Seq(seq))
	payload, err := t.putJSON(bucketEvents, key, eventRecord{Prev: prev, Event: raw})
	if err != nil {
		return err
	}
	sum := hashOf(bucketEvents, key, payload)
	_, err = t.putJSON(bucketMeta, keyEvents, eventHead{Seq: seq, Head: hex.EncodeToString(sum[:])})
	return err
}

// Event reads an event, its hash and the hash of the one before.
func (t *Tx) Event(seq uint64) (event json.RawMessage, hash, prev string, err error) {
	key := seqKey(edits.Seq(seq))
	b := t.tx.Bucket(bucketEvents)
	if b == nil || b.Get(key) == nil {
		return nil, "", "", fmt.Errorf("%w: event %d is missing", edits.ErrDamaged, seq)
	}
	value := b.Get(key)
	payload, err := unseal(bucketEvents, key, value)
	if err != nil {
		return nil, "", "", fmt.Errorf("event %d: %w", seq, err)
	}
	var r eventRecord
	err = decode(bucketEvents, key, payload, &r)
	return r.Event, hex.EncodeToString(value[:hashSize]), r.Prev, err
}

// Record returns the entry at a place of the log, its hash and the hash of the one before.
func (t *Tx) Record(seq edits.Seq) (e edits.Entry, hash, prev string, err error) {
	r, hash, err := t.record(seq)
	return r.Entry, hash, r.Prev, err
}

// forget removes every row of a table.
func (t *Tx) forget(table string) error {
	var keys []string
	err := t.Rows(table, "", func(key string, _ func(any) error) error {
		keys = append(keys, key)
		return nil
	})
	for _, key := range keys {
		if err == nil {
			err = t.DeleteRow(table, key)
		}
	}
	return err
}
