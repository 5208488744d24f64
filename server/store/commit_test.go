package store

import (
	"errors"
	"strings"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"sideport/server/edits"
)

var anEdit = edits.Edit{ID: "000000000000000000000000000000aa", Kind: edits.Person, Doc: "anna", Author: "anna",
	Device: edits.ServerDevice, Made: "2027-03-31T07:42:00Z", Body: []byte(`{"id":"anna","name":"Anna Example","roles":["surgeon"]}`)}

var now = time.Date(2027, time.March, 31, 7, 42, 0, 0, time.UTC)

// A commit whose last fsync fails has been seen to be in the file afterwards
// (measured with bbolt 1.5.0 on a file system that returns errors).
func TestFailedCommitStopsEverything(t *testing.T) {
	failed := errors.New("input/output error")
	for name, commit := range map[string]func(*bbolt.Tx) error{
		"and nothing was kept":    func(*bbolt.Tx) error { return failed },
		"and the change was kept": func(tx *bbolt.Tx) error { return errors.Join(tx.Commit(), failed) },
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			if err := Create(dir, Random); err != nil {
				t.Fatal(err)
			}
			s, err := Open(dir)
			if err != nil {
				t.Fatal(err)
			}
			s.commit = commit
			if _, err := s.Accept(now, anEdit); !errors.Is(err, edits.ErrOutcomeUnknown) || !errors.Is(err, failed) {
				t.Errorf("want an unknown outcome, got %v", err)
			}
			select {
			case <-s.Failed():
			default:
				t.Error("the program was not told")
			}
			if _, err := s.Info(); !errors.Is(err, edits.ErrStopped) {
				t.Errorf("still reads: %v", err)
			}
			if _, err := s.Accept(now, anEdit); !errors.Is(err, edits.ErrStopped) {
				t.Errorf("still writes: %v", err)
			}
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			againAfter(t, dir)
		})
	}
}

// againAfter sends the edit again after a restart: it is there exactly once.
func againAfter(t *testing.T, dir string) {
	t.Helper()
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	receipt, err := s.Accept(now, anEdit)
	if err != nil || receipt.Rev != 1 || receipt.Seq != 1 {
		t.Errorf("sent again: %+v, %v", receipt, err)
	}
	report, err := s.Verify(Full)
	if err != nil || len(report.Findings) > 0 || report.Info.Seq != 1 {
		t.Errorf("verify: %+v, %v", report, err)
	}
}

func TestPanicInsideATransactionKeepsNothing(t *testing.T) {
	for name, c := range map[string]struct {
		panics  func(*Tx)
		damaged bool
	}{
		"the engine's, on a page that is not what it should be": {func(*Tx) { (*bbolt.Bucket)(nil).Get(anything) }, true},
		"a page behind the end of the file":                     {func(*Tx) { panic(fault{}) }, true},
		"the program's own":                                     {func(*Tx) { panic("index out of range") }, false},
		"the program's own, called by the engine": {func(tx *Tx) {
			_ = tx.tx.ForEach(func([]byte, *bbolt.Bucket) error { panic("index out of range") })
		}, false},
	} {
		t.Run(name, func(t *testing.T) { panicKeepsNothing(t, c.panics, c.damaged) })
	}
}

var anything = []byte("anything")

// fault is what the runtime panics with where memory cannot be read.
type fault struct{}

func (fault) Addr() uintptr { return 1 << 40 }

func panicKeepsNothing(t *testing.T, panics func(*Tx), damaged bool) {
	dir := t.TempDir()
	if err := Create(dir, Random); err != nil {
		t.Fatal(err)
	}
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.update(func(tx *Tx) error {
		if _, err := edits.Accept(tx, now, anEdit); err != nil {
			return err
		}
		panics(tx)
		return nil
	})
	var own *Mistake
	if errors.Is(err, edits.ErrDamaged) != damaged || errors.As(err, &own) == damaged {
		t.Errorf("damaged: want %v, got %v", damaged, err)
	}
	if own != nil && !strings.Contains(own.Stack(), "commit_test.go") {
		t.Errorf("the stack does not say where: %s", own.Stack())
	}
	if info, err := s.Info(); err != nil || info.Seq != 0 {
		t.Errorf("something was kept: %+v, %v", info, err)
	}
	if receipt, err := s.Accept(now, anEdit); err != nil || receipt.Outcome != edits.Applied {
		t.Errorf("the store is stuck: %+v, %v", receipt, err)
	}
}
