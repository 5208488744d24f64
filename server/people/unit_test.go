package people_test

import (
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store"
	"sideport/server/store/storetest"
	"sideport/server/vault"
)

// tester is what tests and property tests have in common.
type tester interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

// unit is a unit with doors on a real store and a clock that the test moves.
type unit struct {
	tester
	store *store.Store
	doors *people.Doors
	now   time.Time

	// Lena is the unit lead whom set-up made, signed in on the office computer.
	lena   people.Who
	office *tablet
	pin    string // lena's
}

var start = time.Date(2027, 3, 31, 7, 42, 0, 0, time.UTC)

// bare is a unit before set-up.
func bare(t tester, dir string) *unit {
	t.Helper()
	if err := store.Create(dir, store.Random); err != nil {
		t.Fatal(err)
	}
	u := &unit{tester: t, now: start}
	u.open(dir)
	return u
}

func (u *unit) open(dir string) {
	u.Helper()
	var err error
	if u.store, err = store.Open(dir); err != nil {
		u.Fatal(err)
	}
	u.doors = u.opened(people.Config{Store: vault.Of(u.store)})
}

func (u *unit) opened(c people.Config) *people.Doors {
	u.Helper()
	c.Now, c.Random, c.Log = func() time.Time { return u.now }, store.Random, slog.New(slog.NewTextHandler(io.Discard, nil))
	doors, err := people.Open(c)
	if err != nil {
		u.Fatal(err)
	}
	return doors
}

// setUp is a unit with its first lead.
func setUp(t *testing.T) *unit {
	t.Helper()
	u := bare(t, filepath.Join(t.TempDir(), "data"))
	t.Cleanup(func() { _ = u.store.Close() })
	u.begin()
	return u
}

func (u *unit) begin() {
	u.Helper()
	done, err := u.doors.SetUp(people.From{}, people.SetUp{Code: u.doors.SetUpCode(), Unit: "Eye unit", Name: "Lena", Device: people.DeviceName{Name: "Office computer"}})
	if err != nil {
		u.Fatal(err)
	}
	u.pin = done.PIN
	u.office = &tablet{unit: u, Device: done.Device, credential: done.DeviceCredential, session: done.Session, keys: map[cards.PersonID]ed25519.PrivateKey{}, prev: zeros}
	if u.lena, err = u.doors.Session(done.Device, done.Session); err != nil {
		u.Fatal(err)
	}
}

// has puts somebody into the unit, or gives them other roles.
func (u *unit) has(id cards.PersonID, roles ...cards.PersonRole) {
	u.Helper()
	u.put(edits.Person, string(id), cards.Person{ID: id, Name: strings.ToUpper(string(id[:1])) + string(id[1:]), Roles: roles})
}

// put writes a document as the operator of the server does.
func (u *unit) put(kind edits.Kind, id string, v any) {
	u.Helper()
	doc, _, err := u.store.Document(kind, id)
	if err != nil {
		u.Fatal(err)
	}
	receipt, err := u.store.Accept(u.now, edits.Edit{ID: freshID(), Kind: kind, Doc: id, Parent: doc.Rev, Author: "lena",
		Device: edits.ServerDevice, Made: u.now.Format(time.RFC3339), Body: encoded(u, v)})
	if err != nil || receipt.Outcome != edits.Applied {
		u.Fatalf("put %s %s: %+v, %v", kind, id, receipt, err)
	}
}

func freshID() edits.EditID {
	b := make([]byte, 16)
	_, _ = rand.Read(b)
	return edits.EditID(hex.EncodeToString(b))
}

