package battery

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"slices"

	"sideport/server/edits"
)

// aboutProposals sometimes lets the owner answer a proposal that the device
// shows, or lets somebody write a proposal of their own anew; then v is what
// that one was made from.
func (w *world) aboutProposals(d *device, key edits.DocKey, v *view) (written, bool) {
	if len(v.proposals) == 0 || w.rand.IntN(3) == 0 {
		return written{}, false
	}
	p := v.proposals[w.rand.IntN(len(v.proposals))]
	if ownerOf(v.body) == d.author() {
		return w.answerTo(p, *v)
	}
	madeHere := slices.ContainsFunc(d.kept, func(h held) bool { return h.edit.ID == p.ID })
	if p.By != d.author() || !madeHere {
		return written{}, false
	}
	body, ok := with(p.Body, w.cardIntent())
	*v = view{body: p.Base, rev: p.Parent, after: p.ID}
	return written{body: body}, ok
}

// answerAll lets every device answer one proposal of each card whose owner is there.
func (w *world) answerAll() {
	for i, d := range w.devices {
		for _, key := range slices.SortedFunc(maps.Keys(d.mirror), func(a, b edits.DocKey) int { return cmp.Compare(a.ID, b.ID) }) {
			v := d.view(key)
			if len(v.proposals) == 0 || ownerOf(v.body) != d.author() {
				continue
			}
			if text, ok := w.answerTo(v.proposals[w.rand.IntN(len(v.proposals))], v); ok {
				w.keep(i, key, v, text)
			}
		}
	}
}

// answerTo takes a proposal as it is, takes it changed, or declines it.
func (w *world) answerTo(p edits.Proposal, v view) (written, bool) {
	if w.rand.IntN(2) == 0 {
		return written{body: v.body, declines: []edits.Decline{{Proposal: p.ID, Reason: "The other way."}}}, true
	}
	body := foreseen(edits.Card, p.Base, v.body, p.Body)
	ok := true
	if w.rand.IntN(3) == 0 {
		body, ok = with(body, w.cardIntent())
	}
	return written{body: body, takes: []edits.EditID{p.ID}}, ok
}

// proposed is an open proposal as the oracle knows it.
type proposed struct {
	saw, wrote map[string]string
	entry      edits.Entry
}

// owned checks that the card's owner changes it and everybody else proposes.
func owned(e edits.Entry, doc *replica) error {
	if e.Edit.Kind != edits.Card || e.Edit.Device == edits.ServerDevice {
		return nil
	}
	owner := ownerOf(e.Edit.Body)
	if n := len(doc.bodies); n > 0 {
		owner = ownerOf(doc.bodies[n-1])
	}
	owns, outcome := owner == e.Edit.Author, e.Verdict.Outcome
	if owns && outcome == edits.Proposed || !owns && outcome != edits.Proposed && outcome != edits.Answered {
		return fmt.Errorf("the card is of %s", owner)
	}
	return nil
}

// shownAsCard: nobody takes for the card what somebody else wrote who did not own it.
func (o *oracle) shownAsCard(e edits.Entry, byID map[edits.EditID]edits.Entry) error {
	below, ok := byID[e.Edit.After]
	if !ok || e.Edit.Kind != edits.Card || below.Edit.Author == e.Edit.Author {
		return nil
	}
	if owner := ownerOf(o.intents[below.Edit.ID].shown); owner != "" && owner != below.Edit.Author {
		return fmt.Errorf("the proposal of %s was shown to %s as if it were the card", below.Edit.Author, e.Edit.Author)
	}
	return nil
}

// proposals follows an entry through the proposals that wait: it may add
// itself, and it answers exactly those open ones that it names.
func (o *oracle) proposals(e edits.Entry, doc *replica) error {
	named := slices.Clone(e.Edit.Takes)
	for _, d := range e.Edit.Declines {
		named = append(named, d.Proposal)
	}
	for _, r := range e.Verdict.Answers {
		p, open := doc.open[r.Proposal]
		if !open {
			return fmt.Errorf("proposal %s was answered and did not wait", r.Proposal)
		}
		if err := o.fate(e, r, p, doc); err != nil {
			return fmt.Errorf("proposal %s: %w", r.Proposal, err)
		}
		delete(doc.open, r.Proposal)
	}
	for _, id := range named {
		if _, open := doc.open[id]; open {
			return fmt.Errorf("the answer to proposal %s is lost", id)
		}
	}
	return nil
}

// fate checks one answer. "Accepted" must be true: everything that the proposal changed is there.
func (o *oracle) fate(e edits.Entry, r edits.Reply, p proposed, doc *replica) error {
	took := slices.Contains(e.Edit.Takes, r.Proposal)
	declined := slices.ContainsFunc(e.Edit.Declines, func(d edits.Decline) bool { return d.Proposal == r.Proposal })
	switch {
	case r.Fate == edits.Replaced && !took && !declined && p.entry.Edit.Author == e.Edit.Author:
		return nil
	case r.Fate == edits.Declined && declined, r.Fate == edits.Changed && took:
		return nil
	case r.Fate != edits.Accepted || !took:
		return fmt.Errorf("nobody answered %q", r.Fate)
	}
	now := o.unitsOf(e.Edit.Kind, doc.bodies[len(doc.bodies)-1])
	for _, unit := range keysOf(p.saw, p.wrote) {
		if x := p.wrote[unit]; x != p.saw[unit] && x != now[unit] {
			return fmt.Errorf("%q, and %s is %s and not %s", r.Fate, unit, now[unit], x)
		}
	}
	return nil
}

// changedNothing checks an edit that only answered, or a proposal of nothing
// that the card, now, does not hold.
func changedNothing(e edits.Entry, s sight, wrote, now map[string]string) error {
	if len(e.Edit.Takes)+len(e.Edit.Declines) == 0 {
		return proposedNothing(e, s, wrote, now)
	}
	for _, unit := range keysOf(s.saw, wrote) {
		if or, ok := s.or[unit]; s.saw[unit] != wrote[unit] && (!ok || or != wrote[unit]) {
			return fmt.Errorf("%s: the author's change is lost: saw %s, wrote %s", unit, s.saw[unit], wrote[unit])
		}
	}
	return nil
}

func proposedNothing(e edits.Entry, s sight, wrote, now map[string]string) error {
	if len(e.Edit.Decides) > 0 || e.Verdict.Reason == "" {
		return fmt.Errorf("it proposes something, or its author is not told that it does not")
	}
	for _, unit := range keysOf(s.saw, wrote) {
		if x := wrote[unit]; x != s.saw[unit] && x != now[unit] {
			return fmt.Errorf("%s: what was proposed is lost: saw %s, wrote %s, there is %s", unit, s.saw[unit], x, now[unit])
		}
	}
	return nil
}

// listed checks that every document shows exactly the proposals that wait, whole.
func (o *oracle) listed(docs []edits.Document) error {
	for _, doc := range docs {
		open := o.docs[edits.DocKey{Kind: doc.Kind, ID: doc.ID}].open
		if len(doc.Proposals) != len(open) {
			return fmt.Errorf("%d proposals wait for %s and %d are shown", len(open), doc.ID, len(doc.Proposals))
		}
		for _, p := range doc.Proposals {
			if want, ok := open[p.ID]; !ok || p.By != want.entry.Edit.Author || !bytes.Equal(p.Body, want.entry.Edit.Body) {
				return fmt.Errorf("proposal %s of %s is not shown as it was made", p.ID, doc.ID)
			}
		}
	}
	return nil
}
