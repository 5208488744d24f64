package main

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

var update = flag.Bool("update", false, "write testdata/upgrade for the present edition of the rules, where there is none yet")

// firstOnFile is the oldest edition of the rules of which there are files.
const firstOnFile = 2

// edition is what one edition of the rules left on file: a database, a backup of it,
// what is in them, a push as a device of that time sends it, and the receipts it gets.
type edition struct{ dir string }

func ofEdition(n int) edition {
	return edition{filepath.Join("..", "testdata", "upgrade", fmt.Sprintf("rules-%d", n))}
}

func (e edition) path(name string) string { return filepath.Join(e.dir, name) }

func (e edition) read(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(e.path(name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// opened copies the database into a directory of the test.
func (e edition) opened(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, store.FileName), e.read(t, store.FileName), 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}

// TestUpgrade is row B12: data and a push of every edition of the rules are
// understood by this program. Data of the present edition are judged again edit
// by edit, so rules that changed without a new edition fail here.
func TestUpgrade(t *testing.T) {
	for n := firstOnFile; n <= edits.RulesEdition; n++ {
		e := ofEdition(n)
		if _, err := os.Stat(e.dir); errors.Is(err, os.ErrNotExist) && *update && n == edits.RulesEdition {
			writeEdition(t, e)
		} else if err != nil {
			t.Errorf("%v: write it with go test ./server -run TestUpgrade -update while the program still has this edition", err)
			continue
		}
		t.Run(filepath.Base(e.dir), func(t *testing.T) {
			t.Run("the data are whole and say the same", e.sameContents)
			t.Run("the backup can be restored", e.restores)
			t.Run("the server takes the next edits", e.goesOn)
		})
	}
}

func (e edition) sameContents(t *testing.T) {
	dir := e.opened(t)
	verified(t, dir)
	if got, want := contents(t, dir), string(e.read(t, "contents.txt")); got != want {
		t.Errorf("the data hold\n%sand should hold\n%s", got, want)
	}
}

func (e edition) restores(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "restored")
	if _, err := store.Restore(e.path("backup.db"), dir, store.Random); err != nil {
		t.Fatal(err)
	}
	verified(t, dir)
	if got, want := contents(t, dir), string(e.read(t, "contents.txt")); got != want {
		t.Errorf("the restored data hold\n%sand should hold\n%s", got, want)
	}
}

// goesOn takes the next edits as the operator does with a file from a device:
// they come from devices that nobody has enrolled, and what is judged here are
// the rules. Then the server opens what it left.
func (e edition) goesOn(t *testing.T) {
	dir := e.opened(t)
	before := verified(t, dir)
	if got, want := pushBytes(t, dir, e.read(t, "push.json")), string(e.read(t, "receipts.txt")); got != want {
		t.Errorf("the push was answered\n%sand at its time\n%s", got, want)
	}
	if after := verified(t, dir); after.Info.Seq <= before.Info.Seq {
		t.Errorf("nothing was added to %d records", before.Info.Seq)
	}
	c := launch(t, "-data", dir)
	b := c.setUp(t)
	var s snapshot
	b.get(t, "api/v1/snapshot", &s)
	c.stop(t)
	if len(s.Docs) < before.Documents {
		t.Errorf("%d documents are served of %d", len(s.Docs), before.Documents)
	}
	verified(t, dir)
}

// pushBytes takes a push as it is on file and returns its receipts, one a line.
func pushBytes(t *testing.T, dir string, b []byte) string {
	t.Helper()
	var push struct{ Edits []edits.Edit }
	if err := json.Unmarshal(b, &push); err != nil || len(push.Edits) == 0 {
		t.Fatalf("the push on file: %v", err)
	}
	s, err := store.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var out strings.Builder
	for _, e := range push.Edits {
		r, err := s.Accept(wallClock(), e)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&out, "%s %s: %s %s, revision %d, record %d\n", r.ID, r.Outcome, r.Kind, r.Doc, r.Rev, r.Seq)
	}
	return out.String()
}