func encoded(t tester, v any) []byte {
	t.Helper()
	b, err := edits.Encode(v)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

var zeros = strings.Repeat("0", 64)

// tablet is a device with its keys and its end of the chain, as a page has them.
type tablet struct {
	*unit
	people.Device
	credential people.Credential
	session    people.Credential
	keys       map[cards.PersonID]ed25519.PrivateKey
	n          int
	prev       string
}

// enrol lets a device in with a code of lena's.
func (u *unit) enrol(name string, shared bool) *tablet {
	u.Helper()
	code, err := u.doors.NewCode(u.lena, name, shared)
	if err != nil {
		u.Fatal(err)
	}
	device, credential, err := u.doors.Enrol(people.From{}, code.Text)
	if err != nil {
		u.Fatal(err)
	}
	return &tablet{unit: u, Device: device, credential: credential, keys: map[cards.PersonID]ed25519.PrivateKey{}, prev: zeros}
}

// signIn signs a person in, and makes and registers a key as a page does the first time.
func (d *tablet) signIn(person cards.PersonID) {
	d.Helper()
	in, err := d.doors.SignInBy(people.ByPasskey, d.Device, person)
	if err != nil {
		d.Fatal(err)
	}
	d.session = in.Session
	if d.keys[person] != nil {
		return
	}
	public, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		d.Fatal(err)
	}
	if _, err := d.doors.RegisterKey(*d.who(), d.Device, public, people.Ed25519); err != nil {
		d.Fatal(err)
	}
	d.keys[person] = private
}

// who is signed in, or nil.
func (d *tablet) who() *people.Who {
	who, err := d.doors.Session(d.Device, d.session)
	if err != nil {
		return nil
	}
	return &who
}

// unsigned is an edit as somebody makes it here.
func (d *tablet) unsigned(author cards.PersonID, kind edits.Kind, id string, v any) edits.Edit {
	d.Helper()
	doc, _, err := d.store.Document(kind, id)
	if err != nil {
		d.Fatal(err)
	}
	return edits.Edit{ID: freshID(), Kind: kind, Doc: id, Parent: doc.Rev, Author: author, Device: d.ID,
		Made: d.now.Format(time.RFC3339), Reason: "because", Body: encoded(d, v)}
}

// makes is a signed edit at the next place of the chain.
func (d *tablet) makes(author cards.PersonID, kind edits.Kind, id string, v any) edits.Edit {
	d.Helper()
	return d.signs(d.unsigned(author, kind, id, v))
}

func (d *tablet) signs(e edits.Edit) edits.Edit {
	d.Helper()
	d.n++
	e.Chain = &edits.Link{N: d.n, Prev: d.prev}
	e, d.prev = d.sealed(e)
	return e
}

// sealed signs an edit as it stands and returns the hash of what was signed.
func (d *tablet) sealed(e edits.Edit) (edits.Edit, string) {
	d.Helper()
	private := d.keys[e.Author]
	e.Key = string(people.NameKey(private.Public().(ed25519.PublicKey)))
	signed, err := people.SignedBytes(e)
	if err != nil {
		d.Fatal(err)
	}
	e.Sig = base64.RawURLEncoding.EncodeToString(ed25519.Sign(private, signed))
	sum := sha256.Sum256(signed)
	return e, hex.EncodeToString(sum[:])
}

// push sends edits from this device.
func (d *tablet) push(list ...edits.Edit) []edits.Receipt {
	d.Helper()
	receipts, err := d.doors.Push(d.Device, d.who(), d.now, list)
	if err != nil {
		d.Fatal(err)
	}
	return receipts
}

// takes pushes an edit that must be judged and not refused.
func (d *tablet) takes(e edits.Edit, want edits.Checked) edits.Receipt {
	d.Helper()
	r := d.push(e)[0]
	entry := d.entry(e.ID)
	if entry.Refused() || entry.Identity.Checked != want || entry.Identity.PushedBy != d.ID {
		d.Fatalf("%s %s of %s: %s (%s), checked %+v, want %q", e.Kind, e.Doc, e.Author, r.Outcome, r.Reason, entry.Identity, want)
	}
	return r
}

