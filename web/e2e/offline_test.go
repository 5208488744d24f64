package e2e

import (
	"slices"
	"strings"
	"testing"
)

const (
	chopCard    = "brambledene-horizontal-chop"
	chopTitle   = "Horizontal chop, everyday"
	chopSurgeon = "Kofi Brambledene"
)

// The main job: with the server killed, a person opens a card from cold, makes
// a sheet, lays out, reads aloud, opens a drill and changes a limit; closes the
// browser, opens it again, and the change is on the server exactly once.
func TestOffline(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.open("/")
	b.sees("Demonstration: invented unit")
	b.installed()
	b.becomes(chopSurgeon)
	before := s.document("card", chopCard)

	s.kill()
	b.reopen()
	b.open("/cards/" + chopCard)
	b.sees(chopTitle)
	b.sees("no network")

	id := b.makeCase()
	b.layOut()
	b.readLimits()
	b.readAloud()
	b.openDrill(id)
	b.changeChopVacuum("390")
	b.sees("1 edit waiting") // a case made and changed on this tablet counts once a document

	b.reopen()
	b.open("/sheet/" + id + "/setup")
	b.sees("1 of ")
	b.open("/waiting")
	b.sees("Chop vacuum 400 → 390 mmHg")

	s.start()
	b.tap("Send now")
	b.sees("Nothing is waiting")
	after := s.document("card", chopCard)
	if after.Rev != before.Rev+1 || len(after.History) != len(before.History)+1 {
		t.Fatalf("revision %d became %d with %d new entries; want exactly one", before.Rev, after.Rev, len(after.History)-len(before.History))
	}
	if last := after.History[len(after.History)-1]; !slices.Equal(last.Changes, []string{"Chop vacuum 400 → 390 mmHg"}) || last.Reason != "Softer today" {
		t.Errorf("the newest entry of the history is %+v", last)
	}
	if c := s.document("case", id); c.Rev != 1 {
		t.Errorf("the case is at revision %d, want 1", c.Rev)
	}
}

// makeCase puts a new case on the list from its facts and makes its sheet; it returns the case's id.
func (b *tablet) makeCase() string {
	b.t.Helper()
	b.open("/case/new")
	b.tap("right eye")
	b.tap(chopSurgeon)
	b.tap(chopTitle)
	b.tap("Pupil, zonules, chamber")
	b.tap("Make the sheet")
	b.sees("Set up")
	path := b.where()
	parts := strings.Split(path, "/")
	if len(parts) < 4 || parts[1] != "sheet" {
		b.t.Fatalf("after making the sheet the tablet shows %s", path)
	}
	return parts[2]
}

// layOut ticks one thing and sees the progress.
func (b *tablet) layOut() {
	b.t.Helper()
	b.sees("Right eye")
	b.sees("0 of ")
	b.tapIn("main", "Lid speculum")
	b.sees("1 of ")
}

// readLimits looks at the first two phases.
func (b *tablet) readLimits() {
	b.t.Helper()
	b.tap("Limits")
	b.sees("confirm on the machine")
	b.tap("Next")
	b.sees("400 mmHg")
}

// readAloud answers the first line of a pause, which alone brings the next.
func (b *tablet) readAloud() {
	b.t.Helper()
	b.tap("Read aloud")
	b.tapIn("main", "Sign in")
	b.tap("Start")
	b.sees("Line 1 of")
	b.tapUntil("Answered", "Stored")
	b.tapUntil("Same", "Line 2 of")
}

// openDrill goes from the pause to a drill in two taps.
func (b *tablet) openDrill(id string) {
	b.t.Helper()
	b.tap("If…")
	b.tap("Posterior capsule torn")
	b.sees("Say")
	if at := b.where(); at != "/sheet/"+id+"/if/posterior-capsule-torn" {
		b.t.Errorf("the drill is at %s", at)
	}
}

// changeChopVacuum changes one limit of the card and keeps it.
func (b *tablet) changeChopVacuum(to string) {
	b.t.Helper()
	b.open("/cards/" + chopCard + "/edit?part=limits&phase=chop")
	b.write("Vacuum", to)
	b.tap("Look and keep")
	b.sees("Chop vacuum 400 → " + to + " mmHg")
	b.write("Reason, in one line", "Softer today")
	b.tap("Keep")
	b.sees("Kept on this device.")
}
