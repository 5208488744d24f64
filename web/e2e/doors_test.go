package e2e

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

const reader = "Tamsin Copperkettle"

// A tablet that nobody let in shows how it is let in, and a press of the
// demonstration's button is enough. Where the server does not answer it says so at once.
func TestEnrolByButton(t *testing.T) {
	s := startServer(t)
	l := newLine(t, s)
	b := bareTablet(t, l.server, upright)
	b.expectComplaints("the server does not answer")
	l.puts(only(http.MethodGet, "/api/v1/health", away))
	b.open("/")
	b.sees("The server was not reached.")
	l.puts(nil)
	b.open("/")
	b.tap("As the theatre's tablet")
	b.sees("Horizontal chop")
	b.open("/cards/" + chopCard)
	b.sees(chopTitle)
}

// A shared tablet that nobody touches locks itself. What was being written
// stays, reading goes on, the server ends the session, and the change is kept
// after the PIN.
func TestSharedTabletLocksItself(t *testing.T) {
	s := startServer(t)
	b := bareTablet(t, s, upright).enrols("shared")
	b.injects(wrongClock)
	b.becomes(scrubNurse)
	b.goes("/cards/" + chopCard + "/edit?part=limits&phase=chop")
	b.write("Vacuum", "390")
	b.runs(`localStorage.setItem("battery-shift", 6 * 60 * 1000)`)
	b.sees(scrubNurse + ", locked")
	eventually(t, "the server has ended the session", func() error {
		who, err := eval[*string](b, `fetch("/api/v1/me").then(r => r.json()).then(me => me.person)`)
		if err == nil && who != nil {
			err = fmt.Errorf("%s is signed in", *who)
		}
		return err
	})
	b.tap("Look and keep")
	b.sees("→ 390 mmHg")
	b.write("Reason, in one line", "Softer today")
	b.tap("Keep")
	b.sees("Your PIN, to keep this")
	b.screenshot("pin-to-keep")
	b.fits("the PIN")
	b.tap("Do not keep it now")
	b.sees("Not kept: nobody signed in. What you wrote is still here.")
	b.tap("Keep")
	b.unlocks(scrubNurse)
	b.sees("Kept on this device")
	b.goes("/waiting")
	b.sees("Nothing is waiting")
	b.open("/cards/" + chopCard + "/limits")
	b.sees("400 mmHg") // the nurse proposes, and reading asks for nothing
	b.sees(scrubNurse + ", locked")
}

// Five wrong PINs with no server lock a person on a tablet, also for the right
// one, until it reaches the server again. Who never signed in on it cannot begin there.
func TestWrongPINsOffline(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.installed()
	b.tap("Sign out")
	b.sees("Nobody is signed in now.")
	s.kill()
	b.tapIn(".names", flipSurgeon)
	b.types(flipSurgeon, s.pin(flipSurgeon))
	b.sees("this person has not signed in on this device yet")
	b.tap("Back to the names")
	b.tapIn(".names", chopSurgeon)
	for _, says := range []string{"4 more tries", "3 more tries", "2 more tries", "1 more try", "locked on this device until it reaches the server"} {
		b.types(chopSurgeon, anotherPIN(s.pin(chopSurgeon)))
		b.sees(says)
	}
	b.screenshot("pin-locked")
	b.types(chopSurgeon, s.pin(chopSurgeon))
	b.sees("locked on this device until it reaches the server")
	b.open("/cards/" + chopCard + "/limits")
	b.sees("400 mmHg")
	s.start()
	b.becomes(chopSurgeon)
}

// anotherPIN is a wrong one.
func anotherPIN(pin string) string {
	last := pin[len(pin)-1]
	return pin[:len(pin)-1] + string('0'+(last-'0'+1)%10)
}

// Somebody signs out and in again with no server, changes a limit and comes
// back: the change is signed, taken, and says that the device alone checked the PIN.
func TestSignedOffline(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.installed()
	s.kill()
	b.tap("Sign out")
	b.sees("Nobody is signed in now.")
	b.becomes(chopSurgeon)
	b.sees("This device checked the PIN by itself")
	b.changeLimit(chopCard, "chop", "390")
	s.start()
	b.open("/waiting")
	b.sees("Nothing is waiting")
	e := s.newest("card", chopCard)
	if e.Edit.Sig == "" || e.Edit.Checked != "here" || e.Edit.Chain.N != 1 {
		t.Errorf("the edit is %+v; want it signed, first in its chain, its PIN checked here", e.Edit)
	}
	b.open("/cards/" + chopCard + "/history")
	b.sees("PIN checked by the device alone")
}

// Signing out takes nothing of what waits away, with no server either.
func TestSignOutKeepsWhatWaits(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.installed()
	s.kill()
	b.changeLimit(chopCard, "chop", "390")
	b.open("/person")
	b.tap("Sign out")
	b.sees("Nobody is signed in now.")
	b.open("/waiting")
	b.sees("Chop vacuum 400 → 390 mmHg")
	s.start()
	b.sends()
	if s.chopVacuum() != "390" {
		t.Errorf("the chop vacuum is %s mmHg, want 390", s.chopVacuum())
	}
}

