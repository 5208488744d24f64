package people_test

import (
	"errors"
	"os"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store/storetest"
	"sideport/server/vault"
)

// TestNobodyGetsInAgain: whatever order of codes, enrolments, sign-ins,
// revocations, barring and waiting, a call of a revoked device or of a barred
// person never gives anything but "set aside", and what was open stays shut.
func TestNobodyGetsInAgain(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := os.MkdirTemp(t.TempDir(), "unit")
		if err != nil {
			rt.Fatal(err)
		}
		w := &world{unit: bare(rt, dir), revoked: map[edits.DeviceID]bool{}, barred: map[cards.PersonID]bool{}, old: map[cards.PersonID][]held{}}
		defer func() { _ = w.store.Close() }()
		w.begin()
		for _, p := range staff {
			w.has(p, cards.PersonSurgeon, cards.PersonScrub)
		}
		rt.Repeat(map[string]func(*rapid.T){
			"enrol":   w.enrolOne,
			"sign in": w.signInOne,
			"push":    w.pushOne,
			"revoke":  w.revokeOne,
			"bar":     w.barOne,
			"wait": func(rt *rapid.T) {
				w.now = w.now.Add(time.Duration(rapid.IntRange(1, 300).Draw(rt, "minutes")) * time.Minute)
			},
			"restart": func(*rapid.T) { w.doors = w.opened(people.Config{Store: vault.Of(w.store)}) },
			"":        w.shut,
		})
		w.sound()
	})
}

var staff = []cards.PersonID{"anna", "ben", "sam"}

// held is a session that somebody once had.
type held struct {
	device  *tablet
	session people.Credential
	ended   bool // by barring, for ever
}

// world remembers who must stay out.
type world struct {
	*unit
	devices []*tablet
	revoked map[edits.DeviceID]bool
	barred  map[cards.PersonID]bool
	old     map[cards.PersonID][]held
}

func (w *world) any(rt *rapid.T) (*tablet, cards.PersonID) {
	if len(w.devices) == 0 {
		rt.Skip("no device yet")
	}
	return rapid.SampledFrom(w.devices).Draw(rt, "device"), rapid.SampledFrom(staff).Draw(rt, "person")
}

func (w *world) enrolOne(rt *rapid.T) {
	if len(w.devices) > 4 {
		rt.Skip("enough devices")
	}
	w.renew(rt)
	w.devices = append(w.devices, w.enrol("Theatre", rapid.Bool().Draw(rt, "shared")))
}

// renew keeps the lead signed in: a day may have passed.
func (w *world) renew(rt *rapid.T) {
	in, err := w.doors.SignInBy(people.ByPasskey, w.office.Device, "lena")
	if err != nil {
		rt.Fatal(err)
	}
	if w.lena, err = w.doors.Session(w.office.Device, in.Session); err != nil {
		rt.Fatal(err)
	}
}

func (w *world) signInOne(rt *rapid.T) {
	d, person := w.any(rt)
	in, err := w.doors.SignInBy(people.ByPasskey, d.Device, person)
	shut := w.revoked[d.ID] || w.barred[person]
	if (err != nil) != shut {
		rt.Fatalf("%s on %s, shut %v: %v", person, d.ID, shut, err)
	}
	if err != nil {
		return
	}
	d.session = in.Session
	w.old[person] = append(w.old[person], held{device: d, session: in.Session})
	d.signIn(person)
	w.old[person] = append(w.old[person], held{device: d, session: d.session})
}

// pushOne sends an edit signed with a key that a person has on one device from any device.
func (w *world) pushOne(rt *rapid.T) {
	d, person := w.any(rt)
	if d.keys[person] == nil {
		rt.Skip("no key")
	}
	from := rapid.SampledFrom(w.devices).Draw(rt, "from")
	e := d.makes(person, edits.Case, "case-1", storetest.Case())
	if rapid.Bool().Draw(rt, "unsigned") {
		e = d.unsigned(person, edits.Case, "case-1", storetest.Case())
	}
	receipts, err := w.doors.Push(from.Device, from.who(), w.now, []edits.Edit{e})
	if err != nil {
		rt.Fatal(err)
	}
	shut := w.revoked[d.ID] || w.revoked[from.ID] || w.barred[person]
	if shut && (receipts[0].Outcome != edits.SetAside || !w.entry(e.ID).Refused()) {
		rt.Fatalf("%s by %s from %s: %+v", e.ID, person, from.ID, receipts[0])
	}
	if e.Sig != "" && !shut && w.entry(e.ID).Refused() {
		rt.Fatalf("a good edit is refused: %s", receipts[0].Reason)
	}
}

func (w *world) revokeOne(rt *rapid.T) {
	d, _ := w.any(rt)
	w.renew(rt)
	w.must(w.doors.Revoke(w.lena, d.ID, "lost"))
	w.revoked[d.ID] = true
}

func (w *world) barOne(rt *rapid.T) {
	_, person := w.any(rt)
	w.renew(rt)
	w.barred[person] = !w.barred[person]
	w.must(w.doors.Bar(w.lena, person, w.barred[person], ""))
	for i := range w.old[person] { // being admitted again does not bring them back
		w.old[person][i].ended = true
	}
}

// shut tries every door that must be shut.
func (w *world) shut(rt *rapid.T) {
	for _, d := range w.devices {
		stands, err := w.doors.Device(d.credential)
		if err != nil || (stands.Revoked != nil) != w.revoked[d.ID] {
			rt.Fatalf("device %s revoked %v: %+v, %v", d.ID, w.revoked[d.ID], stands, err)
		}
	}
	for person, all := range w.old {
		for _, h := range all {
			who, err := w.doors.Session(h.device.Device, h.session)
			if err == nil && (h.ended || w.barred[person] || w.revoked[h.device.ID]) {
				rt.Fatalf("%+v is signed in", who)
			}
			var r *people.Refusal
			if err != nil && !errors.As(err, &r) {
				rt.Fatal(err)
			}
		}
	}
}
