package store_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"go.etcd.io/bbolt"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

// unit lets the stories check the database the way the verify command does.
type unit struct{ *store.Store }

func (u unit) SelfCheck() ([]string, error) {
	report, err := u.Verify(store.Full)
	return report.Findings, err
}

func create(t *testing.T) (unit, string) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	if err := store.Create(dir, store.Random); err != nil {
		t.Fatal(err)
	}
	return reopen(t, dir), dir
}

func reopen(t *testing.T, dir string) unit {
	t.Helper()
	s, err := store.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return unit{s}
}

func TestStories(t *testing.T) {
	storetest.Stories(t, func(t *testing.T) storetest.Unit {
		u, _ := create(t)
		return u
	})
}

// written is a unit with a card in two revisions and an edit set aside.
func written(t *testing.T) (unit, string) {
	t.Helper()
	u, dir := create(t)
	r := storetest.NewRunner(t, u).As("anna").On("phone").Write(storetest.Card()).Push().Want(edits.Applied).Sync()
	r.Change(storetest.Vacuum("chop", "400")).Push().Want(edits.Applied).Sync()
	r.Change(storetest.Vacuum("chop", "9999")).Push().Want(edits.SetAside).Done()
	return u, dir
}

func TestEverythingIsThereAfterReopening(t *testing.T) {
	u, dir := written(t)
	before, _, err := u.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	if err := u.Close(); err != nil {
		t.Fatal(err)
	}
	u = reopen(t, dir)
	after, docs, err := u.Snapshot()
	if err != nil || after != before || len(docs) != 1 || docs[0].Rev != 2 {
		t.Errorf("after reopening: %+v, %d documents, %v; before: %+v", after, len(docs), err, before)
	}
	storetest.SelfCheck(t, u)
}

func TestChangesAreTheNewestStateOfWhatChanged(t *testing.T) {
	u, _ := written(t)
	r := storetest.NewRunner(t, u).About(edits.Person, "anna").As("anna").On("desk")
	r.Write(storetest.Person()).Alter(func(e *edits.Edit) { e.ID = storetest.ID(77) }).Push().Want(edits.Applied).Done()
	for _, c := range []struct {
		after edits.Seq
		want  []string
	}{
		{0, []string{"anna-chop", "anna"}},
		{1, []string{"anna-chop", "anna"}},
		{2, []string{"anna"}}, // 3 was set aside and changed nothing
		{3, []string{"anna"}},
		{4, nil},
		{99, nil},
	} {
		info, docs, err := u.Changes(c.after)
		var got []string
		for _, d := range docs {
			got = append(got, d.ID)
		}
		if err != nil || info.Seq != 4 || !slices.Equal(got, c.want) {
			t.Errorf("after %d: %q, want %q (%+v, %v)", c.after, got, c.want, info, err)
		}
	}
}

func TestSetAsideIsListed(t *testing.T) {
	u, _ := written(t)
	_, entries, err := u.SetAside(0, 10)
	if err != nil || len(entries) != 1 || entries[0].Seq != 3 {
		t.Errorf("set aside: %+v, %v", entries, err)
	}
	storetest.SelfCheck(t, u)
}

func TestParallelEditsAreOrderedAndWhole(t *testing.T) {
	u, _ := create(t)
	const writers, each = 8, 6
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for n := range each {
				card := storetest.Card()
				card.ID = cards.CardID(fmt.Sprintf("card-%d-%d", w, n))
				card.Title = strings.Repeat(fmt.Sprintf("%d%d ", w, n), 20) + "x"
				body, err := edits.Encode(card)
				if err != nil {
					t.Error(err)
					return
				}
				e := edits.Edit{ID: storetest.ID(w*100 + n + 1), Kind: edits.Card, Doc: string(card.ID), Author: "anna",
					Device: storetest.DeviceID("phone"), Made: storetest.Start.Format("2006-01-02T15:04:05Z07:00"), Body: body}
				if r, err := u.Accept(storetest.Start, e); err != nil || r.Outcome != edits.Applied {
					t.Errorf("%s: %+v %v", card.ID, r, err)
				}
			}
		})
	}
	wg.Wait()
	info, docs, err := u.Snapshot()
	if err != nil || info.Seq != writers*each || len(docs) != writers*each {
		t.Errorf("got %+v and %d documents, %v", info, len(docs), err)
	}
	storetest.SelfCheck(t, u)
}

