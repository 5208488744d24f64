package people_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store"
	"sideport/server/store/storetest"
	"sideport/server/vault"
)

func TestWhatHappenedIsWrittenDown(t *testing.T) {
	u, d := theatre(t)
	pin := u.issued("anna")
	d.tried("anna", wrongPIN(pin))
	d.tried("anna", pin)
	d.signIn("ben")
	u.must(u.doors.SignOut(d.Device, d.session))
	u.must(u.doors.Bar(u.lena, "ben", true, "has left"))
	u.must(u.doors.Bar(u.lena, "ben", false, ""))
	u.must(u.doors.Revoke(u.lena, d.ID, "lost"))
	u.must(u.doors.Note(people.Event{What: people.BackupMade, Who: "lena", About: "monday.db"}))
	want := []string{
		"device enrolled: lena # Office computer, personal",
		"set up: lena",
		"PIN issued: lena lena",
		"signed in: lena pin",
		"code made: lena Theatre 1",
		"device enrolled: lena # Theatre 1, shared",
		"PIN issued: lena anna",
		"sign-in refused: anna",
		"signed in: anna pin",
		"signed in: ben passkey",
		"key registered: ben # ed25519",
		"signed out: ben",
		"person barred: lena ben has left",
		"person admitted again: lena ben",
		"device revoked: lena # lost",
		"backup made: lena monday.db",
	}
	if got := strings.Join(u.happened(), "\n"); got != strings.Join(want, "\n") {
		t.Errorf("it happened\n%s\nand should have\n%s", got, strings.Join(want, "\n"))
	}
	u.sound()
}

func TestEventsAreAskedFor(t *testing.T) {
	u, d := theatre(t)
	d.signIn("anna")
	all, more, err := u.doors.Events(people.EventsAsked{Limit: 500})
	u.must(err)
	if more || all[len(all)-1].Seq != 1 {
		t.Errorf("of %d events the oldest is %d, more %v", len(all), all[len(all)-1].Seq, more)
	}
	page, more, err := u.doors.Events(people.EventsAsked{Limit: 2})
	u.must(err)
	if len(page) != 2 || !more || page[0] != all[0] || page[1] != all[1] {
		t.Errorf("the newest two: %+v, more %v", page, more)
	}
	next, _, err := u.doors.Events(people.EventsAsked{Limit: 2, Before: page[1].Seq})
	u.must(err)
	if len(next) != 2 || next[0] != all[2] {
		t.Errorf("the two before: %+v", next)
	}
	for _, q := range []people.EventsAsked{{Limit: 99, Person: "anna"}, {Limit: 99, Device: d.ID}} {
		some, _, err := u.doors.Events(q)
		u.must(err)
		for _, e := range some {
			if q.Person != "" && e.Who != "anna" && e.About != "anna" || q.Device != "" && e.Device != d.ID && e.About != string(d.ID) {
				t.Errorf("asked for %+v came %+v", q, e)
			}
		}
		if len(some) < 2 {
			t.Errorf("asked for %+v came %d events", q, len(some))
		}
	}
}

