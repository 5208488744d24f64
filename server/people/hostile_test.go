package people_test

import (
	"testing"
	"time"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store/storetest"
)

// What somebody who is inside can try with an edit that another has signed and
// that has not arrived yet: claim its id, offer it from somewhere else, point it at
// something else. Its author's own must arrive all the same, and mean what was signed.

// waitingChange is a change of Anna's own card that waits on her device.
func waitingChange(d *tablet) edits.Edit {
	d.Helper()
	card := chop()
	storetest.Vacuum("chop", "351")(&card)
	return d.makes("anna", edits.Card, "anna-chop", card)
}

func noteFor(id string) edits.RecordBody {
	return edits.RecordBody{ID: id, What: edits.RecordNote, Case: "case-1", List: "2027-03-31", Position: 1, Card: "anna-chop", CardRevision: 1, RulesRevision: 1,
		Begun: "2027-03-31T07:42:00Z", Ended: "2027-03-31T07:43:00Z", Drill: "pcr", Title: "Posterior capsule torn", Text: "the vitrector was late"}
}

func TestNobodyKeepsAnothersEditOutByItsID(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	d.signIn("anna")
	lost := waitingChange(d)

	u.has("rita", cards.PersonReader)
	evil := u.enrol("Phone", false)
	evil.signIn("rita")
	e := evil.unsigned("rita", edits.Record, "rec-1", noteFor("rec-1"))
	e.ID = lost.ID
	e = evil.signs(e)
	e.ID, e.Was = freshID(), &edits.Was{ID: lost.ID}
	evil.push(e)
	if r := d.push(lost)[0]; r.Outcome != edits.Applied {
		t.Errorf("the owner's edit became %s: %s", r.Outcome, r.Reason)
	}
}

func TestAnUnsignedRecordKeepsNobodysOfferOut(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	d.signIn("anna")
	lost := waitingChange(d)

	evil := u.enrol("Phone", false)
	e := evil.unsigned(edits.Theatre, edits.Record, "rec-1", noteFor("rec-1"))
	e.ID = lost.ID
	evil.push(e)
	offered := copied(t, lost)
	offered.ID, offered.Was = freshID(), &edits.Was{ID: lost.ID, Parent: lost.Parent}
	if r := d.push(offered)[0]; r.Outcome != edits.Applied {
		t.Errorf("the owner's edit, offered anew, became %s: %s", r.Outcome, r.Reason)
	}
}

func TestNobodyMovesAnothersEditToANewerRevision(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	d.signIn("anna")
	waiting := waitingChange(d)
	other := u.enrol("Theatre 2", true)
	other.signIn("anna")
	newer := chop()
	storetest.Vacuum("chop", "300")(&newer)
	other.push(other.makes("anna", edits.Card, "anna-chop", newer))

	evil := u.enrol("Phone", false) // with nobody signed in
	moved := copied(t, waiting)
	moved.ID, moved.Parent, moved.Was = freshID(), 2, &edits.Was{ID: waiting.ID, Parent: waiting.Parent}
	if r := evil.push(moved)[0]; r.Outcome != edits.SetAside {
		t.Errorf("from revision 1, offered as from 2, it became %s", r.Outcome)
	}
	if r := d.push(waiting)[0]; r.Outcome != edits.Questioned {
		t.Errorf("the true one became %s: two people's values are a question", r.Outcome)
	}
}

func TestNobodyPointsAnAnswerAtAnotherProposal(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	d.signIn("ben")
	var proposed [2]edits.Edit
	for i, vacuum := range []string{"351", "360"} {
		card := chop()
		storetest.Vacuum("chop", vacuum)(&card)
		proposed[i] = d.makes("ben", edits.Card, "anna-chop", card)
		d.push(proposed[i])
	}
	d.signIn("anna")
	no := d.unsigned("anna", edits.Card, "anna-chop", chop())
	no.Declines = []edits.Decline{{Proposal: proposed[0].ID, Reason: "no"}}
	no = d.signs(no)

	evil := u.enrol("Phone", false)
	turned := copied(t, no)
	turned.ID, turned.Was = freshID(), &edits.Was{ID: no.ID, Parent: no.Parent, Declines: []edits.EditID{proposed[0].ID}}
	turned.Declines[0].Proposal = proposed[1].ID
	if r := evil.push(turned)[0]; r.Outcome != edits.SetAside {
		t.Errorf("a no to the first proposal, offered as one to the second, became %s", r.Outcome)
	}
}

