package battery_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"sideport/server/edits"
	"sideport/server/store"
)

// plan is a mistake planted in the writer or in the disk of row B1.
type plan string

const (
	asItIs       plan = "as it is"
	ackEarly     plan = "acknowledged before the commit"
	noFsync      plan = "fsync does nothing"
	everyFourth  plan = "only every fourth fsync does anything"
	twoCommits   plan = "the record in one commit, the document in a second"
	namedUnsaved plan = "the new file gets its name before it is on disk"
)

func init() {
	// Arguments: directory, seed and length of the script, the plan.
	children["write"] = func(args []string) error {
		dir, what := args[0], plan(args[3])
		var seed uint64
		var n int
		if _, err := fmt.Sscan(args[1]+" "+args[2], &seed, &n); err != nil {
			return err
		}
		return write(dir, script(seed, n), what)
	}
}

// write makes a new unit and takes the script, acknowledging each edit.
func write(dir string, list []edits.Edit, what plan) error {
	acks, err := openAcks(dir)
	if err != nil {
		return err
	}
	if err := store.Create(dir, fixedRandom); err != nil {
		return err
	}
	accept, closing, err := acceptor(dir, what)
	if err != nil {
		return err
	}
	for i, e := range list {
		if what == ackEarly {
			if err := acks.ack(); err != nil {
				return err
			}
		}
		if err := accept(clockAt(i), e); err != nil {
			return err
		}
		if what != ackEarly {
			if err := acks.ack(); err != nil {
				return err
			}
		}
	}
	return closing()
}

func acceptor(dir string, what plan) (func(time.Time, edits.Edit) error, func() error, error) {
	if what == twoCommits {
		return splitStore(filepath.Join(dir, store.FileName))
	}
	s, err := store.Open(dir)
	if err != nil {
		return nil, nil, err
	}
	return func(now time.Time, e edits.Edit) error { _, err := s.Accept(now, e); return err }, s.Close, nil
}

// A damaged file can make the database engine run in circles, so a judge has
// a time limit. Where faults are planted that happens for certain.
const (
	judgeLimit   = 20 * time.Second
	plantedLimit = 3 * time.Second
)

// scratch is a directory in memory where there is one: images are many and fsyncs slow.
func scratch(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "sideport-battery-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}
