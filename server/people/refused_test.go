package people_test

import (
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store/storetest"
)

const fitsNot = "Its signature does not fit it"

// alterations change one field each of a signed edit on its way.
var alterations = map[string]func(*edits.Edit){
	"id":       func(e *edits.Edit) { e.ID = freshID() },
	"kind":     func(e *edits.Edit) { e.Kind = edits.Case },
	"doc":      func(e *edits.Edit) { e.Doc = "anna-flip" },
	"parent":   func(e *edits.Edit) { e.Parent-- },
	"after":    func(e *edits.Edit) { e.After = freshID() },
	"author":   func(e *edits.Edit) { e.Author = "ben" },
	"device":   func(e *edits.Edit) { e.Device = "" }, // the other tablet's: see the test
	"made":     func(e *edits.Edit) { e.Made = "2027-03-31T07:43:00Z" },
	"reason":   func(e *edits.Edit) { e.Reason += "." },
	"body":     func(e *edits.Edit) { e.Body = []byte(strings.Replace(string(e.Body), `"350"`, `"450"`, 1)) },
	"decides":  func(e *edits.Edit) { e.Decides = nil },
	"takes":    func(e *edits.Edit) { e.Takes[0] = freshID() },
	"declines": func(e *edits.Edit) { e.Declines[0].Reason = "no" },
	"chain":    func(e *edits.Edit) { e.Chain.N++ },
	"key":      func(e *edits.Edit) { e.Key = "" }, // another registered one: see the test
	"checked":  func(e *edits.Edit) { e.Checked = "here" },
	"was": func(e *edits.Edit) {
		e.Was = &edits.Was{ID: freshID(), Takes: e.Takes, Declines: []edits.EditID{e.Declines[0].Proposal}}
	},
	"sig": func(e *edits.Edit) { e.Sig = flipped(e.Sig) },
}

// answering is an edit in which no field is empty that could be altered.
func answering(d *tablet) edits.Edit {
	e := d.unsigned("anna", edits.Card, "anna-chop", chop())
	e.Decides, e.Takes = []edits.QuestionID{"0102030405060708090a0b0c0d0e0f10"}, []edits.EditID{freshID()}
	e.Declines = []edits.Decline{{Proposal: freshID(), Reason: "too high"}}
	return e
}

func TestAlteredOnItsWay(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	other := u.enrol("Theatre 2", true)
	other.signIn("anna")
	d.signIn("ben")
	d.signIn("anna")
	for _, field := range fieldsOfAnEdit() {
		alter, there := alterations[field]
		if !there {
			t.Errorf("no test alters %q on its way", field)
			continue
		}
		genuine := d.signs(answering(d))
		e := copied(t, genuine)
		alter(&e)
		words := fitsNot
		switch field {
		case "author":
			words = "not its author’s"
		case "device":
			e.Device, words = other.ID, "not its author’s on this device"
		case "key":
			e.Key, words = string(people.NameKey(d.keys["ben"].Public().(ed25519.PublicKey))), "not its author’s"
		}
		d.refuses(e, words)
		// The true one comes after all, though an altered copy had its id first.
		if r := d.takes(genuine, edits.ByServer); r.Outcome == edits.AlreadyApplied {
			t.Errorf("%s: the true edit is said to be there already", field)
		}
		d.wholeSetAsideOrReplaced(e, genuine)
	}
	u.sound()
}

// wholeSetAsideOrReplaced finds an altered edit in the log by its place, where its id is the true one's by now.
func (d *tablet) wholeSetAsideOrReplaced(altered, genuine edits.Edit) {
	d.Helper()
	if altered.ID != genuine.ID {
		d.wholeSetAside(altered)
		return
	}
	_, aside, err := d.store.SetAside(d.entry(genuine.ID).Seq-2, 1)
	if err != nil || len(aside) != 1 || string(encoded(d, aside[0].Edit)) != string(encoded(d, altered)) {
		d.Errorf("the altered edit is not to be found any more: %v", err)
	}
}

func fieldsOfAnEdit() []string {
	var names []string
	for f := range reflect.TypeFor[edits.Edit]().Fields() {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		names = append(names, name)
	}
	return names
}

func TestEveryAlterationIsOfAField(t *testing.T) {
	fields := fieldsOfAnEdit()
	for name := range maps.Keys(alterations) {
		if !slices.Contains(fields, name) {
			t.Errorf("%q is no field of an edit", name)
		}
	}
}

