package edits_test

import (
	"bytes"
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store/storetest"
)

// Whatever three people do to a card, in any order, from anything they have
// seen: what is not the owner's changes neither body nor revision, and every
// proposal is kept, whole, in exactly one of the two lists.
func TestProposalsWaitForTheOwner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := &unitUnderTest{t: t, seen: map[string]edits.Document{}}
		u.send(edits.Edit{Author: "anna", Body: bodyOf(t, storetest.Card())})
		for range rapid.IntRange(1, 12).Draw(t, "edits") {
			u.act()
		}
		findings, err := u.SelfCheck()
		if err != nil || len(findings) > 0 {
			t.Fatalf("%v, %v", findings, err)
		}
	})
}

type unitUnderTest struct {
	storetest.Memory
	t        *rapid.T
	n        int
	seen     map[string]edits.Document // by device
	proposed []edits.Edit
}

// act lets one person at one device read, or write from what the device shows.
func (u *unitUnderTest) act() {
	t := u.t
	at := rapid.SampledFrom([]string{"phone", "desk"}).Draw(t, "device")
	if _, read := u.seen[at]; !read || rapid.Bool().Draw(t, "reads") {
		u.seen[at] = u.card()
	}
	doc := u.seen[at]
	e := edits.Edit{Author: rapid.SampledFrom([]cards.PersonID{"anna", "ben", "cleo"}).Draw(t, "author"), Parent: doc.Rev}
	var card cards.Card
	if err := cards.Decode(doc.Body, &card); err != nil {
		t.Fatal(err)
	}
	if len(doc.Proposals) > 0 && rapid.Bool().Draw(t, "answers") {
		p := rapid.SampledFrom(doc.Proposals).Draw(t, "proposal")
		if rapid.Bool().Draw(t, "takes") {
			card, e.Takes = laidOver(t, card, p), []edits.EditID{p.ID}
		} else {
			e.Declines = []edits.Decline{{Proposal: p.ID, Reason: "No."}}
		}
	}
	if rapid.Bool().Draw(t, "changes") {
		change(t)(&card)
	}
	e.Body = bodyOf(t, card)
	u.send(e)
}

func change(t *rapid.T) func(*cards.Card) {
	switch rapid.IntRange(0, 3).Draw(t, "change") {
	case 0:
		return storetest.Title(rapid.SampledFrom([]string{"Chop", "Chop, soft"}).Draw(t, "title"))
	case 1:
		return storetest.Owner(rapid.SampledFrom([]cards.PersonID{"anna", "ben"}).Draw(t, "owner"))
	}
	phase := rapid.SampledFrom([]cards.Key{"sculpt", "chop"}).Draw(t, "phase")
	return storetest.Vacuum(phase, rapid.SampledFrom([]string{"60", "70", "300"}).Draw(t, "vacuum"))
}

func laidOver(t *rapid.T, card cards.Card, p edits.Proposal) cards.Card {
	var base, mine cards.Card
	if err := cards.Decode(p.Base, &base); err != nil {
		t.Fatal(err)
	}
	if err := cards.Decode(p.Body, &mine); err != nil {
		t.Fatal(err)
	}
	merged, _ := cards.Merge(base, card, mine)
	return merged
}

func (u *unitUnderTest) card() edits.Document {
	doc, _, err := u.Document(edits.Card, "anna-chop")
	if err != nil {
		u.t.Fatal(err)
	}
	return doc
}

// send lets the unit take an edit and compares what became of the card.
func (u *unitUnderTest) send(e edits.Edit) {
	t := u.t
	u.n++
	e.ID, e.Kind, e.Doc, e.Device, e.Made = storetest.ID(u.n), edits.Card, "anna-chop", storetest.DeviceID("phone"), "2027-03-31T07:42:00Z"
	before := u.card()
	r, err := u.Accept(storetest.Start.Add(time.Duration(u.n)*time.Second), e)
	if err != nil {
		t.Fatal(err)
	}
	after := u.card()
	owner := ownerOf(t, before, after)
	switch same := after.Rev == before.Rev && bytes.Equal(after.Body, before.Body); {
	case owner != e.Author && !same:
		t.Fatalf("%s changed the card of %s: %q", e.Author, owner, r.Outcome)
	case owner != e.Author && !slices.Contains([]edits.Outcome{edits.Proposed, edits.Answered, edits.SetAside}, r.Outcome),
		owner == e.Author && r.Outcome == edits.Proposed,
		r.Outcome == edits.Answered && !same:
		t.Fatalf("%q for an edit of %s, whose card is %s's", r.Outcome, e.Author, owner)
	}
	if r.Outcome == edits.Proposed {
		u.proposed = append(u.proposed, e)
	}
	u.everyProposal(after)
}

// everyProposal is kept once: whole while it waits, with its fate afterwards.
func (u *unitUnderTest) everyProposal(doc edits.Document) {
	if len(doc.Proposals)+len(doc.Answered) != len(u.proposed) {
		u.t.Fatalf("%d proposals were made; %d wait and %d are answered", len(u.proposed), len(doc.Proposals), len(doc.Answered))
	}
	for _, e := range u.proposed {
		waits := slices.ContainsFunc(doc.Proposals, func(p edits.Proposal) bool {
			return p.ID == e.ID && p.By == e.Author && bytes.Equal(p.Body, e.Body)
		})
		answered := slices.ContainsFunc(doc.Answered, func(a edits.Answer) bool { return a.Proposal == e.ID && a.By == e.Author })
		if waits == answered {
			u.t.Fatalf("proposal %s waits: %v, is answered: %v", e.ID, waits, answered)
		}
	}
}

// ownerOf is whose card it was when the edit came; a new card is its author's.
func ownerOf(t *rapid.T, before, after edits.Document) cards.PersonID {
	body := before.Body
	if body == nil {
		body = after.Body
	}
	var c cards.Card
	if err := cards.Decode(body, &c); err != nil {
		t.Fatal(err)
	}
	return c.Owner
}

func bodyOf(t *rapid.T, c cards.Card) []byte {
	b, err := edits.Encode(c)
	if err != nil {
		t.Fatal(fmt.Errorf("write a card: %w", err))
	}
	return b
}