// The export holds both chains without a gap and nothing that opens a door.
func TestExport(t *testing.T) {
	u, d := theatre(t)
	code, err := u.doors.NewCode(u.lena, "Theatre 2", true)
	u.must(err)
	pin := u.issued("anna")
	in, err := u.doors.SignIn(d.Device, "anna", pin)
	u.must(err)
	d.signIn("anna")
	d.takes(d.makes("anna", edits.Case, "case-1", storetest.Case()), edits.ByServer)
	d.refuses(d.unsigned("zoe", edits.Case, "case-1", storetest.Case()), "zoe")

	var out bytes.Buffer
	u.must(u.doors.ExportNDJSON(&out))
	for what, secret := range map[string]string{"a code": code.Text, "a code without its hyphen": strings.Replace(code.Text, "-", "", 1), "a PIN": `"` + pin,
		"a session": string(in.Session), "a device's credential": string(d.credential)[33:], "a card": "Right eye"} {
		if strings.Contains(out.String(), secret) {
			t.Errorf("the export holds %s", what)
		}
	}
	type line struct {
		Event      *people.Event
		Edit       *struct{ Seq edits.Seq }
		Hash, Prev string
	}
	eventsAt, editsAt, seq := zeros, zeros, uint64(0)
	for raw := range strings.Lines(out.String()) {
		var l line
		u.must(json.Unmarshal([]byte(raw), &l))
		at := &eventsAt
		if l.Edit != nil {
			at = &editsAt
		} else if seq++; l.Event.Seq != seq {
			t.Errorf("event %d stands at %d", l.Event.Seq, seq)
		}
		if l.Prev != *at {
			t.Errorf("%s does not follow from the line before", raw)
		}
		*at = l.Hash
	}
	heads, err := u.doors.Heads()
	u.must(err)
	if heads.EventHead != eventsAt || heads.Head != editsAt || heads.EventSeq != seq {
		t.Errorf("the export ends at %s and %s, the heads are %+v", eventsAt, editsAt, heads)
	}
}

// After a restore the devices, keys, PINs, wrong tries and events are those of the copy, and nobody is signed in.
func TestRestored(t *testing.T) {
	if people.TableSessions != store.Sessions {
		t.Fatalf("sessions are kept in %q and forgotten in %q", people.TableSessions, store.Sessions)
	}
	u, d := theatre(t)
	pin := u.issued("anna")
	d.signIn("anna")
	d.takes(d.makes("anna", edits.Case, "case-1", storetest.Case()), edits.ByServer)
	d.tried("sam", "123456")
	before, err := u.doors.Heads()
	u.must(err)
	copyOf := filepath.Join(t.TempDir(), "monday.db")
	if _, err := u.store.Backup(copyOf); err != nil {
		t.Fatal(err)
	}
	lost := d.makes("anna", edits.Case, "case-1", storetest.Case())
	d.takes(lost, edits.ByServer)
	u.must(u.doors.Revoke(u.lena, u.enrol("lost one", true).ID, ""))

	dir := filepath.Join(t.TempDir(), "restored")
	if _, err := store.Restore(copyOf, dir, store.Random); err != nil {
		t.Fatal(err)
	}
	u.must(u.store.Close())
	u.open(dir)
	t.Cleanup(func() { _ = u.store.Close() })
	if d.who() != nil {
		t.Error("who was signed in when the copy was made is signed in again")
	}
	after, err := u.doors.Heads()
	u.must(err)
	if after != before {
		t.Errorf("the heads are %+v and were %+v", after, before)
	}
	if got, err := u.doors.Device(d.credential); err != nil || got.ID != d.ID {
		t.Errorf("the device is not known any more: %v", err)
	}
	if r := d.tried("sam", "123456"); r == nil || r.Left != 3 {
		t.Errorf("the wrong tries are forgotten: %+v", r)
	}
	if _, err := u.doors.SignIn(d.Device, "anna", pin); err != nil {
		t.Errorf("the PIN of the copy: %v", err)
	}
	d.takes(lost, edits.ByServer) // the device sends it again, with the same signature
	if u.device(d.ID).Forked {
		t.Error("after a restore the device passes for forked")
	}
	u.sound()
}

// torn is a vault whose commits fail.
type torn struct {
	people.Vault
	fails bool
}

var errTorn = errors.New("torn")

func (v *torn) Update(do func(people.Tx) error) error {
	return v.Vault.Update(func(tx people.Tx) error {
		if err := do(tx); err != nil || !v.fails {
			return err
		}
		return errTorn
	})
}

