package battery_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"sideport/server/edits"
	"sideport/server/store"
)

func init() {
	// A line: directory and length of the script. The answer says what became of the data.
	children["reader"] = answering(func(line string) string {
		var dir string
		var n int
		if _, err := fmt.Sscan(line, &dir, &n); err != nil {
			return "bad line: " + err.Error()
		}
		return readRotten(dir, script(1, n), false)
	})
	// The same, with hashes that nobody compares: the planted mistake.
	children["trusting reader"] = answering(func(line string) string {
		var dir string
		var n int
		if _, err := fmt.Sscan(line, &dir, &n); err != nil {
			return "bad line: " + err.Error()
		}
		return readRotten(dir, script(1, n), true)
	})
}

// readRotten reads everything a device could be shown and compares it with
// what was written. Refusing is right; another value never is.
func readRotten(dir string, list []edits.Edit, trusting bool) string {
	s, err := store.OpenReadOnly(dir)
	if err != nil {
		return "refused"
	}
	defer s.Close()
	want, err := expected(list)
	if err != nil {
		return oneLine(err)
	}
	report, verifyErr := s.Verify(store.Quick)
	noticed := verifyErr != nil || len(report.Findings) > 0
	if trusting {
		return trustingRead(dir, want)
	}
	_, docs, err := s.Snapshot()
	if err != nil && !errors.Is(err, edits.ErrDamaged) {
		return oneLine(err)
	}
	for _, doc := range docs {
		if b, _ := edits.Encode(doc); !bytes.Equal(b, want[doc.ID]) {
			return fmt.Sprintf("changed: %s is served as %q", doc.ID, b)
		}
	}
	for i, e := range list {
		got, ok, err := s.Entry(e.ID)
		switch {
		case (err != nil || !ok) && !noticed:
			return fmt.Sprintf("missing: edit %d is not served and the check at the start finds nothing", i)
		case err != nil || !ok:
		case string(got.Edit.Body) != string(e.Body) || int(got.Seq) != i+1:
			return fmt.Sprintf("changed: edit %d is served as %q", i, got.Edit.Body)
		}
	}
	if noticed {
		return "noticed"
	}
	return "harmless"
}

// expected is what each document must be, made by the memory log.
func expected(list []edits.Edit) (map[string][]byte, error) {
	var log edits.Memory
	for i, e := range list {
		if _, err := edits.Accept(&log, clockAt(i), e); err != nil {
			return nil, err
		}
	}
	want := map[string][]byte{}
	for _, e := range list {
		doc, ok, err := log.Document(e.Kind, e.Doc)
		if err != nil || !ok {
			continue
		}
		if want[e.Doc], err = edits.Encode(doc); err != nil {
			return nil, err
		}
	}
	return want, nil
}

// trustingRead serves documents as a store without hashes would: whatever can be decoded.
func trustingRead(dir string, want map[string][]byte) (answer string) {
	defer func() {
		if r := recover(); r != nil {
			answer = "ended"
		}
	}()
	db, err := bbolt.Open(filepath.Join(dir, store.FileName), 0o600, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		return "refused"
	}
	defer db.Close()
	answer = "harmless"
	err = db.View(func(tx *bbolt.Tx) error {
		b := tx.Bucket([]byte("documents"))
		if b == nil {
			return nil
		}
		return b.ForEach(func(_, v []byte) error {
			var doc edits.Document
			if len(v) < sha256.Size || json.Unmarshal(v[sha256.Size:], &doc) != nil {
				return nil
			}
			if w, ok := want[doc.ID]; !ok || !bytes.Equal(v[sha256.Size:], w) {
				answer = "changed: " + doc.ID + " is served with another value"
			}
			return nil
		})
	})
	if err != nil {
		return "refused"
	}
	return answer
}

// sound writes a file with the script in it.
func sound(t *testing.T, n int) []byte {
	t.Helper()
	dir := t.TempDir()
	if err := write(dir, script(1, n), asItIs); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

const pageSize = 4096

// rotten is one way in which a file can rot.
func rotten(b []byte, r *rand.Rand, n int) ([]byte, string) {
	b = bytes.Clone(b)
	pages := len(b) / pageSize
	page := r.IntN(pages)
	at := b[page*pageSize : (page+1)*pageSize]
	switch n % 6 {
	case 0, 1: // every bit of the two pages that say where everything is
		bit := n / 6 % (2 * 96 * 8)
		b[bit/(96*8)*pageSize+bit%(96*8)/8] ^= 1 << (bit % 8)
		return b, "bit " + strconv.Itoa(bit) + " of a meta page"
	case 2, 3:
		bit := r.IntN(8 * pageSize)
		at[bit/8] ^= 1 << (bit % 8)
		return b, fmt.Sprintf("bit %d of page %d", bit, page)
	case 4:
		clear(at)
		return b, fmt.Sprintf("page %d empty", page)
	}
	if r.IntN(2) == 0 {
		other := r.IntN(pages)
		copy(at, b[other*pageSize:(other+1)*pageSize])
		return b, fmt.Sprintf("page %d written over page %d", other, page)
	}
	return b[:page*pageSize], fmt.Sprintf("cut at page %d", page)
}

// rotRow lets a reader look at rotten files and counts its answers. Where one
// changed value is enough to know, it stops at the first.
func rotRow(t *testing.T, reader string, files int, oneIsEnough bool) (counts map[string]int, firstChanged string) {
	t.Helper()
	const n = 10
	b, dir := sound(t, n), scratch(t)
	r := rand.New(rand.NewPCG(*seed, 0x207))
	counts = map[string]int{}
	c := launch(t, reader)
	for i := range files {
		if oneIsEnough && counts["changed"] > 0 {
			break
		}
		bad, how := rotten(b, r, i)
		if err := os.RemoveAll(filepath.Join(dir, store.FileName)); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, store.FileName), bad, 0o600); err != nil {
			t.Fatal(err)
		}
		answer, err := c.ask(fmt.Sprintf("%s %d", dir, n), plantedLimit)
		if err != nil {
			// The engine crashed or ran in circles: nothing was served.
			answer = "ended"
			c.kill()
			c = launch(t, reader)
		}
		switch answer {
		case "refused", "noticed", "harmless", "ended":
			counts[answer]++
		default:
			counts["changed"]++
			if firstChanged == "" {
				firstChanged = how + ": " + answer
			}
		}
	}
	return counts, firstChanged
}

// TestRottenFiles is row B5: of a file with flipped bits, emptied, swapped or
// missing pages nothing is ever served as another value than was written.
func TestRottenFiles(t *testing.T) {
	counts, changed := rotRow(t, "reader", size(t, 600, 50_000), false)
	if counts["changed"] > 0 {
		t.Errorf("%d files gave another value; the first: %s", counts["changed"], changed)
	}
	if counts["noticed"]+counts["refused"] == 0 {
		t.Errorf("no damage was noticed: %v", counts)
	}
	t.Logf("%v", counts)
}

// TestRottenFilesCatchesPlantedFault: a reader that compares no hashes is
// caught. About one rotten file in a hundred holds a value that still reads and
// is another one, so it may look at thousands before it meets the first.
func TestRottenFilesCatchesPlantedFault(t *testing.T) {
	if counts, changed := rotRow(t, "trusting reader", 3000, true); counts["changed"] == 0 {
		t.Errorf("the battery does not catch: hashes are not compared: %v", counts)
	} else {
		t.Logf("caught: %s", changed)
	}
}
