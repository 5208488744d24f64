package store

import (
	"errors"
	"fmt"
	"runtime"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"go.etcd.io/bbolt"

	"sideport/server/edits"
)

// slowDisk is a store whose commits take as long as the test says.
type slowDisk struct {
	*Store
	committing chan struct{} // one message when a commit has begun
	confirm    chan error    // what the disk answers
}

func onSlowDisk(t *testing.T) slowDisk {
	t.Helper()
	dir := t.TempDir()
	if err := Create(dir, Random); err != nil {
		t.Fatal(err)
	}
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	d := slowDisk{s, make(chan struct{}), make(chan error)}
	s.commit = func(tx *bbolt.Tx) error {
		d.committing <- struct{}{}
		if err := <-d.confirm; err != nil {
			return err
		}
		return tx.Commit()
	}
	return d
}

func personNumber(n int) edits.Edit {
	e := anEdit
	e.ID, e.Doc = edits.EditID(fmt.Sprintf("%032x", n)), fmt.Sprintf("person-%d", n)
	e.Body = fmt.Appendf(nil, `{"id":"person-%d","name":"Person %d","roles":["surgeon"]}`, n, n)
	return e
}

// answered is what became of an edit that another goroutine sends.
type answered struct {
	receipt edits.Receipt
	err     error
}

func (d slowDisk) send(n int) <-chan answered {
	done := make(chan answered, 1)
	go func() {
		r, err := d.Accept(now, personNumber(n))
		done <- answered{r, err}
	}()
	return done
}

// untilWaiting returns when a goroutine waits for the right to write.
func untilWaiting() {
	stacks := make([]byte, 1<<20)
	for {
		for _, g := range strings.Split(string(stacks[:runtime.Stack(stacks, true)]), "\n\n") {
			if strings.Contains(g, "beginRWTx") && strings.Contains(g, "sync.Mutex.Lock") {
				return
			}
		}
		runtime.Gosched()
	}
}

func TestReadersDoNotWaitForTheDisk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := onSlowDisk(t)
		began := time.Now()
		first := d.send(1)
		<-d.committing
		for range 100 {
			if info, docs, err := d.Snapshot(); err != nil || info.Seq != 0 || len(docs) != 0 {
				t.Fatalf("before the disk confirmed, a reader saw %+v, %v, %v", info, docs, err)
			}
		}
		select {
		case a := <-first:
			t.Errorf("answered before the disk confirmed: %+v", a)
		default:
		}
		time.Sleep(time.Hour) // however long the disk takes
		d.confirm <- nil
		if a := <-first; a.err != nil || a.receipt.Seq != 1 {
			t.Errorf("%+v", a)
		}
		if info, docs, err := d.Snapshot(); err != nil || info.Seq != 1 || len(docs) != 1 {
			t.Errorf("after the answer a reader saw %+v, %v, %v", info, docs, err)
		}
		if took := time.Since(began); took != time.Hour {
			t.Errorf("something besides the disk waited: %v", took)
		}
	})
}

func TestWritersWaitForEachOther(t *testing.T) {
	d := onSlowDisk(t)
	first := d.send(1)
	<-d.committing
	second := d.send(2)
	untilWaiting()
	select {
	case <-d.committing:
		t.Error("two commits at once")
	case a := <-second:
		t.Errorf("the second was answered before the first: %+v", a)
	default:
	}
	d.confirm <- nil
	<-d.committing
	if a := <-first; a.err != nil || a.receipt.Seq != 1 {
		t.Errorf("the first: %+v", a)
	}
	d.confirm <- nil
	if a := <-second; a.err != nil || a.receipt.Seq != 2 {
		t.Errorf("the second: %+v", a)
	}
}

// A writer that had already begun to wait when the commit before it failed must not write.
func TestWriterBehindAFailedCommitWritesNothing(t *testing.T) {
	d := onSlowDisk(t)
	first := d.send(1)
	<-d.committing
	second := d.send(2)
	untilWaiting()
	broken := errors.New("input/output error")
	d.confirm <- broken
	if a := <-first; !errors.Is(a.err, edits.ErrOutcomeUnknown) || !errors.Is(a.err, broken) {
		t.Errorf("the first: %+v", a)
	}
	select {
	case a := <-second:
		if !errors.Is(a.err, edits.ErrStopped) {
			t.Errorf("the second: %+v", a)
		}
	case <-d.committing:
		d.confirm <- nil
		t.Errorf("the second was written: %+v", <-second)
	}
}

func TestSendingTheSameEditFromManyTabsKeepsItOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := onSlowDisk(t)
		d.commit = (*bbolt.Tx).Commit
		var mu sync.Mutex
		outcomes := map[edits.Outcome]int{}
		var wg sync.WaitGroup
		for range 20 {
			wg.Go(func() {
				r, err := d.Accept(now, personNumber(1))
				if err != nil || r.Seq != 1 || r.Rev != 1 {
					t.Errorf("%+v, %v", r, err)
				}
				mu.Lock()
				defer mu.Unlock()
				outcomes[r.Outcome]++
			})
		}
		wg.Wait()
		if outcomes[edits.Applied] != 1 || outcomes[edits.AlreadyApplied] != 19 {
			t.Errorf("outcomes: %v", outcomes)
		}
	})
}