// A finger that slips from the keys to the menu does not lose whose PIN was asked for; whoever wants the names again has a button.
func TestASlipDoesNotLoseWhosePIN(t *testing.T) {
	b := newTablet(t, startServer(t), upright)
	b.becomes(chopSurgeon)
	b.tapIn(".names", unitLead)
	b.sees("PIN of " + unitLead)
	b.tapIn(".menu", "Cards")
	b.sees("Find a card")
	b.tapIn(".menu", chopSurgeon)
	b.sees("PIN of " + unitLead)
	b.types(unitLead, b.s.pin(unitLead))
	b.sees("Editing as " + unitLead)
	b.tapIn(".menu", "Cards")
	b.sees("Find a card")
	b.tapIn(".menu", unitLead)
	b.sees("Editing as " + unitLead)
}

// The unit lead issues another PIN: the one before it opens nothing at the
// server, the new one opens the same key.
func TestPINIssuedAnew(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.changeLimit(chopCard, "chop", "390")
	b.sends()
	before := s.newest("card", chopCard).Edit.Key
	var issued struct{ PIN string }
	s.asLead().post("/api/v1/accounts/kofi-brambledene/pin", map[string]any{}, &issued)

	b.open("/person")
	b.tap("Sign out")
	b.tapIn(".names", chopSurgeon)
	b.types(chopSurgeon, s.pin(chopSurgeon))
	b.sees("more tries")
	b.types(chopSurgeon, issued.PIN)
	b.sees("Editing as " + chopSurgeon)
	b.changeLimit(chopCard, "chop", "380")
	b.sends()
	if after := s.newest("card", chopCard).Edit.Key; after != before {
		t.Errorf("signed with the key %s, and before with %s", after, before)
	}
}

// A tablet was taken out of use while it was away. It says so, forgets what it
// read and everybody's keys, and what waited on it is set aside at the server, whole.
func TestRevokedTablet(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.installed()
	lead := s.asLead()
	device, err := eval[string](b, `fetch("/api/v1/health").then(r => r.json()).then(h => h.device.id)`)
	if err != nil {
		t.Fatal(err)
	}
	s.kill()
	b.changeLimit(chopCard, "chop", "390")
	b.leavesWritten()
	b.shut()
	s.start()
	lead.post("/api/v1/devices/"+device+"/revoke", map[string]any{"reason": "lost"}, nil)

	b.launch()
	b.open("/cards/" + chopCard)
	b.sees("out of use")
	eventually(t, "what waited is set aside", func() error {
		aside, err := s.get("/api/v1/set-aside")
		if err == nil && !strings.Contains(string(aside), `"reason":"Softer today"`) {
			err = fmt.Errorf("the server has %.500s", aside)
		}
		return err
	})
	eventually(t, "the tablet has forgotten", func() error {
		left, err := eval[map[string]int](b, countedStores)
		for store, n := range left {
			if n > 0 {
				err = fmt.Errorf("its store %s still holds %d of %v", store, n, left)
			}
		}
		return err
	})
	b.forgotWritten()
	if s.chopVacuum() != "400" {
		t.Errorf("the chop vacuum is %s mmHg, want the 400 it was", s.chopVacuum())
	}
}

// leavesWritten puts a draft where the page keeps drafts; forgotWritten checks that nothing is there any more.
func (b *tablet) leavesWritten() {
	b.t.Helper()
	if _, err := eval[bool](b, `(localStorage.setItem("sideport/draft/card/a-card/a-person", "{}"), true)`); err != nil {
		b.t.Fatal(err)
	}
}

func (b *tablet) forgotWritten() {
	b.t.Helper()
	eventually(b.t, "nothing is left of what people wrote", func() error {
		left, err := eval[[]string](b, `Object.keys(localStorage)`)
		if err == nil && len(left) > 0 {
			err = fmt.Errorf("its browser still holds %q", left)
		}
		return err
	})
}

const countedStores = `new Promise((ok, no) => { const r = indexedDB.open("sideport"); r.onerror = () => no(r.error); r.onsuccess = async () => {
	const left = {}; for (const s of ["docs", "keys", "outbox", "answers", "own", "sent", "sheets", "revisions", "lost"]) left[s] = await new Promise(n => { const c = r.result.transaction(s).objectStore(s).count(); c.onsuccess = () => n(c.result); });
	r.result.close(); ok(left); }; })`

