package people_test

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store/storetest"
)

// clone is a second device with everything of the first, as a copied disk or an emulator has it.
func (d *tablet) clone() *tablet {
	c := *d
	c.keys = maps.Clone(d.keys)
	return &c
}

func (d *tablet) note(text string) edits.Edit {
	d.Helper()
	c := storetest.Case()
	c.Note = text
	return d.makes("anna", edits.Case, "case-1", c)
}

func TestClonedDevice(t *testing.T) {
	u, d := theatre(t)
	d.signIn("anna")
	d.takes(d.note("one"), edits.ByServer)
	clone := d.clone()
	d.takes(d.note("two here"), edits.ByServer)
	if u.device(d.ID).Forked {
		t.Fatal("the device passes for forked before anybody forked it")
	}
	late := clone.note("two there")
	clone.takes(late, edits.ByServer) // judged as usual: nothing is lost

	forked := u.device(d.ID)
	if !forked.Forked || forked.Reads() {
		t.Errorf("the device is %+v", forked)
	}
	if d.who() != nil {
		t.Error("who was signed in on the forked device still is")
	}
	_, err := u.doors.SignInBy(people.ByPasskey, d.Device, "anna")
	u.refusal(err, people.Revoked)
	_, err = u.doors.SignIn(d.Device, "anna", "000000")
	u.refusal(err, people.Revoked)
	d.takes(d.note("three here"), edits.ByServer) // what waits on it still comes in
	if got := u.happened(); !slices.Contains(got, "device forked: anna # at number 2") || strings.Count(strings.Join(got, "\n"), "device forked") != 1 {
		t.Errorf("it happened\n%s", strings.Join(got, "\n"))
	}
	again := u.enrol("Theatre 1 again", true)
	again.signIn("anna")
	again.takes(again.note("on a fresh start"), edits.ByServer)
	if u.device(again.ID).Forked {
		t.Error("the device that was enrolled again is forked")
	}
	u.sound()
}

func TestChain(t *testing.T) {
	for _, c := range []struct {
		name   string
		send   func(d *tablet) []edits.Edit
		forked bool
	}{
		{"one after the other", func(d *tablet) []edits.Edit { return []edits.Edit{d.note("1"), d.note("2"), d.note("3")} }, false},
		{"the same again", func(d *tablet) []edits.Edit { e := d.note("1"); return []edits.Edit{e, d.note("2"), e} }, false},
		{"in another order", func(d *tablet) []edits.Edit {
			all := []edits.Edit{d.note("1"), d.note("2"), d.note("3")}
			return []edits.Edit{all[2], all[0], all[1]}
		}, false},
		{"with a gap, as after a restore", func(d *tablet) []edits.Edit { _ = d.note("lost"); return []edits.Edit{d.note("2")} }, false},
		{"a first one that follows something", func(d *tablet) []edits.Edit { d.prev = strings.Repeat("1", 64); return []edits.Edit{d.note("1")} }, true},
		{"another one before", func(d *tablet) []edits.Edit {
			first := d.note("1")
			d.prev = strings.Repeat("1", 64)
			return []edits.Edit{first, d.note("2")}
		}, true},
		{"another one before, which comes later", func(d *tablet) []edits.Edit {
			first := d.note("1")
			d.prev = strings.Repeat("1", 64)
			return []edits.Edit{d.note("2"), first}
		}, true},
		{"put back to an earlier state", func(d *tablet) []edits.Edit {
			n, prev := d.n, d.prev
			first := d.note("1")
			d.n, d.prev = n, prev
			return []edits.Edit{first, d.note("1 again")}
		}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			u, d := theatre(t)
			d.signIn("anna")
			for _, e := range c.send(d) {
				if r := d.push(e)[0]; d.entry(e.ID).Refused() {
					t.Errorf("refused: %s", r.Reason)
				}
			}
			if got := u.device(d.ID).Forked; got != c.forked {
				t.Errorf("forked is %v", got)
			}
			u.sound()
		})
	}
}

// A place in the chain needs the signature: nobody else can make a device look forked.
func TestNobodyElseForksADevice(t *testing.T) {
	u, d := theatre(t)
	d.signIn("anna")
	d.takes(d.note("one"), edits.ByServer)
	hostile := u.enrol("Theatre 2", true)
	forged := copied(t, d.clone().note("two"))
	forged.Reason = "forged"
	hostile.refuses(forged, fitsNot)
	forged.Sig = ""
	forged.ID = freshID()
	hostile.refuses(forged, "holds no signature")
	if u.device(d.ID).Forked {
		t.Error("a forged edit made the device look forked")
	}
	u.sound()
}

func TestKeys(t *testing.T) {
	u, d := theatre(t)
	d.signIn("anna")
	other := u.enrol("Theatre 2", true)
	other.signIn("ben")
	for name, c := range map[string]struct {
		alg string
		key []byte
	}{
		"too short":        {people.Ed25519, make([]byte, 31)},
		"no point":         {people.P256, append([]byte{4}, make([]byte, 64)...)},
		"compressed point": {people.P256, append([]byte{2}, make([]byte, 32)...)},
		"another kind":     {"rsa", make([]byte, 32)},
		"nothing":          {"", nil},
	} {
		if _, err := u.doors.RegisterKey(*d.who(), d.Device, c.key, c.alg); err == nil {
			t.Errorf("%s is taken for a key", name)
		} else {
			u.refusal(err, people.BadRequest)
		}
	}
	key := make([]byte, 32)
	key[0] = 9
	id, err := u.doors.RegisterKey(*d.who(), d.Device, key, people.Ed25519)
	u.must(err)
	if again, err := u.doors.RegisterKey(*d.who(), d.Device, key, people.Ed25519); err != nil || again != id {
		t.Errorf("the same key again: %v, %v", again, err)
	}
	_, err = u.doors.RegisterKey(*other.who(), other.Device, key, people.Ed25519)
	u.refusal(err, people.NotAllowed)
	_, err = u.doors.RegisterKey(*other.who(), d.Device, key, people.Ed25519)
	u.refusal(err, people.NotSignedIn)

	// P-256, as browsers without Ed25519 sign: the vectors' key, registered, vouches for the vector.
	v := vectors(t)["first-p256"]
	if _, err := u.doors.RegisterKey(*d.who(), d.Device, unhex(t, v.Public), people.P256); err != nil {
		t.Error(err)
	}
}
