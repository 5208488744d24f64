package battery_test

import (
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"sideport/server/store"
)

// recorded runs the writer on a disk and returns what happened.
func recorded(t *testing.T, seed uint64, n int, what plan) []event {
	t.Helper()
	d := mount(t)
	c := launch(t, "write", d.dir, fmt.Sprint(seed), fmt.Sprint(n), string(what))
	if err := c.cmd.Wait(); err != nil {
		t.Fatalf("the writer: %v: %s", err, c.err)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	syncs, acks := 0, 0
	named := false
	var events []event
	for _, e := range d.events {
		switch e.kind {
		case evSync:
			syncs++
			if what == noFsync && named || what == everyFourth && named && syncs%4 > 0 || what == namedUnsaved && !named {
				continue
			}
		case evAck:
			acks++
		case evRename:
			named = true
		}
		events = append(events, e)
	}
	if acks != n || syncs < 2*n {
		t.Fatalf("the disk saw %d acknowledgements and %d fsyncs of %d edits: the recording is no good", acks, syncs, n)
	}
	return events
}

// image is one state in which a power cut can leave the disk.
type image struct {
	content []byte // nil: the database has no name yet
	acked   int
	cut     int
	how     string
	depth   store.Depth
}

// images walks through the recording and hands out every state it can think
// of: at every event the disk holds what was synced, and of what came since
// any part, in pieces of 512 bytes, in any order.
func images(events []event, r *rand.Rand, subsets int, yield func(image) bool) {
	safe := map[*diskFile][]byte{}   // on disk for good
	loose := map[*diskFile][]event{} // written since the last fsync
	var named *diskFile              // the file that is the database
	acked := 0
	for cut, e := range events {
		switch e.kind {
		case evAck:
			acked++
		case evRename:
			if e.name == store.FileName {
				named = e.file
			}
		case evSync:
			safe[e.file] = applied(safe[e.file], loose[e.file])
			delete(loose, e.file)
		default:
			loose[e.file] = append(loose[e.file], e)
		}
		if named == nil {
			if !yield(image{acked: acked, cut: cut, how: "no file"}) {
				return
			}
			continue
		}
		base, pending := safe[named], loose[named]
		states := []image{{slices.Clone(base), acked, cut, "only what was synced", store.Quick}}
		if len(pending) > 0 {
			states = append(states,
				image{applied(base, pending), acked, cut, "everything", store.Quick},
				image{applied(base, pending[len(pending)-1:]), acked, cut, "only the newest write", store.Quick})
			for range subsets {
				states = append(states, image{applied(base, torn(pending, r)), acked, cut, "torn", store.Quick})
			}
		}
		for _, s := range states {
			if !yield(s) {
				return
			}
		}
	}
}

func applied(base []byte, events []event) []byte {
	out := slices.Clone(base)
	for _, e := range events {
		if e.kind == evTruncate {
			out = resized(out, e.off)
		} else {
			out = written(out, e.off, e.data)
		}
	}
	return out
}

const sector = 512

// torn is a random part of the writes in a random order, each cut at sectors.
func torn(pending []event, r *rand.Rand) []event {
	var out []event
	for _, e := range pending {
		if e.kind == evTruncate {
			if r.IntN(2) == 0 {
				out = append(out, e)
			}
			continue
		}
		whole := r.IntN(3)
		for at := 0; at < len(e.data); at += sector {
			if whole == 0 || whole == 1 && r.IntN(2) == 0 {
				out = append(out, event{kind: evWrite, off: e.off + int64(at), data: e.data[at:min(at+sector, len(e.data))]})
			}
		}
	}
	r.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// judged counts what the judges said.
type judged struct {
	states, bad, dead int // dead: of the bad ones, those that killed the judge
	first             string

	mu *sync.Mutex
}

func (j *judged) add(im image, verdict string) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.states++
	if verdict == "ok" {
		return
	}
	j.bad++
	if strings.HasPrefix(verdict, dead) {
		j.dead++
	}
	if j.first == "" {
		j.first = fmt.Sprintf("cut after event %d, %d acknowledged, %s: %s", im.cut, im.acked, im.how, verdict)
	}
}

// fullEvery says how often an image is judged in full: judging every edit again takes most of the time.
const fullEvery = 16

// judge lets killable processes look at images until most have been seen.
func judge(t *testing.T, events []event, seed uint64, n, subsets, most int, limit time.Duration) judged {
	t.Helper()
	jobs := make(chan image, 16)
	sum := judged{mu: &sync.Mutex{}}
	var wg sync.WaitGroup
	for range 2 {
		dir := scratch(t)
		wg.Go(func() {
			c := launch(t, "judge")
			for im := range jobs {
				verdict := look(c, dir, im, seed, n, limit)
				sum.add(im, verdict)
				if strings.HasPrefix(verdict, dead) {
					c.kill()
					c = launch(t, "judge")
				}
			}
		})
	}
	r := rand.New(rand.NewPCG(seed, 0xd15c))
	sent := 0
	seen := map[[sha256.Size]byte]bool{}
	images(events, r, subsets, func(im image) bool {
		sum := sha256.Sum256(append(slices.Clone(im.content), byte(im.acked)))
		if seen[sum] {
			return true // the same state once more proves nothing
		}
		seen[sum] = true
		if sent%fullEvery == 0 {
			im.depth = store.Full
		}
		jobs <- im
		sent++
		return sent < most
	})
	close(jobs)
	wg.Wait()
	return sum
}

// dead begins the verdict of a judge that crashed or was killed.
const dead = "dead: "

// look puts one image where a judge can open it.
func look(c *child, dir string, im image, seed uint64, n int, limit time.Duration) string {
	path := filepath.Join(dir, store.FileName)
	// A new file each time: a judge that gave up on the last one may still hold its lock.
	if err := os.RemoveAll(path); err != nil {
		return err.Error()
	}
	if im.content == nil {
		// the judge begins with nothing
	} else if err := os.WriteFile(path, im.content, 0o600); err != nil {
		return err.Error()
	}
	answer, err := c.ask(fmt.Sprintf("%s %d %d %d %d", dir, seed, n, im.acked, im.depth), limit)
	if err != nil {
		return dead + err.Error()
	}
	return answer
}

// TestCrashStates is row B1: whatever a power cut leaves behind, the data open,
// verify, and hold every acknowledged edit exactly once.
func TestCrashStates(t *testing.T) {
	const edits, subsets = 14, 3
	want := size(t, 5000, 300_000)
	total := judged{}
	for s := *seed; total.states < want; s++ {
		got := judge(t, recorded(t, s, edits, asItIs), s, edits, subsets, want-total.states, judgeLimit)
		total.states, total.bad = total.states+got.states, total.bad+got.bad
		if got.bad > 0 {
			t.Fatalf("seed %d: %d of %d states are bad; the first: %s", s, got.bad, got.states, got.first)
		}
	}
	t.Logf("%d states, no violation found", total.states)
}

// TestCrashStatesCatchPlantedFaults is the part of row B14 that belongs to the disk.
func TestCrashStatesCatchPlantedFaults(t *testing.T) {
	const edits, subsets, most = 3, 1, 60
	for _, what := range []plan{ackEarly, noFsync, everyFourth, twoCommits, namedUnsaved} {
		got := judge(t, recorded(t, *seed, edits, what), *seed, edits, subsets, most, plantedLimit)
		if got.bad == got.dead {
			t.Errorf("the battery does not catch: %s (%d states)", what, got.states)
		}
		t.Logf("%s: %d of %d states are bad, %d of them killed the judge; the first: %s", what, got.bad, got.states, got.dead, got.first)
	}
}