// Somebody copies the folder of a tablet's browser. The two write under one
// name: the server notices, keeps what both made, and has both let in again.
func TestClonedTablet(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.installed()
	b.shut()
	clone := &tablet{t: t, s: s, size: upright, profile: t.TempDir()}
	b.copyTo(clone.profile)
	clone.launch()
	t.Cleanup(clone.shut)
	clone.changeLimit(chopCard, "chop", "390")
	clone.sends()
	b.launch()
	b.changeLimit(chopCard, "segment-removal", "350")
	b.sends()
	for _, each := range []*tablet{b, clone} {
		each.open("/cards/" + chopCard)
		each.sees("Another device writes under this one's name")
		each.sees(chopTitle)
	}
	changes := strings.Join(changesSince(s.document("card", chopCard), 1), "; ")
	if !strings.Contains(changes, "390 mmHg") || !strings.Contains(changes, "350 mmHg") {
		t.Errorf("the card has %q; want what both made", changes)
	}
	b.tap("Let this device in")
	b.tap("As a surgeon's phone")
	b.sees("Horizontal chop")
	b.becomes(chopSurgeon)
	b.changeLimit(chopCard, "chop", "380")
	b.sends()
	if e := s.newest("card", chopCard); e.Edit.Chain.N != 1 {
		t.Errorf("the edit after the new enrolment is number %d of its chain, want the first", e.Edit.Chain.N)
	}
}

// copyTo copies the folder of a browser that is closed, but for the links by which a running one is known.
func (b *tablet) copyTo(folder string) {
	b.t.Helper()
	links, err := filepath.Glob(filepath.Join(b.profile, "Singleton*"))
	if err != nil {
		b.t.Fatal(err)
	}
	for _, link := range links {
		if err := os.Remove(link); err != nil {
			b.t.Fatal(err)
		}
	}
	if err := os.CopyFS(folder, os.DirFS(b.profile)); err != nil {
		b.t.Fatal(err)
	}
}

// The server's log is another one than the tablet read from: it says so on every screen, and keeps saying so.
func TestAnotherLogIsNoticed(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.open("/cards/" + chopCard)
	b.sees(chopTitle)
	forget := func() {
		b.runs(`await new Promise((ok, no) => { const r = indexedDB.open("sideport"); r.onerror = () => no(r.error); r.onsuccess = () => {
		const tx = r.result.transaction("meta", "readwrite"), meta = tx.objectStore("meta"), read = meta.get("mirror");
		read.onsuccess = () => meta.put({...read.result, head: "0".repeat(64)}, "mirror");
		tx.oncomplete = () => { r.result.close(); ok(); }; }; })`)
	}
	const alarm = "The server's log is not the one that this device read from."
	eventually(t, "the alarm", func() error { // a reading that was under way may write the true head over it
		forget()
		b.open("/")
		for end := time.Now().Add(8 * time.Second); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
			if text, err := b.text(); err == nil && strings.Contains(text, alarm) {
				return nil
			}
		}
		return errors.New("not said yet")
	})
	b.open("/")
	b.sees(alarm)
}

// What a role may not do is not offered, and the screen says whose it is.
func TestNotOffered(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(reader)
	for _, path := range []string{"/", "/cards", "/cards/" + chopCard, "/cards/" + chopCard + "/edit", "/rules"} {
		b.open(path)
		b.sees("is not offered to you: it is done by")
		b.sees("Sign in as somebody else")
	}
	b.open("/")
	if text, err := b.text(); err != nil || strings.Contains(text, "New case") {
		t.Errorf("a new case is offered to somebody who reads the pauses (%v)", err)
	}
	b.becomes(scrubNurse)
	b.open("/cards/" + chopCard)
	b.tap("Edit")
	b.sees("Limits")
}

// taken is one edit as the server holds it.
type taken struct {
	Edit struct {
		ID, Key, Sig, Checked string
		Chain                 struct{ N int }
		Was                   *struct{ ID string }
	}
	Receipt struct{ Outcome string }
}

// newest is the edit that made the newest revision of a document.
func (s *server) newest(kind, id string) taken {
	s.t.Helper()
	body, err := s.get("/api/v1/snapshot")
	if err != nil {
		s.t.Fatal(err)
	}
	var snapshot struct {
		Docs []struct {
			Kind, ID string
			History  []struct{ Edit string }
		}
	}
	if err := json.Unmarshal(body, &snapshot); err != nil {
		s.t.Fatal(err)
	}
	for _, d := range snapshot.Docs {
		if d.Kind == kind && d.ID == id {
			return s.edit(d.History[len(d.History)-1].Edit)
		}
	}
	s.t.Fatalf("the server has no %s %q", kind, id)
	return taken{}
}

func (s *server) edit(id string) taken {
	s.t.Helper()
	body, err := s.get("/api/v1/edits/" + id)
	if err != nil {
		s.t.Fatal(err)
	}
	var e taken
	if err := json.Unmarshal(body, &e); err != nil {
		s.t.Fatal(err)
	}
	return e
}

// asLead is the tests' own device with the unit lead signed in.
func (s *server) asLead() *caller {
	s.t.Helper()
	c := s.caller()
	c.signIn("oriel-stonebarrow")
	return c
}
