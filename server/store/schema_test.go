package store_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"sideport/server/edits"
	"sideport/server/store"
)

// ofLayout1 is a copy of a file that was written before people and devices had a place in it.
func ofLayout1(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "upgrade", "rules-3", store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, store.FileName), b, 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}

func TestAFileOfLayout1IsReadAsItIs(t *testing.T) {
	dir := ofLayout1(t)
	before, err := os.ReadFile(filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	s, err := store.OpenReadOnly(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	report, err := s.Verify(store.Full)
	if err != nil || len(report.Findings) > 0 || report.Info.Seq == 0 {
		t.Errorf("verified: %+v, %v", report, err)
	}
	if _, err := s.TryReading(); err != nil {
		t.Error(err)
	}
	err = s.View(func(tx *store.Tx) error {
		ok, err := tx.Row("devices", "x", new(string))
		seq, _, headErr := tx.EventHead()
		_, _, _, eventErr := tx.Event(1)
		if ok || seq != 0 || !errors.Is(eventErr, edits.ErrDamaged) {
			t.Errorf("it holds a row (%v) or events (%d, %v)", ok, seq, eventErr)
		}
		return errors.Join(err, headErr, tx.Rows("devices", "", func(string, func(any) error) error { return errors.New("there is a row") }))
	})
	if err != nil {
		t.Error(err)
	}
	if after, err := os.ReadFile(filepath.Join(dir, store.FileName)); err != nil || !bytes.Equal(before, after) {
		t.Errorf("reading changed the file (%v)", err)
	}
}

func TestAFileOfLayout1GetsWhatIsNew(t *testing.T) {
	dir := ofLayout1(t)
	for range 2 { // the second opening finds it done
		s, err := store.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		err = s.Update(func(tx *store.Tx) error {
			seq, _, err := tx.EventHead()
			return errors.Join(err, tx.PutRow("devices", "x", "y"), tx.AppendEvent(seq+1, "something"))
		})
		if err != nil {
			t.Fatal(err)
		}
		report, err := s.Verify(store.Full)
		if err != nil || len(report.Findings) > 0 {
			t.Errorf("verified: %+v, %v", report, err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	s := reopen(t, dir)
	report, err := s.Verify(store.Quick)
	if err != nil || report.Events != 2 {
		t.Errorf("%d events, %v", report.Events, err)
	}
}

func TestRows(t *testing.T) {
	u, _ := create(t)
	err := u.Update(func(tx *store.Tx) error {
		return errors.Join(tx.PutRow("b", "x 1", 1), tx.PutRow("b", "x 2", 2), tx.PutRow("b", "y", 3), tx.PutRow("bb", "x", 4), tx.PutRow("a", "x", 5),
			tx.DeleteRow("b", "y"), tx.DeleteRow("b", "never there"))
	})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	err = u.View(func(tx *store.Tx) error {
		return tx.Rows("b", "", func(key string, read func(any) error) error {
			var n int
			got = append(got, key)
			return read(&n)
		})
	})
	if err != nil || len(got) != 2 || got[0] != "x 1" || got[1] != "x 2" {
		t.Errorf("the table holds %q (%v)", got, err)
	}
	err = u.Update(func(tx *store.Tx) error { return tx.AppendEvent(2, "too early") })
	if err == nil {
		t.Error("an event leaves a gap")
	}
}