func TestNobodyMakesAnothersPushFail(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	d.signIn("anna")
	waiting := waitingChange(d)
	next := d.note("next")

	evil := u.enrol("Phone", false)
	same := copied(t, waiting)
	same.Was = &edits.Was{ID: waiting.ID, Parent: waiting.Parent}
	evil.push(same)
	if _, err := u.doors.Push(d.Device, d.who(), u.now, []edits.Edit{waiting, next}); err != nil {
		t.Errorf("the author's own push fails: %v", err)
	}
}

func TestTheLastLeadKeepsTheRole(t *testing.T) {
	u, _ := theatre(t)
	u.office.signIn("lena")
	r := u.office.push(u.office.makes("lena", edits.Person, "lena", cards.Person{ID: "lena", Name: "Lena", Roles: []cards.PersonRole{cards.PersonReader}}))[0]
	if needs, err := u.doors.NeedsSetUp(); r.Outcome != edits.SetAside || needs || err != nil {
		t.Errorf("%s, needs set-up %t, %v", r.Outcome, needs, err)
	}
}

func TestWhoKnewAPINHasNothingOnceItIsTakenAway(t *testing.T) {
	u, _ := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	evil := u.enrol("Phone", false)
	evil.signIn("anna") // with Anna's PIN
	who := *evil.who()
	if _, err := u.doors.IssuePIN(u.lena, "anna"); err != nil {
		t.Fatal(err)
	}
	u.must(u.doors.TakeProofs(u.lena, "anna"))
	if r := evil.push(waitingChange(evil))[0]; r.Outcome != edits.SetAside {
		t.Errorf("signed with the key that was made with the PIN before, it became %s", r.Outcome)
	}
	if err := u.doors.LinkIdentity(people.Who{Person: who.Person, Device: who.Device}, "https://idp.example", "mallory"); err == nil {
		t.Error("what was begun before the PIN was issued anew is linked after it")
	}
	if err := u.doors.AddPasskey(who, []byte("id"), []byte(`{}`)); err == nil {
		t.Error("a passkey begun before the PIN was issued anew is kept after it")
	}
}

func TestOneDeviceDoesNotSilenceTheAlarm(t *testing.T) {
	u, d := theatre(t)
	liar := u.enrol("Phone", false)
	info, err := u.store.Info()
	u.must(err)
	for range 100 {
		_, err := u.doors.HeadDiffers(liar.Device, nil, info.Seq, string(freshID())+string(freshID()))
		u.must(err)
	}
	_, err = u.doors.HeadDiffers(d.Device, nil, info.Seq, zeros[:63]+"1")
	u.must(err)
	events, _, err := u.doors.Events(people.EventsAsked{Limit: 1})
	u.must(err)
	if len(events) != 1 || events[0].What != people.HeadDiffers || events[0].Device != d.ID {
		t.Errorf("the newest event is %+v", events)
	}
}

// Whoever finds a device that somebody left signed in makes no way in that outlasts the find, also by finishing what was
// begun in time.
func TestALeftDeviceIsNoWayIn(t *testing.T) {
	u, tablet := theatre(t)
	tablet.signIn("anna")
	who := *tablet.who()
	u.now = u.now.Add(5 * time.Minute)
	u.must(u.doors.MayIntroduce(who))
	u.now = u.now.Add(time.Second)
	u.refusal(u.doors.MayIntroduce(who), people.SignInAgain)
	u.refusal(u.doors.AddPasskey(who, []byte("id"), []byte(`{}`)), people.SignInAgain)
	u.refusal(u.doors.LinkIdentity(who, "https://idp.example", "mallory"), people.SignInAgain)
	tablet.signIn("anna")
	u.must(u.doors.MayIntroduce(*tablet.who()))

	if _, err := u.doors.SignInBy(people.ByOIDC, tablet.Device, "anna"); err != nil { // the provider may have asked nobody
		t.Fatal(err)
	}
	u.refusal(u.doors.MayIntroduce(who), people.SignInAgain)
	tablet.signIn("ben") // who was there before is not signed in any more
	u.refusal(u.doors.MayIntroduce(who), people.NotSignedIn)
}
