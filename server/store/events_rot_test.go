package store_test

import (
	"path/filepath"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"sideport/server/store"
)

// What rotted or was changed in the events or in the rows is found.
func TestVerifyFindsChangedEventsAndRows(t *testing.T) {
	for name, c := range map[string]struct {
		bucket string
		alter  func(b *bbolt.Bucket, key, value []byte) error
		words  string
	}{
		"an event that rotted":   {"events", flipLast, "does not match its hash"},
		"an event that is gone":  {"events", func(b *bbolt.Bucket, key, _ []byte) error { return b.Delete(key) }, "is missing"},
		"an event put in":        {"events", func(b *bbolt.Bucket, _, value []byte) error { return b.Put([]byte("12345678"), value) }, "there are 4 events and should be 3"},
		"a row that rotted":      {"people", flipLast, "does not match its hash"},
		"a row under a new name": {"people", func(b *bbolt.Bucket, _, value []byte) error { return b.Put([]byte("devices\x00other"), value) }, "does not match its hash"},
	} {
		t.Run(name, func(t *testing.T) {
			u, dir := create(t)
			err := u.Update(func(tx *store.Tx) error {
				for seq := uint64(1); seq <= 3; seq++ {
					if err := tx.AppendEvent(seq, "something"); err != nil {
						return err
					}
				}
				return tx.PutRow("devices", "x", "y")
			})
			if err != nil {
				t.Fatal(err)
			}
			if err := u.Close(); err != nil {
				t.Fatal(err)
			}
			spoil(t, filepath.Join(dir, store.FileName), c.bucket, c.alter)
			report, err := reopen(t, dir).Verify(store.Quick)
			if err != nil || !strings.Contains(strings.Join(report.Findings, "\n"), c.words) {
				t.Errorf("found %q, %v; want %q", report.Findings, err, c.words)
			}
		})
	}
}

func flipLast(b *bbolt.Bucket, key, value []byte) error {
	changed := append([]byte{}, value...)
	changed[len(changed)-1] ^= 1
	return b.Put(key, changed)
}

// spoil changes the first value of a bucket behind the store's back.
func spoil(t *testing.T, path, bucket string, alter func(b *bbolt.Bucket, key, value []byte) error) {
	t.Helper()
	db, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	err = db.Update(func(tx *bbolt.Tx) error {
		b := tx.Bucket([]byte(bucket))
		key, value := b.Cursor().First()
		return alter(b, append([]byte{}, key...), append([]byte{}, value...))
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}
