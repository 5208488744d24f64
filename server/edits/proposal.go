package edits

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"sideport/cards"
)

// Proposal is an edit by somebody who is not the owner of the document. It
// holds what its author saw as well, so that a device can lay it over the
// document as it is later, without a network.
type Proposal struct {
	ID      EditID          `json:"id"` // of the edit
	By      cards.PersonID  `json:"by"`
	At      time.Time       `json:"at"`
	Made    string          `json:"made"`
	Reason  string          `json:"reason"`
	Parent  int             `json:"parent"`  // the newest revision its author had seen
	Changes []string        `json:"changes"` // against base
	Decides []QuestionID    `json:"decides,omitempty"`
	Base    json.RawMessage `json:"base"`
	Body    json.RawMessage `json:"body"`
}

// Fate is what became of a proposal. Persisted: append only, never rename.
type Fate string

const (
	Accepted Fate = "accepted" // the document holds everything that was proposed, and its questions are settled
	Changed  Fate = "changed"  // the owner took it, and not wholly as it was proposed
	Declined Fate = "declined"
	Replaced Fate = "replaced" // its author made another proposal on top of it, or took it back by one that proposes nothing
)

// Reply is one answer of a verdict to a proposal.
type Reply struct {
	Proposal EditID `json:"proposal"`
	Fate     Fate   `json:"fate"`
}

// Answer is a proposal that waits no more, and what was answered. What it
// held is in the log under its id.
type Answer struct {
	Proposal EditID         `json:"proposal"`
	By       cards.PersonID `json:"by"` // who proposed
	Made     string         `json:"made"`
	Reason   string         `json:"reason"` // for proposing
	Changes  []string       `json:"changes"`
	Fate     Fate           `json:"fate"`
	// The answering edit: its id, author, reason, time, and the revision it made (0: none).
	Edit       EditID         `json:"edit"`
	AnsweredBy cards.PersonID `json:"answered_by"`
	Why        string         `json:"why"`
	At         time.Time      `json:"at"`
	Rev        int            `json:"rev"`
}

// Limits of what waits for one owner: every device reads all of it with the document.
const (
	maxOpenOf = 10 // of one author
	maxOpen   = 50
)

// proposal is the verdict on an edit of a document that is somebody else's.
// The document stays as it is. Made on top of the author's own open proposal
// it takes that one's place: it holds those changes as well, and the owner
// must not be asked about them twice.
func (j judging) proposal(from base, started, was body) (Verdict, error) {
	v := Verdict{Outcome: Proposed, Rules: RulesEdition, Changes: j.rules.diff(started, j.mine)}
	if !sameBody(started, was) {
		v.Base = mustCanonical(started)
	}
	open, own := 0, 0
	for _, p := range j.before.Proposals {
		switch {
		case p.By == j.edit.Author && slices.Contains(from.over, p.ID):
			v.Answers = append(v.Answers, Reply{Proposal: p.ID, Fate: Replaced})
			continue
		case p.By == j.edit.Author:
			own++
		}
		open++
	}
	switch {
	case j.proposesNothing(started, was):
		return j.nothingProposed(v.Answers), nil
	case own >= maxOpenOf:
		return aside(fmt.Sprintf("%d proposals of yours wait for this %s already. Wait for the owner’s answers, or change one that waits.", own, j.rules.name), nil), nil
	case open >= maxOpen:
		return aside(fmt.Sprintf("%d proposals wait for this %s already. Wait for the owner’s answers, then propose it again.", open, j.rules.name), nil), nil
	}
	return v, nil
}

// proposesNothing reports whether the owner would be asked about nothing.
func (j judging) proposesNothing(started, was body) bool {
	after, asked := j.rules.merge(started, was, j.mine)
	return len(j.edit.Decides) == 0 && len(asked) == 0 && sameBody(after, was)
}

// nothingProposed tells the author so; what it was made on top of is taken back.
func (j judging) nothingProposed(replaced []Reply) Verdict {
	v := Verdict{Outcome: Answered, Rules: RulesEdition, Answers: replaced}
	v.because(fmt.Sprintf("The %s holds all of this already, so nothing is proposed.", j.rules.name))
	if len(replaced) > 0 {
		v.because("Your earlier proposal is taken back.")
	}
	return v
}

// answered is the verdict on an edit that answers proposals and leaves the
// document as its author saw it. It makes no revision: a history that says
// "changed" where nothing changed teaches people not to read it. To take what
// one leaves out is a no, and a no has a reason.
func (j judging) answered(started, was body) (Verdict, error) {
	v := Verdict{Outcome: Answered, Rules: RulesEdition}
	for _, p := range j.before.Proposals {
		if !slices.Contains(j.edit.Takes, p.ID) {
			continue
		}
		held, err := j.holds(started, p)
		if err != nil {
			return Verdict{}, err
		}
		if !held {
			return aside(fmt.Sprintf("It takes the proposal of %s, and the %s does not hold what was proposed. Put it in, or decline it with a reason.", p.By, j.rules.name), nil), nil
		}
	}
	err := j.reply(&v, was)
	return v, err
}