func TestOpeningRefuses(t *testing.T) {
	u, dir := written(t)
	if _, err := store.Open(dir); !errors.Is(err, store.ErrLocked) {
		t.Errorf("a second process: %v", err)
	}
	if err := store.Create(dir, store.Random); !errors.Is(err, store.ErrExists) {
		t.Errorf("creating over data: %v", err)
	}
	if _, err := store.Open(t.TempDir()); !errors.Is(err, store.ErrNoData) {
		t.Errorf("an empty directory: %v", err)
	}
	junk := filepath.Join(t.TempDir(), store.FileName)
	if err := os.WriteFile(junk, []byte(strings.Repeat("not a database ", 2000)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := store.OpenFile(junk); !errors.Is(err, store.ErrInvalid) {
		t.Errorf("a file of something else: %v", err)
	}
	storetest.SelfCheck(t, u)
}

func TestUnfinishedCreationIsStartedAgain(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, store.FileName+".part"), []byte("torn"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := store.Create(dir, store.Random); err != nil {
		t.Fatal(err)
	}
	storetest.SelfCheck(t, reopen(t, dir))
}

func TestReadOnlyTakesNoEdits(t *testing.T) {
	u, dir := written(t)
	if err := u.Close(); err != nil {
		t.Fatal(err)
	}
	s, err := store.OpenReadOnly(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := s.Accept(storetest.Start, edits.Edit{}); !errors.Is(err, edits.ErrReadOnly) {
		t.Errorf("an edit: %v", err)
	}
	storetest.SelfCheck(t, unit{s})
}

// rot opens the file behind the store's back and changes one value.
func rot(t *testing.T, path, bucket string, change func(*bbolt.Bucket) error) {
	t.Helper()
	db, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Update(func(tx *bbolt.Tx) error { return change(tx.Bucket([]byte(bucket))) }); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}

// flip changes one bit in the middle of the first value.
func flip(b *bbolt.Bucket) error {
	k, v := b.Cursor().First()
	changed := slices.Clone(v)
	changed[len(changed)-1-len(changed)/3] ^= 1
	return b.Put(slices.Clone(k), changed)
}

func drop(b *bbolt.Bucket) error {
	k, _ := b.Cursor().First()
	return b.Delete(slices.Clone(k))
}

func move(b *bbolt.Bucket) error {
	k, v := b.Cursor().First()
	return b.Put(append(slices.Clone(k), 'x'), slices.Clone(v))
}

func TestEveryChangeInTheFileIsFoundAndNeverServed(t *testing.T) {
	for _, bucket := range []string{"log", "edits", "documents", "revisions"} {
		for name, change := range map[string]func(*bbolt.Bucket) error{"flip": flip, "drop": drop, "move": move} {
			t.Run(bucket+" "+name, func(t *testing.T) {
				u, dir := written(t)
				if err := u.Close(); err != nil {
					t.Fatal(err)
				}
				rot(t, filepath.Join(dir, store.FileName), bucket, change)
				u = reopen(t, dir)
				report, err := u.Verify(store.Quick)
				if err != nil || len(report.Findings) == 0 {
					t.Errorf("verify found nothing: %+v, %v", report, err)
				}
				if bucket == "documents" && name == "flip" {
					if _, _, err := u.Snapshot(); !errors.Is(err, edits.ErrDamaged) {
						t.Errorf("a damaged document was served: %v", err)
					}
				}
			})
		}
	}
}

func TestDamagedMetaDoesNotOpen(t *testing.T) {
	u, dir := written(t)
	if err := u.Close(); err != nil {
		t.Fatal(err)
	}
	rot(t, filepath.Join(dir, store.FileName), "meta", flip)
	if _, err := store.Open(dir); !errors.Is(err, edits.ErrDamaged) {
		t.Errorf("opened: %v", err)
	}
}

func TestBackupAndRestore(t *testing.T) {
	u, dir := written(t)
	copied := filepath.Join(dir, "backups", "monday.db")
	report, err := u.Backup(copied)
	if err != nil || report.Info.Seq != 3 {
		t.Fatalf("backup: %+v, %v", report, err)
	}
	if _, err := u.Backup(copied); !errors.Is(err, store.ErrExists) {
		t.Errorf("backup over a backup: %v", err)
	}
	if _, err := store.Restore(copied, dir, store.Random); !errors.Is(err, store.ErrExists) {
		t.Errorf("restore over data: %v", err)
	}
	elsewhere := filepath.Join(t.TempDir(), "new", "data")
	restored, err := store.Restore(copied, elsewhere, store.Random)
	if err != nil {
		t.Fatal(err)
	}
	if restored.Info.Epoch == report.Info.Epoch || restored.Info.Head != report.Info.Head {
		t.Errorf("want a new epoch and the same head: %+v and %+v", restored.Info, report.Info)
	}
	r := reopen(t, elsewhere)
	doc, ok, err := r.Document(edits.Card, "anna-chop")
	if err != nil || !ok || doc.Rev != 2 {
		t.Errorf("the restored card: %+v, %v, %v", doc, ok, err)
	}
	storetest.SelfCheck(t, r)
	storetest.SelfCheck(t, u)
}

func TestDamagedBackupIsNotRestored(t *testing.T) {
	u, dir := written(t)
	copied := filepath.Join(dir, "backups", "monday.db")
	if _, err := u.Backup(copied); err != nil {
		t.Fatal(err)
	}
	rot(t, copied, "documents", flip)
	target := t.TempDir()
	if _, err := store.Restore(copied, target, store.Random); !errors.Is(err, store.ErrNotWhole) {
		t.Errorf("restored: %v", err)
	}
	if left, err := os.ReadDir(target); err != nil || len(left) != 0 {
		t.Errorf("files were left: %v, %v", left, err)
	}
	storetest.SelfCheck(t, u)
}
