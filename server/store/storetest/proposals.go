package storetest

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"sideport/cards"
	"sideport/server/edits"
)

// proposed is a story in which ben has proposed another vacuum for anna's
// card and everybody knows. anna's phone is at hand.
func proposed(r *Runner) *Runner {
	begun(r).As("ben").On("bench").Sync().Change(Vacuum("chop", "300")).Push().Want(edits.Proposed)
	return r.As("anna").On("phone").Sync()
}

// proposals sends so many proposals that stand beside each other.
func (r *Runner) proposals(n int) *Runner {
	for i := range n {
		r.Change(Title(fmt.Sprintf("%s %d", r.person, i))).Push().Want(edits.Proposed)
	}
	return r
}

// Take answers an open proposal with the card as the device shows it, the proposal laid over it.
func (r *Runner) Take(id edits.EditID, also ...func(*cards.Card)) *Runner {
	p := r.Proposal(id)
	return r.Change(func(c *cards.Card) {
		var base, mine cards.Card
		if json.Unmarshal(p.Base, &base) != nil || json.Unmarshal(p.Body, &mine) != nil {
			r.failf("proposal %s cannot be read", id)
		}
		*c, _ = cards.Merge(base, *c, mine)
		for _, change := range also {
			change(c)
		}
	}).Alter(func(e *edits.Edit) { e.Takes = []edits.EditID{id} })
}

// Decline answers a proposal with no and the card as the device shows it.
func (r *Runner) Decline(id edits.EditID, why string) *Runner {
	return r.Change(func(*cards.Card) {}).Alter(func(e *edits.Edit) { e.Declines = []edits.Decline{{Proposal: id, Reason: why}} })
}

// Proposal is an open proposal by its id.
func (r *Runner) Proposal(id edits.EditID) edits.Proposal {
	for _, p := range r.Now().Proposals {
		if p.ID == id {
			return p
		}
	}
	r.failf("there is no open proposal %s", id)
	return edits.Proposal{}
}

// WantProposals says which proposals must be open.
func (r *Runner) WantProposals(ids ...edits.EditID) *Runner {
	var got []edits.EditID
	for _, p := range r.Now().Proposals {
		got = append(got, p.ID)
	}
	if r.err == nil && !slices.Equal(got, ids) {
		return r.failf("open proposals: got %q, want %q", got, ids)
	}
	return r
}

// WantFates says what must have become of the proposals that were answered.
func (r *Runner) WantFates(fates ...edits.Fate) *Runner {
	var got []edits.Fate
	for _, a := range r.Now().Answered {
		got = append(got, a.Fate)
	}
	if r.err == nil && !slices.Equal(got, fates) {
		return r.failf("answered proposals: got %q, want %q", got, fates)
	}
	return r
}