// Everything that belongs together is one transaction: where the last of it fails, nothing of it is there.
func TestAllOfItOrNothing(t *testing.T) {
	u, d := theatre(t)
	pin := u.issued("anna")
	d.signIn("anna")
	clone := d.clone()
	d.takes(d.note("one"), edits.ByServer)
	forking := clone.note("another one")
	code, err := u.doors.NewCode(u.lena, "Theatre 2", true)
	u.must(err)
	v := &torn{Vault: vault.Of(u.store)}
	u.doors = u.opened(people.Config{Store: v})
	v.fails = true
	before := rowsAndHeads(t, u)
	for name, do := range map[string]func() error{
		"an edit that shows a fork": func() error { return errOf(u.doors.Push(d.Device, d.who(), u.now, []edits.Edit{forking})) },
		"enrolling":                 func() error { _, _, err := u.doors.Enrol(people.From{}, code.Text); return err },
		"making a code":             func() error { return errOf(u.doors.NewCode(u.lena, "X", false)) },
		"signing in":                func() error { return errOf(u.doors.SignIn(d.Device, "anna", pin)) },
		"signing in by a passkey":   func() error { return errOf(u.doors.SignInBy(people.ByPasskey, d.Device, "ben")) },
		"signing out":               func() error { return u.doors.SignOut(d.Device, d.session) },
		"issuing a PIN":             func() error { return errOf(u.doors.IssuePIN(u.lena, "ben")) },
		"barring":                   func() error { return u.doors.Bar(u.lena, "ben", true, "") },
		"revoking":                  func() error { return u.doors.Revoke(u.lena, d.ID, "") },
	} {
		if err := do(); !errors.Is(err, errTorn) {
			t.Errorf("%s: %v", name, err)
		}
		if after := rowsAndHeads(t, u); after != before {
			t.Errorf("%s left something behind:\n%s\nbefore\n%s", name, after, before)
		}
	}
	v.fails = false
	clone.takes(forking, edits.ByServer)
	u.sound()
}

