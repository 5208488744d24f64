package e2e

import (
	"encoding/json"
	"errors"
	"fmt"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// The server is restored from a copy that is older than what it acknowledged.
// The tablet notices by itself, sends again what the server lost and what
// waited meanwhile, each once; what it had only read of somebody else is kept
// aside and shown.
func TestRestoredServer(t *testing.T) {
	s := startServer(t)
	theatre, office := newTablet(t, s, upright), newTablet(t, s, desk)
	theatre.becomes(chopSurgeon)
	office.becomes(flipSurgeon)
	for _, b := range []*tablet{theatre, office} {
		b.installed()
	}
	before := s.document("card", chopCard)
	backup := filepath.Join(t.TempDir(), "older.db")
	s.command("backup", "-data", s.data, "-addr", s.addr, "-to", backup)

	// After the copy: one edit of this tablet and one of another are acknowledged.
	theatre.changeLimit(chopCard, "chop", "390")
	theatre.open("/waiting")
	theatre.sees("Nothing is waiting")
	office.changeLimit(flipCard, "epinucleus", "220")
	office.open("/waiting")
	office.sees("Nothing is waiting")
	office.shut()
	theatre.open("/cards/" + flipCard)
	theatre.sees("Revision 2")
	s.kill()

	// The server is away; one more edit waits, and its page stays open.
	theatre.changeLimit(chopCard, "segment-removal", "350")
	theatre.open("/waiting")
	theatre.sees("Segment removal vacuum")

	s.data = filepath.Join(t.TempDir(), "restored")
	s.command("restore", "-from", backup, "-data", s.data)
	s.start()

	theatre.sees("Nothing is waiting")
	after := s.document("card", chopCard)
	if got := changesSince(after, before.Rev); !slices.Equal(got, []string{"Chop vacuum 400 → 390 mmHg", "Segment removal vacuum 380 → 350 mmHg"}) {
		t.Errorf("since the copy the card has %q; want the lost edit and the waiting one, each once", got)
	}
	// The waiting one counts from a revision that is no more: it came under another id, and its signature still fits what it was.
	if e := s.newest("card", chopCard); e.Edit.Was == nil || e.Edit.Was.ID == e.Edit.ID || e.Edit.Sig == "" {
		t.Errorf("the waiting edit came as %+v; want it signed as it was before the restore", e.Edit)
	}
	if after.Rev != before.Rev+2 {
		t.Errorf("the card went from revision %d to %d; want one for each of the two edits", before.Rev, after.Rev)
	}
	theatre.sees("Lost when the server was restored")
	theatre.sees("Epinucleus vacuum")
	if got := s.document("card", flipCard); got.Rev != 1 {
		t.Errorf("the other card is at revision %d; want the 1 of the copy until its own tablet comes back", got.Rev)
	}
	theatre.screenshot("restored-waiting")

	// The other tablet comes back: its edit is there again, and nothing is shown as lost any more.
	office.launch()
	office.open("/waiting")
	eventually(t, "the lost edit of the other tablet is on the server again", func() error {
		if got := changesSince(s.document("card", flipCard), 1); len(got) != 1 || !strings.Contains(got[0], "220 mmHg") {
			return fmt.Errorf("since the copy the card has %q", got)
		}
		return nil
	})
	eventually(t, "what came back is not shown as lost", func() error {
		text, err := theatre.text()
		if err == nil && strings.Contains(text, "Lost when the server was restored") {
			err = errors.New("it still is")
		}
		return err
	})
	if got := s.document("card", chopCard); got.Rev != after.Rev {
		t.Errorf("the card went on from revision %d to %d; something was sent twice", after.Rev, got.Rev)
	}
}

// Somebody is in the middle of a change while the server is restored to a copy
// in which the revision on the screen never was. The change counts from what
// both histories have, and not from another revision of the same number.
func TestRestoredWhileTyping(t *testing.T) {
	s := startServer(t)
	theatre, office := newTablet(t, s, upright), newTablet(t, s, desk)
	for _, b := range []*tablet{theatre, office} {
		b.becomes(chopSurgeon)
		b.installed()
	}
	backup := filepath.Join(t.TempDir(), "older.db")
	s.command("backup", "-data", s.data, "-addr", s.addr, "-to", backup)
	office.changeLimit(chopCard, "chop", "390")
	office.open("/waiting")
	office.sees("Nothing is waiting")
	office.shut()

	theatre.open("/cards/" + chopCard)
	theatre.sees("Revision 2")
	theatre.open("/cards/" + chopCard + "/edit?part=limits&phase=segment-removal")
	theatre.write("Vacuum", "350")
	theatre.meetsRestored(backup)
	theatre.tap("Look and keep")
	theatre.write("Reason, in one line", "Softer today")
	theatre.tap("Keep")
	theatre.sees("Kept on this device.")
	theatre.open("/waiting")
	theatre.sees("Nothing is waiting")

	got := changesSince(s.document("card", chopCard), 1)
	if all := strings.Join(got, "; "); !strings.Contains(all, "Segment removal vacuum 380 → 350 mmHg") {
		t.Errorf("since the copy the card has %q; the change that was being typed is missing", got)
	}
	theatre.open("/waiting/set-aside")
	theatre.sees("Nothing is set aside")
}

// Somebody is taking back a change of this tablet's own while the server is
// restored to a copy without that change. It comes back by itself, and what is
// kept then takes it back: counted from the copy alone it would say nothing.
func TestRestoredWhileTakingBack(t *testing.T) {
	s := startServer(t)
	theatre := newTablet(t, s, upright)
	theatre.becomes(chopSurgeon)
	theatre.installed()
	backup := filepath.Join(t.TempDir(), "older.db")
	s.command("backup", "-data", s.data, "-addr", s.addr, "-to", backup)
	theatre.changeLimit(chopCard, "chop", "390")
	theatre.open("/waiting")
	theatre.sees("Nothing is waiting")

	theatre.open("/cards/" + chopCard)
	theatre.sees("Revision 2")
	theatre.open("/cards/" + chopCard + "/edit?part=limits&phase=chop")
	theatre.write("Vacuum", "400")
	theatre.meetsRestored(backup)
	theatre.tap("Look and keep")
	theatre.write("Reason, in one line", "As it was")
	theatre.tap("Keep")
	theatre.sees("Kept on this device.")
	theatre.open("/waiting")
	theatre.sees("Nothing is waiting")

	want := []string{"Chop vacuum 400 → 390 mmHg", "Chop vacuum 390 → 400 mmHg"}
	if got := changesSince(s.document("card", chopCard), 1); !slices.Equal(got, want) {
		t.Errorf("since the copy the card has %q; want %q", got, want)
	}
}

// meetsRestored puts the server back to a copy and waits until the tablet has read it.
func (b *tablet) meetsRestored(backup string) {
	b.t.Helper()
	b.s.kill()
	b.s.data = filepath.Join(b.t.TempDir(), "restored")
	b.s.command("restore", "-from", backup, "-data", b.s.data)
	b.s.start()
	epoch := b.s.epoch()
	eventually(b.t, "the tablet has read the restored server", func() error {
		got, err := eval[string](b, mirrorEpoch)
		if err == nil && got != epoch {
			err = fmt.Errorf("it stands at epoch %s, the server at %s", got, epoch)
		}
		return err
	})
}

const (
	flipCard    = "lanternby-flip"
	flipSurgeon = "Saffron Lanternby"
)

const mirrorEpoch = `new Promise((ok, no) => { const r = indexedDB.open("sideport"); r.onerror = () => no(r.error); r.onsuccess = () => {
	const g = r.result.transaction("meta").objectStore("meta").get("mirror"); g.onsuccess = () => { r.result.close(); ok(g.result ? g.result.epoch : ""); }; }; })`

// changeLimit changes the vacuum of one phase of a card and keeps it.
func (b *tablet) changeLimit(card, phase, to string) {
	b.t.Helper()
	b.open("/cards/" + card + "/edit?part=limits&phase=" + phase)
	b.write("Vacuum", to)
	b.tap("Look and keep")
	b.sees("→ " + to + " mmHg")
	b.write("Reason, in one line", "Softer today")
	b.tap("Keep")
	b.sees("Kept on this device.")
}

// command runs one of the program's own commands, as whoever looks after the machine would.
func (s *server) command(args ...string) {
	s.t.Helper()
	path, err := program()
	if err != nil {
		s.t.Fatal(err)
	}
	if out, err := exec.Command(path, args...).CombinedOutput(); err != nil {
		s.t.Fatalf("sideport %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

// place is where the server stands: its epoch, and the end of its log.
func (s *server) place() (epoch string, seq int) {
	s.t.Helper()
	body, err := s.get("/api/v1/snapshot")
	if err != nil {
		s.t.Fatal(err)
	}
	var at struct {
		Epoch string
		Seq   int
	}
	if err := json.Unmarshal(body, &at); err != nil {
		s.t.Fatal(err)
	}
	return at.Epoch, at.Seq
}

func (s *server) epoch() string {
	s.t.Helper()
	epoch, _ := s.place()
	return epoch
}

// changesSince are the changes of a document's revisions after the given one, in words.
func changesSince(d document, rev int) []string {
	var changes []string
	for _, h := range d.History {
		if h.Rev > rev {
			changes = append(changes, h.Changes...)
		}
	}
	return changes
}
