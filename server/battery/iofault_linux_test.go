package battery_test

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"sideport/server/edits"
	"sideport/server/store"
)

func init() {
	// A line: directory, seed and length of the script, and whether the mistake
	// is made. The answer: how many edits were acknowledged, and what was wrong.
	children["attempt"] = answering(func(line string) string {
		var dir string
		var seed uint64
		var n int
		var wrong bool
		if _, err := fmt.Sscan(line, &dir, &seed, &n, &wrong); err != nil {
			return "0 bad line: " + err.Error()
		}
		acked, err := attempt(dir, script(seed, n), wrong)
		if err != nil {
			return fmt.Sprintf("%d %s", acked, oneLine(err))
		}
		return fmt.Sprintf("%d ok", acked)
	})
}

// attempt makes a unit and takes edits until a call fails. From then on the
// store must serve nothing, neither edits nor readings. wrong is the planted
// mistake: an error is taken for "nothing happened" and the next edit is
// acknowledged in its place.
func attempt(dir string, list []edits.Edit, wrong bool) (acked int, err error) {
	if err := store.Create(dir, fixedRandom); err != nil {
		return 0, nil
	}
	s, err := store.Open(dir)
	if err != nil {
		return 0, nil
	}
	defer s.Close()
	for i, e := range list {
		r, err := s.Accept(clockAt(i), e)
		if err == nil {
			acked++
			continue
		}
		if wrong {
			return acked + 1, nil
		}
		return acked, refusesAfter(s, r, err, list[i])
	}
	return acked, nil
}

// refusesAfter checks the rule of a failed commit: outcome unknown, then nothing more.
func refusesAfter(s *store.Store, r edits.Receipt, failed error, e edits.Edit) error {
	if !errors.Is(failed, edits.ErrOutcomeUnknown) {
		// The call failed before the commit: nothing was kept, and the edit can be taken at once.
		if _, err := s.Info(); err != nil {
			return fmt.Errorf("%v did not stop the store and still it reads nothing: %w", failed, err)
		}
		return nil
	}
	select {
	case <-s.Failed():
	default:
		return fmt.Errorf("the program was not told to end after %w", failed)
	}
	if _, err := s.Info(); !errors.Is(err, edits.ErrStopped) {
		return fmt.Errorf("reads on after %w", failed)
	}
	if _, err := s.Accept(clockAt(0), e); !errors.Is(err, edits.ErrStopped) {
		return fmt.Errorf("takes edits after %w", failed)
	}
	return nil
}

const attemptLimit = 20 * time.Second

// faultRow lets the k-th call fail, for every k, and returns how many cases it tried and the first that went wrong.
func faultRow(t *testing.T, n int, faults []diskFault, wrong bool) (cases, unknown int, bad error) {
	t.Helper()
	d := mount(t)
	worker, judges := launch(t, "attempt"), launch(t, "judge")
	one := func(k int, fault diskFault) (acked, calls int, err error) {
		d.clear()
		d.arm(k, fault)
		answer, err := worker.ask(fmt.Sprintf("%s %d %d %v", d.dir, *seed, n, wrong), attemptLimit)
		if err != nil {
			return 0, 0, err
		}
		calls = d.callsSoFar()
		d.arm(0, ioError)
		var said string
		if _, err := fmt.Sscan(answer, &acked, &said); err != nil || said != "ok" {
			return acked, calls, fmt.Errorf("%s", answer)
		}
		verdict, err := judges.ask(fmt.Sprintf("%s %d %d %d %d", d.dir, *seed, n, acked, store.Full), judgeLimit)
		if err == nil && verdict != "ok" {
			err = fmt.Errorf("%s", verdict)
		}
		return acked, calls, err
	}
	acked, calls, err := one(0, ioError)
	if err != nil || acked != n {
		t.Fatalf("without a fault: %d of %d edits, %v", acked, n, err)
	}
	for _, fault := range faults {
		for k := 1; k <= calls; k++ {
			cases++
			acked, _, err := one(k, fault)
			if err != nil {
				return cases, unknown, fmt.Errorf("call %d: %s, %d acknowledged: %w", k, fault, acked, err)
			}
			if acked < n {
				unknown++
			}
		}
	}
	return cases, unknown, nil
}

// TestEveryCallFails is row B3: whichever write, truncate, fsync or rename
// fails, no acknowledged edit is missing, nothing is served after a failed
// commit, and sending again makes it exactly once.
func TestEveryCallFails(t *testing.T) {
	cases, stopped, err := faultRow(t, size(t, 8, 30), []diskFault{ioError, diskFull, shortWrite}, false)
	if err != nil {
		t.Fatal(err)
	}
	if stopped < cases/2 {
		t.Errorf("only %d of %d faults were noticed: the test tested nothing", stopped, cases)
	}
	t.Logf("%d calls failed one by one, %d of them stopped the store, no violation found", cases, stopped)
}

// TestEveryCallFailsCatchesPlantedFault: a store that takes an error for "nothing happened" is caught.
func TestEveryCallFailsCatchesPlantedFault(t *testing.T) {
	if _, _, err := faultRow(t, 3, []diskFault{diskFull}, true); err == nil {
		t.Error("the battery does not catch: an edit is acknowledged although its commit failed")
	} else {
		t.Logf("caught: %v", err)
	}
}