// rowsAndHeads is everything that the doors have on file.
func rowsAndHeads(t *testing.T, u *unit) string {
	t.Helper()
	var out strings.Builder
	err := u.store.View(func(tx *store.Tx) error {
		for _, table := range []string{"devices", "accounts", "sessions", "codes", "keys", "secrets", "tries", "tries of day", "chain", "offered"} {
			err := tx.Rows(table, "", func(key string, read func(any) error) error {
				var raw json.RawMessage
				err := read(&raw)
				out.WriteString(table + " " + key + " " + string(raw) + "\n")
				return err
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	heads, err := u.doors.Heads()
	if err != nil {
		t.Fatal(err)
	}
	return out.String() + string(encoded(t, heads))
}

// A tablet remembers the hash of a record; where the server's is another one, that is written down, once.
func TestHeadDiffers(t *testing.T) {
	u, d := theatre(t)
	heads, err := u.doors.Heads()
	u.must(err)
	for _, c := range []struct {
		seq  edits.Seq
		head string
		want bool
	}{
		{heads.Seq, heads.Head, false}, {heads.Seq - 1, heads.Head, true}, {heads.Seq - 1, heads.Head, true}, {heads.Seq + 1, heads.Head, true}, {0, zeros, false}, {1, "", false},
	} {
		if got, err := u.doors.HeadDiffers(d.Device, nil, c.seq, c.head); err != nil || got != c.want {
			t.Errorf("at %d: %v, %v, want %v", c.seq, got, err, c.want)
		}
	}
	if n := strings.Count(strings.Join(u.happened(), "\n"), "head differs"); n != 2 {
		t.Errorf("it is written down %d times, want 2", n)
	}
}

// Verify finds what the chain cannot: an entry that vouches for more than there is.
func TestVerifyChecksWhoMadeWhat(t *testing.T) {
	for name, c := range map[string]struct {
		alter    func(u *unit, d *tablet, e *edits.Edit)
		standing edits.Standing
		words    string
	}{
		"no signature":       {func(u *unit, d *tablet, e *edits.Edit) {}, edits.Standing{Checked: edits.ByServer}, "a key that this unit does not know"},
		"another body":       {func(u *unit, d *tablet, e *edits.Edit) { *e = d.signs(*e); e.Reason = "x" }, edits.Standing{Checked: edits.OnDevice}, fitsNot},
		"a role nobody had":  {func(u *unit, d *tablet, e *edits.Edit) { e.Author = "rita" }, edits.Standing{Checked: edits.BySession, PushedBy: "d"}, "rita had no role for it"},
		"a session far away": {func(u *unit, d *tablet, e *edits.Edit) {}, edits.Standing{Checked: edits.BySession, PushedBy: "x"}, "came from another device"},
		"the operator":       {func(u *unit, d *tablet, e *edits.Edit) { e.Checked = "here" }, edits.Standing{Checked: edits.ByOperator}, "the operator vouches for what is signed"},
		"nobody":             {func(u *unit, d *tablet, e *edits.Edit) {}, edits.Standing{Checked: edits.ByNobody}, "nobody vouched for it"},
		"in no known way":    {func(u *unit, d *tablet, e *edits.Edit) {}, edits.Standing{Checked: "magic"}, "is no way of knowing"},
	} {
		t.Run(name, func(t *testing.T) {
			u, d := theatre(t)
			d.signIn("anna")
			e := d.unsigned("anna", edits.Case, "case-1", storetest.Case())
			c.alter(u, d, &e)
			if c.standing.PushedBy == "d" {
				c.standing.PushedBy = d.ID
			}
			u.must(u.store.Update(func(tx *store.Tx) error {
				return errOf(edits.AcceptAs(tx, u.now, e, func() (edits.Standing, error) { return c.standing, nil }))
			}))
			findings, err := people.Verify(vault.Of(u.store))
			if err != nil || len(findings) != 1 || !strings.Contains(findings[0], c.words) {
				t.Errorf("found %q, %v; want %q", findings, err, c.words)
			}
		})
	}
}

func TestSeen(t *testing.T) {
	u, d := theatre(t)
	for _, c := range []struct {
		wait  time.Duration
		build string
		want  string
	}{{0, "a", "a"}, {59 * time.Second, "b", "a"}, {time.Second, "c", "c"}, {time.Hour, strings.Repeat("x", 500), "c"},
		// What a page asks for first does not say its build: the next request of that minute may.
		{time.Minute, "", "c"}, {0, "d", "d"}, {time.Second, "e", "d"}} {
		u.now = u.now.Add(c.wait)
		u.must(u.doors.Seen(d.ID, c.build))
		if got := u.device(d.ID); got.Build != c.want || got.LastSeen == nil {
			t.Errorf("seen with build %.9q: %+v", c.build, got)
		}
	}
}

// Out of a file that the operator has, a signed edit is asked the same as a pushed one.
func TestTakenInFromAFile(t *testing.T) {
	u, d := theatre(t)
	d.signIn("anna")
	e, forged := d.note("one"), d.note("two")
	forged.Author = "ben"
	bare := d.unsigned("anna", edits.Case, "case-2", map[string]string{"id": "no case"})
	for i, c := range []struct {
		edit    edits.Edit
		outcome edits.Outcome
		checked edits.Checked
	}{
		{e, edits.Applied, edits.ByServer}, {forged, edits.SetAside, ""}, {e, edits.AlreadyApplied, edits.ByServer},
		{bare, edits.SetAside, edits.ByOperator}, // judged, and no case
	} {
		r, err := people.TakeIn(vault.Of(u.store), u.now, c.edit)
		if err != nil || r.Outcome != c.outcome || u.entry(c.edit.ID).Identity.Checked != c.checked {
			t.Errorf("edit %d: %+v, checked %q, %v", i, r, u.entry(c.edit.ID).Identity.Checked, err)
		}
	}
	u.sound()
}

// FuzzCode: whatever is typed, a code is eight characters of its alphabet or none.
func FuzzCode(f *testing.F) {
	for _, s := range []string{"ABCD-EFGH", "abcd efgh", "oil0-1234", "", "UUUU-UUUU", "ABCD-EFG", "ABCD-EFGH-", "ſſſſſſſſ"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		tidy := people.TidyCode(typed)
		if tidy != "" && (len(tidy) != 8 || strings.Trim(tidy, "0123456789ABCDEFGHJKMNPQRSTVWXYZ") != "") {
			t.Errorf("%q is taken for %q", typed, tidy)
		}
	})
}