// contents says what a database holds in a form that shows a difference by
// eye and does not depend on how this program stores it.
func contents(t *testing.T, dir string) string {
	t.Helper()
	s, err := store.OpenReadOnly(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	info, docs, err := s.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	fmt.Fprintf(&out, "%d records, head %s\n", info.Seq, info.Head)
	for _, d := range docs {
		fmt.Fprintf(&out, "%s %s: revision %d, record %d, body %x\n", d.Kind, d.ID, d.Rev, d.Seq, sha256.Sum256(d.Body))
		for _, h := range d.History {
			fmt.Fprintf(&out, "  %d %s by %s at %s, edit %s: %s\n", h.Rev, h.Outcome, h.By, h.At.Format(time.RFC3339), h.Edit, strings.Join(h.Changes, "; "))
		}
		for _, q := range d.Questions {
			fmt.Fprintf(&out, "  open: %s: %s %s by %s, or %s by %s\n", q.ID, q.Unit, q.HeadText, q.HeadBy, q.MineText, q.MineBy)
		}
	}
	return out.String()
}

// recorded lets a story run over a database.
type recorded struct{ *store.Store }

func (r recorded) SelfCheck() ([]string, error) {
	report, err := r.Verify(store.Full)
	return report.Findings, err
}

// writeEdition tells a story in which everything happens that an edit can become, and keeps what it leaves.
func writeEdition(t *testing.T, e edition) {
	t.Helper()
	dir := t.TempDir()
	if err := store.Create(dir, func(b []byte) { copy(b, "upgrade, rules  ") }); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	if tellEverything(storetest.NewRunner(t, recorded{s})); t.Failed() {
		t.FailNow()
	}
	backup := filepath.Join(dir, "backup.db")
	if _, err := s.Backup(backup); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	said := contents(t, dir)
	push := pushOfToday(t)
	files := map[string][]byte{"contents.txt": []byte(said), "push.json": push}
	for name, from := range map[string]string{store.FileName: filepath.Join(dir, store.FileName), "backup.db": backup} {
		if files[name], err = os.ReadFile(from); err != nil {
			t.Fatal(err)
		}
	}
	files["receipts.txt"] = []byte(pushBytes(t, dir, push))
	if err := os.MkdirAll(e.dir, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, b := range files {
		if err := os.WriteFile(e.path(name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func tellEverything(r *storetest.Runner) {
	lead := storetest.Person()
	lead.Roles = append(lead.Roles, cards.PersonUnitLead)
	r.As("anna").On("phone")
	r.About(edits.Unit, edits.TheUnit).Write(cards.EyeUnit{Name: "Unit of the tests"}).Push().Want(edits.Applied)
	r.About(edits.Person, "anna").Write(lead).Push().Want(edits.Applied)
	r.About(edits.Rules, edits.HouseRules).Write(smallBook()).Push().Want(edits.Applied)

	card := storetest.Card()
	card.Items, card.Steps = nil, nil
	r.About(edits.Card, "anna-chop").Write(card).Push().Want(edits.Applied).Sync().On("desk").Sync()
	r.Change(storetest.Vacuum("chop", "400")).Push().Want(edits.Applied)
	r.On("phone").Change(storetest.Title("Chop, slowly")).Change(storetest.Vacuum("sculpt", "70")).Push().Want(edits.Merged, edits.Merged)
	r.Change(storetest.Vacuum("chop", "420")).Push().Want(edits.Questioned).Sync()
	r.Change(storetest.Vacuum("chop", "420"), r.Question("phases/chop").ID).Push().Want(edits.Applied).WantQuestions()
	r.On("desk").Change(storetest.Vacuum("sculpt", "90")).Push().Want(edits.Questioned).WantQuestions("phases/sculpt")
	r.Change(storetest.Vacuum("chop", "9999")).Push().Want(edits.SetAside)

	r.About(edits.Case, "case-1").Write(storetest.Case()).Push().Want(edits.Applied).Done()
}

// smallBook is the starter rule book with one rule, no drills and short pauses: the files stay small.
func smallBook() checklist.RuleBook {
	b := checklist.Starter()
	b.Rules, b.Drills, b.Settings = b.Rules[1:2], nil, nil
	for i := range b.Pauses {
		line := b.Pauses[i].Lines[0]
		line.Text, line.Expect, line.Source = "Ready?", "", "test"
		b.Pauses[i].When, b.Pauses[i].Lines = "test", []checklist.ScriptLine{line}
	}
	return b
}

// pushOfToday is a push byte for byte as the web client sends it: an edit that
// is applied, one made on top of it, one from an older revision, one that was
// sent before, one that cannot be applied.
func pushOfToday(t *testing.T) []byte {
	t.Helper()
	body := func(changes ...func(*cards.Card)) json.RawMessage {
		card := storetest.Card()
		for _, change := range changes {
			change(&card)
		}
		b, err := edits.Encode(card)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	other := func(c *cards.Card) { c.ID, c.Title = "anna-divide", "Divide" }
	first := edits.Edit{ID: storetest.ID(101), Kind: edits.Card, Doc: "anna-divide", Author: "anna", Device: storetest.DeviceID("phone"),
		Made: "2027-04-01T06:15:00.123Z", Reason: "first try", Body: body(other)}
	second := first
	second.ID, second.After, second.Body = storetest.ID(102), first.ID, body(other, storetest.Vacuum("chop", "300"))
	older := first
	older.ID, older.Doc, older.Parent, older.Body = storetest.ID(103), "anna-chop", 1, body(func(c *cards.Card) { c.Notes = "Warm the fluid." })
	wrong := first
	wrong.ID, wrong.Doc, wrong.Body = storetest.ID(104), "anna-wrong", body(storetest.Vacuum("chop", "9999"))
	b, err := edits.Encode(map[string]any{"protocol": 1, "device": first.Device, "edits": []edits.Edit{first, second, older, first, wrong}})
	if err != nil {
		t.Fatal(err)
	}
	return b
}
