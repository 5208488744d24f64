package store_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"go.etcd.io/bbolt"

	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

// cardAndPerson is a closed unit with a card and a person.
func cardAndPerson(t *testing.T) string {
	t.Helper()
	u, dir := written(t)
	r := storetest.NewRunner(t, u).About(edits.Person, "anna").As("anna").On("desk")
	r.Write(storetest.Person()).Alter(func(e *edits.Edit) { e.ID = storetest.ID(77) }).Push().Want(edits.Applied).Done()
	if err := u.Close(); err != nil {
		t.Fatal(err)
	}
	return dir
}

var theCard = edits.DocKey{Kind: edits.Card, ID: "anna-chop"}

func names(docs []edits.Document) []edits.DocKey {
	var out []edits.DocKey
	for _, d := range docs {
		out = append(out, edits.DocKey{Kind: d.Kind, ID: d.ID})
	}
	return out
}

func TestDamagedDocumentIsLeftOutAndNamed(t *testing.T) {
	person := []edits.DocKey{{Kind: edits.Person, ID: "anna"}}
	for name, c := range map[string]struct {
		change  func(*bbolt.Bucket) error
		damaged edits.DocKey
	}{
		"a flipped bit": {flip, theCard},
		"a value cut short": {func(b *bbolt.Bucket) error {
			k, _ := b.Cursor().First()
			return b.Put(slices.Clone(k), []byte("short"))
		}, theCard},
		"a value under the name of another": {func(b *bbolt.Bucket) error {
			c := b.Cursor()
			k, _ := c.First()
			k = slices.Clone(k)
			_, v := c.Next()
			return b.Put(k, slices.Clone(v))
		}, theCard},
		"a name that rotted": {func(b *bbolt.Bucket) error {
			k, v := b.Cursor().First()
			k, v = slices.Clone(k), slices.Clone(v)
			return errors.Join(b.Delete(k), b.Put(append([]byte{0xff}, k...), v))
		}, edits.DocKey{}},
	} {
		t.Run(name, func(t *testing.T) {
			dir := cardAndPerson(t)
			rot(t, filepath.Join(dir, store.FileName), "documents", c.change)
			s, err := store.OpenReadOnly(dir)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			_, docs, err := s.Snapshot()
			wantDamaged(t, "the snapshot", err, c.damaged)
			if got := names(docs); !slices.Equal(got, person) {
				t.Errorf("the snapshot holds %v", got)
			}
			info, docs, err := s.Changes(1)
			wantDamaged(t, "the changes", err, c.damaged)
			if got := names(docs); !slices.Equal(got, person) || info.Seq != 4 {
				t.Errorf("the changes hold %v, %+v", got, info)
			}
			_, docs, err = s.Changes(4)
			wantDamaged(t, "no changes", err, c.damaged)
			if len(docs) != 0 {
				t.Errorf("after the last record: %v", names(docs))
			}
			if r, err := s.TryReading(); err != nil || r != (store.Readable{Shown: 1, Damaged: 1}) {
				t.Errorf("reading everything: %+v, %v", r, err)
			}
		})
	}
}

func wantDamaged(t *testing.T, what string, err error, want edits.DocKey) {
	t.Helper()
	var some store.SomeDamaged
	if !errors.As(err, &some) || !slices.Equal(some.Damaged(), []edits.DocKey{want}) || !errors.Is(err, edits.ErrDamaged) {
		t.Errorf("%s: want %v named as damaged, got %v", what, want, err)
	}
}

func TestDamageWhileServingLeavesTheOthers(t *testing.T) {
	dir := cardAndPerson(t)
	rot(t, filepath.Join(dir, store.FileName), "documents", flip)
	s := reopen(t, dir)
	_, docs, err := s.Changes(0)
	wantDamaged(t, "the changes", err, theCard)
	if len(docs) != 1 {
		t.Errorf("the changes hold %v", names(docs))
	}
	_, docs, err = s.Changes(4)
	wantDamaged(t, "after the last record", err, theCard)
	if len(docs) != 0 {
		t.Errorf("after the last record: %v", names(docs))
	}
}

func TestDamagedLogDoesNotHideChanges(t *testing.T) {
	dir := cardAndPerson(t)
	rot(t, filepath.Join(dir, store.FileName), "log", flip)
	s := reopen(t, dir)
	info, docs, err := s.Changes(0)
	if err != nil || info.Seq != 4 || len(docs) != 2 {
		t.Errorf("the changes: %+v, %v, %v", info, names(docs), err)
	}
}

// TestNoFlippedBitIsServed flips one bit in every few bytes of every place where
// the card stands in the file: each document is served as it was or not at all.
func TestNoFlippedBitIsServed(t *testing.T) {
	dir := cardAndPerson(t)
	path := filepath.Join(dir, store.FileName)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := map[edits.DocKey][]byte{}
	for _, d := range served(t, dir) {
		want[edits.DocKey{Kind: d.Kind, ID: d.ID}], err = edits.Encode(d)
		if err != nil {
			t.Fatal(err)
		}
	}
	card := want[theCard]
	left := 0
	for from := 0; ; {
		at := bytes.Index(whole[from:], card)
		if at < 0 {
			break
		}
		from += at
		for i := 0; i < len(card); i += 37 {
			b := bytes.Clone(whole)
			b[from+i] ^= 1 << (i % 8)
			if err := os.WriteFile(path, b, 0o600); err != nil {
				t.Fatal(err)
			}
			docs := served(t, dir)
			left += 2 - len(docs)
			for _, d := range docs {
				if got, err := edits.Encode(d); err != nil || !bytes.Equal(got, want[edits.DocKey{Kind: d.Kind, ID: d.ID}]) {
					t.Fatalf("byte %d: %s %s is served as %s", i, d.Kind, d.ID, got)
				}
			}
		}
		from += len(card)
	}
	if left < len(card)/37 {
		t.Errorf("the card was left out %d times: the test flipped nothing that is read", left)
	}
}

// served is what a snapshot gives, damaged documents left out.
func served(t *testing.T, dir string) []edits.Document {
	t.Helper()
	s, err := store.OpenReadOnly(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	_, docs, err := s.Snapshot()
	if err != nil && !errors.Is(err, edits.ErrDamaged) {
		t.Fatal(err)
	}
	return docs
}
