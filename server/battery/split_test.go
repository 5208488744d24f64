package battery_test

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"time"

	"go.etcd.io/bbolt"

	"sideport/server/edits"
)

// splitStore is a wrong store in the right file format: it commits the record
// and its id first and the document in a second transaction. It exists to be caught.
func splitStore(path string) (func(time.Time, edits.Edit) error, func() error, error) {
	db, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		return nil, nil, err
	}
	return func(now time.Time, e edits.Edit) error {
		log := &splitLog{db: db}
		_, err := edits.Accept(log, now, e)
		return err
	}, db.Close, nil
}

type splitLog struct{ db *bbolt.DB }

func sealed(bucket, key string, payload []byte) []byte {
	h := sha256.New()
	for _, part := range []string{bucket, key, string(payload)} {
		h.Write(binary.BigEndian.AppendUint64(nil, uint64(len(part))))
		h.Write([]byte(part))
	}
	return append(h.Sum(nil), payload...)
}

func (l *splitLog) get(bucket, key string, into any) (bool, error) {
	found := false
	err := l.db.View(func(tx *bbolt.Tx) error {
		v := tx.Bucket([]byte(bucket)).Get([]byte(key))
		if v == nil {
			return nil
		}
		found = true
		if n, ok := into.(*uint64); ok {
			*n = binary.BigEndian.Uint64(v[sha256.Size:])
			return nil
		}
		return json.Unmarshal(v[sha256.Size:], into)
	})
	return found, err
}

func numberKey(n uint64) string { return string(binary.BigEndian.AppendUint64(nil, n)) }

type splitMeta struct {
	Schema int       `json:"schema"`
	Epoch  string    `json:"epoch"`
	Seq    edits.Seq `json:"seq"`
	Head   string    `json:"head"`
}

type splitRecord struct {
	Prev  string      `json:"prev"`
	Entry edits.Entry `json:"entry"`
}

func (l *splitLog) indexed(bucket, key string) (edits.Entry, bool, error) {
	var at uint64
	var r splitRecord
	if ok, err := l.get(bucket, key, &at); err != nil || !ok {
		return edits.Entry{}, false, err
	}
	ok, err := l.get("log", numberKey(at), &r)
	return r.Entry, ok, err
}

func (l *splitLog) Entry(id edits.EditID) (edits.Entry, bool, error) {
	return l.indexed("edits", string(id))
}

func (l *splitLog) Revision(kind edits.Kind, doc string, rev int) (json.RawMessage, bool, error) {
	e, ok, err := l.indexed("revisions", string(kind)+"\x00"+doc+"\x00"+numberKey(uint64(rev)))
	return e.Result(), ok, err
}

func (l *splitLog) Document(kind edits.Kind, id string) (doc edits.Document, ok bool, err error) {
	ok, err = l.get("documents", string(kind)+"\x00"+id, &doc)
	return doc, ok, err
}

func (l *splitLog) Next() (edits.Seq, error) {
	var m splitMeta
	_, err := l.get("meta", "unit", &m)
	return m.Seq + 1, err
}

// Append is the mistake: two transactions for one edit.
func (l *splitLog) Append(e edits.Entry, doc *edits.Document) error {
	var m splitMeta
	if _, err := l.get("meta", "unit", &m); err != nil {
		return err
	}
	key := numberKey(uint64(e.Seq))
	payload, err := edits.Encode(splitRecord{m.Head, e})
	if err != nil {
		return err
	}
	record := sealed("log", key, payload)
	m.Seq, m.Head = e.Seq, hex.EncodeToString(record[:sha256.Size])
	meta, err := edits.Encode(m)
	if err != nil {
		return err
	}
	err = l.db.Update(func(tx *bbolt.Tx) error {
		return errors.Join(tx.Bucket([]byte("log")).Put([]byte(key), record),
			tx.Bucket([]byte("edits")).Put([]byte(e.Edit.ID), sealed("edits", string(e.Edit.ID), []byte(key))),
			tx.Bucket([]byte("meta")).Put([]byte("unit"), sealed("meta", "unit", meta)))
	})
	if err != nil || doc == nil {
		return err
	}
	body, err := edits.Encode(doc)
	if err != nil {
		return err
	}
	name := string(doc.Kind) + "\x00" + doc.ID
	rev := name + "\x00" + numberKey(uint64(doc.Rev))
	return l.db.Update(func(tx *bbolt.Tx) error {
		return errors.Join(tx.Bucket([]byte("revisions")).Put([]byte(rev), sealed("revisions", rev, []byte(key))),
			tx.Bucket([]byte("documents")).Put([]byte(name), sealed("documents", name, body)))
	})
}