// TestRefused goes through every other reason for which an edit is not its author's or may not be made.
func TestRefused(t *testing.T) {
	for _, c := range []struct {
		name  string
		edit  func(u *unit, d *tablet) edits.Edit
		words string
	}{
		{"not signed, nobody signed in", func(u *unit, d *tablet) edits.Edit {
			d.session = ""
			return d.unsigned("anna", edits.Card, "anna-chop", chop())
		}, "not signed, and its author is not signed in"},
		{"not signed, somebody else signed in", func(u *unit, d *tablet) edits.Edit {
			d.signIn("ben")
			return d.unsigned("anna", edits.Card, "anna-chop", chop())
		}, "not signed, and its author is not signed in"},
		{"not signed, made on another device", func(u *unit, d *tablet) edits.Edit {
			other := u.enrol("Theatre 2", true)
			return other.unsigned("anna", edits.Card, "anna-chop", chop())
		}, "was made on another device"},
		{"the signature taken off", func(u *unit, d *tablet) edits.Edit {
			e := d.makes("anna", edits.Card, "anna-chop", chop())
			e.Sig = ""
			return e
		}, "holds no signature"},
		{"everything about signing taken off, in an offered one", func(u *unit, d *tablet) edits.Edit {
			e := d.unsigned("anna", edits.Card, "anna-chop", chop())
			e.Was = &edits.Was{ID: freshID()}
			return e
		}, "holds no signature"},
		{"signed with a key that nobody registered", func(u *unit, d *tablet) edits.Edit {
			_, d.keys["anna"], _ = ed25519.GenerateKey(nil)
			return d.makes("anna", edits.Card, "anna-chop", chop())
		}, "a key that this unit does not know"},
		{"signed with the author's key of another device", func(u *unit, d *tablet) edits.Edit {
			other := u.enrol("Theatre 2", true)
			other.signIn("anna")
			d.keys["anna"] = other.keys["anna"]
			return d.makes("anna", edits.Card, "anna-chop", chop())
		}, "not its author’s on this device"},
		{"signed by somebody else in the author's name", func(u *unit, d *tablet) edits.Edit {
			d.signIn("ben")
			d.keys["anna"] = d.keys["ben"]
			return d.makes("anna", edits.Card, "anna-chop", chop())
		}, "not its author’s"},
		{"a chain that does not say its place", func(u *unit, d *tablet) edits.Edit {
			e := d.makes("anna", edits.Card, "anna-chop", chop())
			e.Chain = nil
			return e
		}, fitsNot},
		{"a device nobody enrolled", func(u *unit, d *tablet) edits.Edit {
			e := d.unsigned("anna", edits.Card, "anna-chop", chop())
			e.Device = edits.DeviceID(freshID())
			return e
		}, "a device that is not enrolled"},
		{"the device of the server itself", func(u *unit, d *tablet) edits.Edit {
			e := d.unsigned("anna", edits.Card, "anna-chop", chop())
			e.Device = edits.ServerDevice
			return e
		}, "a device that is not enrolled"},
		{"an author who is nobody here", func(u *unit, d *tablet) edits.Edit {
			return d.unsigned("zoe", edits.Card, "anna-chop", chop())
		}, "“zoe”, is not one of the unit’s people"},
		{"nobody, but no record", func(u *unit, d *tablet) edits.Edit {
			return d.unsigned(edits.Theatre, edits.Case, "case-1", storetest.Case())
		}, "“theatre”, is not one of the unit’s people"},
		{"a record by nobody from another device", func(u *unit, d *tablet) edits.Edit {
			return u.enrol("Theatre 2", true).unsigned(edits.Theatre, edits.Record, "pause-1", map[string]any{})
		}, "was made on another device"},
		{"a person who was barred before it arrived", func(u *unit, d *tablet) edits.Edit {
			e := d.makes("anna", edits.Card, "anna-chop", chop())
			u.must(u.doors.Bar(u.lena, "anna", true, "has left"))
			return e
		}, "may change nothing at present"},
		{"a role that was taken away before it arrived", func(u *unit, d *tablet) edits.Edit {
			e := d.makes("anna", edits.Card, "anna-chop", chop())
			u.has("anna", cards.PersonScrub)
			return e
		}, "Anna is not a surgeon"},
		{"the sending device was revoked", func(u *unit, d *tablet) edits.Edit {
			e := d.makes("anna", edits.Card, "anna-chop", chop())
			u.must(u.doors.Revoke(u.lena, d.ID, "lost"))
			return e
		}, "The device that sent it was taken off"},
		{"the device on which it was made was revoked", func(u *unit, d *tablet) edits.Edit {
			other := u.enrol("Theatre 2", true)
			other.signIn("anna")
			e := other.makes("anna", edits.Card, "anna-chop", chop())
			u.must(u.doors.Revoke(u.lena, other.ID, "lost"))
			return e
		}, "It was made on a device that was taken off"},
		{"somebody else's rule book", func(u *unit, d *tablet) edits.Edit {
			return d.makes("anna", edits.Rules, edits.HouseRules, map[string]any{})
		}, "Only a unit lead changes the rule book"},
		{"making oneself a unit lead", func(u *unit, d *tablet) edits.Edit {
			return d.makes("anna", edits.Person, "anna", cards.Person{ID: "anna", Name: "Anna", Roles: cards.PersonRoles})
		}, "Only a unit lead changes who is in the unit"},
	} {
		t.Run(c.name, func(t *testing.T) {
			u, d := theatre(t)
			u.put(edits.Card, "anna-chop", chop())
			d.signIn("anna")
			d.refuses(c.edit(u, d), c.words)
			u.sound()
		})
	}
}

func (u *unit) must(err error) {
	u.Helper()
	if err != nil {
		u.Fatal(err)
	}
}