// refuses pushes an edit that must be set aside for who made it, in these
// words, whole and with nothing changed.
func (d *tablet) refuses(e edits.Edit, words string) {
	d.Helper()
	before, _, err := d.store.Document(e.Kind, e.Doc)
	if err != nil {
		d.Fatal(err)
	}
	r := d.push(e)[0]
	if r.Outcome != edits.SetAside || !strings.Contains(r.Reason, words) || r.Rev != 0 {
		d.Errorf("%s %s of %s: %s, rev %d, %q; it should be refused with %q", e.Kind, e.Doc, e.Author, r.Outcome, r.Rev, r.Reason, words)
	}
	d.wholeSetAside(e)
	after, _, err := d.store.Document(e.Kind, e.Doc)
	if err != nil || after.Seq != before.Seq {
		d.Errorf("the refused edit moved %s %s from %d to %d (%v)", e.Kind, e.Doc, before.Seq, after.Seq, err)
	}
}

// wholeSetAside checks that nothing of an edit is lost and that a unit lead finds it.
func (d *tablet) wholeSetAside(e edits.Edit) {
	d.Helper()
	entry := d.entry(e.ID)
	if !entry.Refused() || string(encoded(d, entry.Edit)) != string(encoded(d, e)) {
		d.Errorf("of the refused edit is kept\n%s\nand it was\n%s", encoded(d, entry.Edit), encoded(d, e))
	}
	_, aside, err := d.store.SetAside(entry.Seq-1, 1)
	if err != nil || len(aside) != 1 || aside[0].Edit.ID != e.ID {
		d.Errorf("the refused edit is not among those set aside: %v", err)
	}
}

func (u *unit) entry(id edits.EditID) edits.Entry {
	u.Helper()
	entry, ok, err := u.store.Entry(id)
	if err != nil || !ok {
		u.Fatalf("edit %s is not in the log: %v", id, err)
	}
	return entry
}

// device reads a device as it is now.
func (u *unit) device(id edits.DeviceID) people.Device {
	u.Helper()
	devices, err := u.doors.Devices()
	if err != nil {
		u.Fatal(err)
	}
	i := slices.IndexFunc(devices, func(d people.Device) bool { return d.ID == id })
	if i < 0 {
		u.Fatalf("there is no device %s", id)
	}
	return devices[i]
}

// sound checks everything that the verify command checks.
func (u *unit) sound() {
	u.Helper()
	report, err := u.store.Verify(store.Full)
	if err != nil || len(report.Findings) > 0 {
		u.Errorf("the store is not whole: %q, %v", report.Findings, err)
	}
	findings, err := people.Verify(vault.Of(u.store))
	if err != nil || len(findings) > 0 {
		u.Errorf("the signatures or events are not right: %q, %v", findings, err)
	}
}

// happened lists what happened, oldest first, as "what who about detail".
func (u *unit) happened() []string {
	u.Helper()
	events, _, err := u.doors.Events(people.EventsAsked{Limit: 500})
	if err != nil {
		u.Fatal(err)
	}
	var lines []string
	for _, e := range slices.Backward(events) {
		about := e.About
		if edits.IsHex32(about) {
			about = "#"
		}
		lines = append(lines, strings.Join(strings.Fields(fmt.Sprintf("%s: %s %s %s", e.What, e.Who, about, e.Detail)), " "))
	}
	return lines
}

// refusal checks that something was refused and returns how.
func (u *unit) refusal(err error, code string) *people.Refusal {
	u.Helper()
	var r *people.Refusal
	if !errors.As(err, &r) || r.Code != code {
		u.Fatalf("the answer is %v and should be refused as %q", err, code)
	}
	if r.Text == "" {
		u.Errorf("%s is refused without a word", code)
	}
	return r
}

// theatre is a unit with people of every role and a shared tablet.
func theatre(t *testing.T) (*unit, *tablet) {
	u := setUp(t)
	u.has("anna", cards.PersonSurgeon)
	u.has("ben", cards.PersonSurgeon)
	u.has("sam", cards.PersonScrub)
	u.has("rita", cards.PersonReader)
	return u, u.enrol("Theatre 1", true)
}

// chop is anna's card.
func chop() cards.Card { return storetest.Card() }