// proposalStories are about "a proposal: an edit by someone who is not the
// owner; waits for the owner".
var proposalStories = []story{
	{"what somebody else changes is a proposal, and the card stays as it is", func(r *Runner) {
		proposed(r).WantRev(1).WantProposals(ID(2)).WantCard("the vacuum that was there", VacuumIs("chop", "350"))
		p := r.Proposal(ID(2))
		if p.By != "ben" || len(p.Changes) != 1 || len(p.Base) == 0 || p.Parent != 1 {
			r.failf("proposal: %+v", p)
		}
		if doc := r.Now(); doc.Seq != 2 || len(doc.History) != 1 {
			r.failf("devices must hear of it, and the history must not: %+v", doc)
		}
	}},
	{"the owner accepts", func(r *Runner) {
		proposed(r).Take(ID(2)).Push().Want(edits.Applied).WantRev(2).WantProposals().WantFates(edits.Accepted).
			WantCard("the proposed vacuum", VacuumIs("chop", "300"))
		if a := r.Now().Answered; len(a) == 1 && (a[0].By != "ben" || a[0].AnsweredBy != "anna" || a[0].Rev != 2 || a[0].Edit != ID(3)) {
			r.failf("answer: %+v", a)
		}
	}},
	{"the owner takes it and changes it", func(r *Runner) {
		proposed(r).Take(ID(2), Vacuum("chop", "320")).Push().Want(edits.Applied).WantProposals().WantFates(edits.Changed).
			WantCard("the owner's vacuum", VacuumIs("chop", "320"))
	}},
	{"the owner takes it and changes something else as well", func(r *Runner) {
		proposed(r).Take(ID(2), Title("Chop, soft")).Push().Want(edits.Applied).WantFates(edits.Accepted).
			WantCard("both", func(c cards.Card) bool { return c.Title == "Chop, soft" && VacuumIs("chop", "300")(c) })
	}},
	{"declining makes no revision, and the reason is kept", func(r *Runner) {
		proposed(r).Decline(ID(2), "Too slow for me.").Push().Want(edits.Answered).WantRev(1).WantProposals().WantFates(edits.Declined).
			WantCard("the vacuum that was there", VacuumIs("chop", "350"))
		if a := r.Now().Answered; len(a) == 1 && (a[0].Why != "Too slow for me." || len(a[0].Changes) != 1 || a[0].Rev != 0) {
			r.failf("answer: %+v", a)
		}
		if entry, ok, err := r.unit.Entry(ID(2)); err != nil || !ok || entry.Verdict.Outcome != edits.Proposed || len(entry.Edit.Body) == 0 {
			r.failf("the proposal is not in the log any more: %v", err)
		}
	}},
	{"declining while changing something is an edit like any other", func(r *Runner) {
		proposed(r).Change(Vacuum("chop", "400")).Alter(func(e *edits.Edit) { e.Declines = []edits.Decline{{Proposal: ID(2), Reason: "The other way."}} }).
			Push().Want(edits.Applied).WantRev(2).WantFates(edits.Declined)
	}},
	{"declining needs a reason", func(r *Runner) {
		proposed(r).Decline(ID(2), " ").Push().Want(edits.SetAside).WantReason("reason").WantProposals(ID(2))
	}},
	{"one proposal is not taken and declined at once", func(r *Runner) {
		proposed(r).Decline(ID(2), "No.").Alter(func(e *edits.Edit) { e.Takes = []edits.EditID{ID(2)} }).Push().Want(edits.SetAside).WantProposals(ID(2))
	}},
	{"the owner changed other units meanwhile: both stand", func(r *Runner) {
		proposed(r).On("tablet").Change(Title("Chop, soft")).Push().Want(edits.Applied)
		r.On("phone").Take(ID(2)).Push().Want(edits.Merged).WantFates(edits.Accepted).
			WantCard("both", func(c cards.Card) bool { return c.Title == "Chop, soft" && VacuumIs("chop", "300")(c) })
	}},
	{"the owner changed the same unit meanwhile: a question, and nobody is told that it was accepted", func(r *Runner) {
		proposed(r).On("tablet").Change(Vacuum("chop", "400")).Push().Want(edits.Applied)
		r.On("phone").Take(ID(2)).Push().Want(edits.Questioned).WantQuestions("phases/chop").WantFates(edits.Changed).
			WantCard("what was there first", VacuumIs("chop", "400"))
	}},
	{"a proposal made from an older revision says what its author changed and nothing else", func(r *Runner) {
		begun(r).As("ben").On("bench").Sync()
		r.As("anna").On("phone").Change(Title("Chop, soft")).Push().Want(edits.Applied)
		r.As("ben").On("bench").Change(Vacuum("chop", "300")).Push().Want(edits.Proposed).WantRev(2)
		if p := r.Proposal(ID(3)); len(p.Changes) != 1 || p.Parent != 1 {
			r.failf("proposal: %+v", p)
		}
		r.As("anna").On("phone").Sync().Take(ID(3)).Push().Want(edits.Applied).WantFates(edits.Accepted).
			WantCard("both", func(c cards.Card) bool { return c.Title == "Chop, soft" && VacuumIs("chop", "300")(c) })
	}},
	{"sending a proposal twice changes nothing", func(r *Runner) {
		begun(r).As("ben").On("bench").Sync().Change(Vacuum("chop", "300")).PushKeeping().Want(edits.Proposed)
		r.Push().Want(edits.AlreadyApplied).WantProposals(ID(2))
		if got := r.Receipt(); got.First != edits.Proposed || got.Rev != 0 {
			r.failf("receipt: %+v", got)
		}
	}},
	{"a proposal on top of one's own open one takes its place", func(r *Runner) {
		begun(r).As("ben").On("bench").Sync().Change(Vacuum("chop", "300")).Change(Vacuum("sculpt", "70")).Push().
			Want(edits.Proposed, edits.Proposed).WantProposals(ID(3)).WantFates(edits.Replaced)
		if p := r.Proposal(ID(3)); len(p.Changes) != 2 {
			r.failf("it holds both changes: %+v", p)
		}
		r.As("anna").On("phone").Sync().Take(ID(3)).Push().Want(edits.Applied).WantFates(edits.Replaced, edits.Accepted).
			WantCard("both", func(c cards.Card) bool { return VacuumIs("chop", "300")(c) && VacuumIs("sculpt", "70")(c) })
	}},
	{"proposals of two people stand beside each other", func(r *Runner) {
		proposed(r).As("cleo").On("desk").Sync().Change(Vacuum("chop", "310")).Push().Want(edits.Proposed).WantProposals(ID(2), ID(3))
		r.As("anna").On("phone").Sync().Take(ID(3)).Alter(func(e *edits.Edit) { e.Declines = []edits.Decline{{Proposal: ID(2), Reason: "Cleo's is nearer."}} }).
			Push().Want(edits.Applied).WantProposals().WantFates(edits.Declined, edits.Accepted).WantCard("cleo's", VacuumIs("chop", "310"))
	}},
	{"somebody else's proposal is not replaced by one made on top of it", func(r *Runner) {
		proposed(r).As("cleo").On("bench").Change(Vacuum("chop", "310")).Alter(func(e *edits.Edit) { e.After = ID(2) }).
			Push().Want(edits.Proposed).WantProposals(ID(2), ID(3))
	}},
	{"only the owner answers", func(r *Runner) {
		proposed(r).As("cleo").On("desk").Sync().Take(ID(2)).Push().Want(edits.SetAside).WantReason("alone answers").WantRev(1).WantProposals(ID(2))
		r.As("ben").On("bench").Sync().Decline(ID(2), "My own.").Push().Want(edits.SetAside).WantProposals(ID(2))
	}},
	{"an answer to what was answered already is no mistake", func(r *Runner) {
		proposed(r).Decline(ID(2), "No.").On("tablet").Sync().Take(ID(2)).Push().Want(edits.Applied)
		r.On("phone").Push().Want(edits.Answered).WantReason("had an answer already: accepted").WantRev(2).WantFates(edits.Accepted)
		r.Sync().Decline(ID(99), "No.").Push().Want(edits.Answered).WantReason("does not wait")
	}},
	{"accepting what the card holds by now changes nothing", func(r *Runner) {
		proposed(r).Change(Vacuum("chop", "300")).Push().Want(edits.Applied).Sync().WantProposals(ID(2))
		r.Take(ID(2)).Push().Want(edits.Answered).WantRev(2).WantFates(edits.Accepted)
	}},
	{"to take what the card does not hold is a no, and a no needs a reason", func(r *Runner) {
		proposed(r).Change(func(*cards.Card) {}).Alter(func(e *edits.Edit) { e.Takes = []edits.EditID{ID(2)} }).
			Push().Want(edits.SetAside).WantReason("decline it with a reason").WantProposals(ID(2))
	}},
	{"a proposal of what the card holds already asks its owner nothing, and its author is told", func(r *Runner) {
		begun(r).As("ben").On("bench").Sync()
		r.As("anna").On("phone").Change(Vacuum("chop", "300")).Push().Want(edits.Applied)
		r.As("ben").On("bench").Change(Vacuum("chop", "300")).Push().Want(edits.Answered).WantReason("holds all of this already").WantProposals()
		r.Change(Vacuum("sculpt", "70")).Push().Want(edits.Proposed).WantProposals(ID(4))
	}},
	{"who proposes the card as it is takes the own proposal back", func(r *Runner) {
		begun(r).As("ben").On("bench").Sync().Change(Vacuum("chop", "300")).Change(Vacuum("chop", "350")).Push().
			Want(edits.Proposed, edits.Answered).WantReason("taken back").WantProposals().WantFates(edits.Replaced)
	}},
	{"ten proposals of one person wait for one card, and one that waits may still be changed", func(r *Runner) {
		begun(r).As("ben").On("bench").Sync()
		r.proposals(10).Change(Title("One more")).Push().Want(edits.SetAside).WantReason("10 proposals of yours wait")
		r.Change(Title("Changed")).Alter(func(e *edits.Edit) { e.After = ID(11) }).Push().Want(edits.Proposed)
		r.As("anna").On("phone").Sync().Decline(ID(2), "No.").Push().Want(edits.Answered)
		r.As("ben").On("bench").Change(Title("One more")).Push().Want(edits.Proposed)
	}},
	{"fifty proposals wait for one card", func(r *Runner) {
		begun(r).On("bench").Sync()
		for _, author := range []cards.PersonID{"ben", "cleo", "dora", "emil", "finn"} {
			r.As(author).proposals(10)
		}
		r.As("gwen").Change(Title("One more")).Push().Want(edits.SetAside).WantReason("50 proposals wait for this card")
	}},
	{"a proposal that settles a question is accepted only with that question settled", func(r *Runner) {
		begun(r).On("tablet").Change(Vacuum("chop", "300")).Push()
		r.On("phone").Change(Vacuum("chop", "400")).Push().Want(edits.Questioned)
		q := r.Question("phases/chop").ID
		r.As("ben").On("bench").Sync().Change(Vacuum("chop", "300"), q).Push().Want(edits.Proposed)
		r.As("anna").On("phone").Sync().Take(ID(4)).Push().Want(edits.Answered).WantQuestions("phases/chop").WantFates(edits.Changed)
	}},
	{"what names a question or a proposal by no id is set aside", func(r *Runner) {
		proposed(r).Change(Title("A"), "the first").Push().Want(edits.SetAside).WantReason("settles the question “the first”. An id is 32 digits")
		r.Change(Title("A")).Alter(func(e *edits.Edit) { e.Takes = []edits.EditID{"ben's"} }).Push().Want(edits.SetAside).WantReason("answers the proposal “ben's”")
		r.Decline("ben's", "No.").Push().Want(edits.SetAside).WantReason("answers the proposal “ben's”")
	}},
	{"a time of any length is set aside", func(r *Runner) {
		begun(r).Change(Title("A")).Alter(func(e *edits.Edit) { e.Made = "2027-03-31T07:42:00." + strings.Repeat("0", 30) + "Z" }).
			Push().Want(edits.SetAside).WantReason("time")
	}},
	{"what an owner edits after an answer counts from what the owner saw", func(r *Runner) {
		proposed(r).Decline(ID(2), "No.").Change(Vacuum("chop", "400"))
		r.On("tablet").Change(Title("Chop, soft")).Push().Want(edits.Applied)
		r.On("phone").Push().Want(edits.Answered, edits.Merged).WantQuestions().
			WantCard("both", func(c cards.Card) bool { return c.Title == "Chop, soft" && VacuumIs("chop", "400")(c) })
	}},
	{"who becomes the owner answers what is open, the own proposal too", func(r *Runner) {
		proposed(r).Change(Owner("ben")).Push().Want(edits.Applied).WantProposals(ID(2))
		r.As("ben").On("bench").Sync().Take(ID(2)).Push().Want(edits.Applied).WantFates(edits.Accepted).WantCard("300", VacuumIs("chop", "300"))
		r.As("anna").On("phone").Sync().Change(Vacuum("chop", "350")).Push().Want(edits.Proposed).WantCard("300", VacuumIs("chop", "300"))
	}},
	{"who was the owner when writing and is not when it arrives has proposed", func(r *Runner) {
		begun(r).On("tablet").Change(Owner("ben")).Push().Want(edits.Applied)
		r.On("phone").Change(Vacuum("chop", "400")).Push().Want(edits.Proposed).WantRev(2)
	}},
	{"nobody makes a card their own by writing so", func(r *Runner) {
		begun(r).As("ben").On("bench").Sync().Change(Owner("ben")).Push().Want(edits.Proposed).
			WantCard("anna's", func(c cards.Card) bool { return c.Owner == "anna" })
		r.Change(Vacuum("chop", "300")).Push().Want(edits.Proposed).WantRev(1)
	}},
	{"a new card in somebody else's name is set aside", func(r *Runner) {
		r.As("ben").On("bench").Write(Card()).Push().Want(edits.SetAside).WantReason("in the name of anna")
		r.As("anna").On("phone").Write(Card()).Push().Want(edits.Applied).WantRev(1)
	}},
	{"a proposal that does not pass its checks is set aside, and one made on top of it mends it", func(r *Runner) {
		begun(r).As("ben").On("bench").Sync().Change(Vacuum("chop", "9999")).Change(Vacuum("chop", "300")).Push().
			Want(edits.SetAside, edits.Proposed).WantProposals(ID(3)).WantRev(1)
	}},
	{"a proposal of a revision this server never had is set aside", func(r *Runner) {
		begun(r).As("ben").On("bench").Sync().Change(Title("Later")).Alter(func(e *edits.Edit) { e.Parent = 9 }).Push().
			Want(edits.SetAside).WantReason("revision 9").WantProposals()
	}},
	{"only its owner settles a question of a card", func(r *Runner) {
		begun(r).On("tablet").Change(Vacuum("chop", "300")).Push()
		r.On("phone").Change(Vacuum("chop", "400")).Push().Want(edits.Questioned)
		q := r.Question("phases/chop").ID
		r.As("ben").On("bench").Sync().Change(Vacuum("chop", "400"), q).Push().Want(edits.Proposed).WantQuestions("phases/chop")
		if p := r.Proposal(ID(4)); !slices.Equal(p.Decides, []edits.QuestionID{q}) {
			r.failf("the owner must see what it would settle: %+v", p)
		}
		r.As("anna").On("phone").Sync().Take(ID(4)).Alter(func(e *edits.Edit) { e.Decides = []edits.QuestionID{q} }).Push().
			Want(edits.Applied).WantQuestions().WantFates(edits.Accepted)
	}},
	{"what the program itself writes needs no owner", func(r *Runner) {
		begun(r).As("sideport").Change(Title("Loaded")).Alter(func(e *edits.Edit) { e.Device = edits.ServerDevice }).Push().Want(edits.Applied).WantRev(2)
	}},
	{"a person, a case, a rule book and the unit are nobody's own", func(r *Runner) {
		r.About(edits.Person, "anna").As("ben").On("bench").Write(Person()).Push().Want(edits.Applied).Sync()
		p := Person()
		p.Name = "Anna Sample"
		r.As("cleo").Write(p).Push().Want(edits.Applied).WantRev(2)
	}},
}