// What is taken: signed, signed after a check by the device alone, in a session, by nobody, and brought along in a file by another device.
func TestTaken(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	d.signIn("anna")
	card := chop()
	change := func(mmHg string) cards.Card {
		storetest.Vacuum("chop", mmHg)(&card)
		return card
	}
	d.takes(d.makes("anna", edits.Card, "anna-chop", change("351")), edits.ByServer)
	offline := d.unsigned("anna", edits.Card, "anna-chop", change("352"))
	offline.Checked = "here"
	d.takes(d.signs(offline), edits.OnDevice)
	d.takes(d.unsigned("anna", edits.Card, "anna-chop", change("353")), edits.BySession)
	d.takes(d.unsigned(edits.Theatre, edits.Record, "pause-1", map[string]any{}), edits.ByNobody)

	carried := d.makes("anna", edits.Card, "anna-chop", change("354"))
	other := u.enrol("Theatre 2", true)
	if r := other.takes(carried, edits.ByServer); r.Outcome != edits.Applied {
		t.Errorf("brought by another device: %s, %s", r.Outcome, r.Reason)
	}
	doc, _, err := u.store.Document(edits.Card, "anna-chop")
	if err != nil {
		t.Fatal(err)
	}
	var checked []edits.Checked
	for _, r := range doc.History {
		checked = append(checked, r.Checked)
	}
	if want := []edits.Checked{edits.ByOperator, edits.ByServer, edits.OnDevice, edits.BySession, edits.ByServer}; !slices.Equal(checked, want) {
		t.Errorf("the history says %q, want %q", checked, want)
	}
	u.sound()
}

// The same edit again changes nothing, whoever sends it, and even where its author could not make it any more.
func TestReplayed(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	d.signIn("anna")
	other := u.enrol("Theatre 2", true)
	e := d.makes("anna", edits.Card, "anna-chop", chop())
	d.takes(e, edits.ByServer)
	u.must(u.doors.Bar(u.lena, "anna", true, "has left"))
	before, err := u.store.Info()
	u.must(err)
	for _, from := range []*tablet{d, other, d} {
		if r := from.push(e)[0]; r.Outcome != edits.AlreadyApplied || r.First != edits.Applied {
			t.Errorf("sent again: %+v", r)
		}
	}
	if after, err := u.store.Info(); err != nil || after != before {
		t.Errorf("sending again moved the log from %+v to %+v (%v)", before, after, err)
	}
	again := e
	again.Sig = flipped(e.Sig)
	if r := d.push(again)[0]; r.Outcome != edits.AlreadyApplied {
		t.Errorf("sent again with another signature: %+v", r)
	}
	// Under another id the signature does not fit; with other contents the id is taken.
	copied := e
	copied.ID = freshID()
	u.must(u.doors.Bar(u.lena, "anna", false, ""))
	d.refuses(copied, fitsNot)
	e.Reason = "another"
	if _, err := d.doors.Push(d.Device, d.who(), d.now, []edits.Edit{e}); !errors.Is(err, edits.ErrReused) {
		t.Errorf("other contents under a taken id: %v", err)
	}
}

// Offered anew after a restore: taken once, whoever offers it and under whichever id.
func TestOfferedAnew(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	d.signIn("anna")
	card := chop()
	storetest.Vacuum("chop", "351")(&card)
	lost := d.makes("anna", edits.Card, "anna-chop", card)
	lost.Parent = 7 // of the epoch that ended; signed so
	lost, d.prev = d.sealed(lost)

	offered := copied(t, lost)
	offered.ID, offered.Parent, offered.Was = freshID(), 1, &edits.Was{ID: lost.ID, Parent: 7}
	forged := copied(t, offered)
	forged.ID, forged.Was.Parent = freshID(), 6
	d.refuses(forged, fitsNot)
	if r := d.takes(offered, edits.ByServer); r.Outcome != edits.Applied {
		t.Errorf("offered anew: %s, %s", r.Outcome, r.Reason)
	}
	twice := copied(t, offered)
	twice.ID = freshID()
	d.refuses(twice, "the log has it already")
	d.refuses(lost, "It was offered anew after the server was restored")

	there := d.makes("anna", edits.Card, "anna-chop", card)
	d.takes(there, edits.ByServer)
	again := copied(t, there)
	again.ID, again.Was = freshID(), &edits.Was{ID: there.ID, Parent: there.Parent}
	d.refuses(again, "the log has it already")
	if u.device(d.ID).Forked {
		t.Error("offering anew passes for a fork")
	}
	u.sound()
}

// What an attacker who can write to an enrolled tablet cannot do: take the words of an edit that was refused for a verdict.
func TestRefusedIsNotJudged(t *testing.T) {
	u, d := theatre(t)
	d.signIn("anna")
	e := d.unsigned("sam", edits.Case, "case-1", storetest.Case())
	e.Body = json.RawMessage(`{"nonsense":true}`)
	d.refuses(e, "not signed")
	if v := d.entry(e.ID).Verdict; len(v.Problems) > 0 || v.Rules != edits.RulesEdition {
		t.Errorf("the refused edit was judged as well: %+v", v)
	}
	u.sound()
}