// reply adds the answers to proposals, after is the document as it will be.
// An answer to one that is not open is no mistake: two devices may answer it.
func (j judging) reply(v *Verdict, after body) error {
	for _, id := range j.edit.Takes {
		p, open := j.openProposal(v, id)
		if !open {
			continue
		}
		holds, err := j.holds(after, p)
		if err != nil {
			return err
		}
		fate := Changed
		if holds && j.settles(*v, p) {
			fate = Accepted
		}
		v.Answers = append(v.Answers, Reply{Proposal: id, Fate: fate})
	}
	for _, d := range j.edit.Declines {
		if _, open := j.openProposal(v, d.Proposal); open {
			v.Answers = append(v.Answers, Reply{Proposal: d.Proposal, Fate: Declined})
		}
	}
	return nil
}

// openProposal finds a proposal that waits and that this edit has not answered already.
func (j judging) openProposal(v *Verdict, id EditID) (Proposal, bool) {
	if slices.ContainsFunc(v.Answers, func(r Reply) bool { return r.Proposal == id }) {
		return Proposal{}, false
	}
	if j.before != nil {
		for _, p := range j.before.Proposals {
			if p.ID == id {
				return p, true
			}
		}
		for _, a := range j.before.Answered {
			if a.Proposal == id {
				v.because(fmt.Sprintf("The proposal of %s had an answer already: %s.", a.By, a.Fate))
				return Proposal{}, false
			}
		}
	}
	v.because("A proposal that was answered does not wait here.")
	return Proposal{}, false
}

// holds reports whether the document has everything that was proposed: laying
// the proposal over it once more changes nothing and asks nothing.
func (j judging) holds(doc body, p Proposal) (bool, error) {
	base, err := j.stored(p.Base, "what a proposal was made from")
	if err != nil {
		return false, err
	}
	mine, err := j.stored(p.Body, "a proposal")
	if err != nil {
		return false, err
	}
	again, asked := j.rules.merge(base, doc, mine)
	return len(asked) == 0 && sameBody(again, doc), nil
}

// settles reports whether none of the questions that a proposal decides stays open.
func (j judging) settles(v Verdict, p Proposal) bool {
	return !slices.ContainsFunc(j.before.Questions, func(q Question) bool {
		return slices.Contains(p.Decides, q.ID) && !slices.Contains(v.Decided, q.ID)
	})
}

// because adds a sentence to the reason.
func (v *Verdict) because(sentence string) {
	if strings.Contains(v.Reason, sentence) {
		return
	}
	v.Reason = strings.TrimSpace(v.Reason + " " + sentence)
}

// proposalsAfter are the lists of proposals after an entry. before is not changed.
func proposalsAfter(before *Document, e Entry) (open []Proposal, answered []Answer) {
	if before != nil {
		answered = slices.Clone(before.Answered)
		for _, p := range before.Proposals {
			i := slices.IndexFunc(e.Verdict.Answers, func(r Reply) bool { return r.Proposal == p.ID })
			if i < 0 {
				open = append(open, p)
				continue
			}
			answered = append(answered, answerTo(p, e, e.Verdict.Answers[i].Fate))
		}
	}
	if e.Verdict.Outcome == Proposed {
		open = append(open, proposalOf(before, e))
	}
	return open, answered
}

func answerTo(p Proposal, e Entry, fate Fate) Answer {
	why := e.Edit.Reason
	for _, d := range e.Edit.Declines {
		if d.Proposal == p.ID {
			why = d.Reason
		}
	}
	return Answer{Proposal: p.ID, By: p.By, Made: p.Made, Reason: p.Reason, Changes: p.Changes, Fate: fate,
		Edit: e.Edit.ID, AnsweredBy: e.Edit.Author, Why: why, At: e.At, Rev: e.Verdict.Rev}
}

func proposalOf(before *Document, e Entry) Proposal {
	p := Proposal{ID: e.Edit.ID, By: e.Edit.Author, At: e.At, Made: e.Edit.Made, Reason: e.Edit.Reason, Parent: e.Edit.Parent,
		Changes: e.Verdict.Changes, Decides: e.Edit.Decides, Base: e.Verdict.Base, Body: e.Edit.Body}
	if p.Base == nil {
		p.Base = before.Body
	}
	if p.Changes == nil {
		p.Changes = []string{}
	}
	return p
}
