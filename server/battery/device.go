package battery

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"slices"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/edits"
)

// held is one edit of a device with what its author saw.
type held struct {
	n    int // the order in which the device's people made them
	edit edits.Edit
	// shown is what the author saw; nil: a new document. Where the edit before
	// was set aside it becomes what that one was made from, as on the server.
	shown json.RawMessage
	rev   int // the revision that shown was laid over
	// answersOnly: it answers proposals and leaves the document as it was shown.
	answersOnly bool
	// Once there is a receipt:
	epoch string
	seq   edits.Seq
}

// device is a model of a tablet that follows docs/sync.md.
type device struct {
	id     edits.DeviceID
	fault  Fault
	person cards.PersonID
	alone  bool // whoever is there works in the name of one surgeon
	made   int

	// On its disk.
	epoch  string
	seq    edits.Seq
	mirror map[edits.DocKey]edits.Document
	outbox []held // oldest first
	sent   []held // received by the server, not yet shown by the mirror
	kept   []held // every edit of this device that has had a receipt
	// rescued are documents as this device last saw them, of which a restored server has lost revisions.
	rescued []edits.Document

	// In its memory: the requests it waits for.
	pull, push int
	whole      bool // the next pull reads a snapshot
}

func (d *device) restart() {
	d.pull, d.push, d.whole = 0, 0, false
	if d.fault == OutboxNotDurable {
		d.outbox = nil
	}
}

// author is in whose name the person at the device writes.
func (d *device) author() cards.PersonID {
	if d.alone {
		return people[0]
	}
	return d.person
}

// unread are the edits that the mirror does not show, oldest first. The mirror
// shows an edit, and all before it, as soon as the document's history has its
// id, even where the receipt was lost: laying it over once more would make the
// author's own later change look like somebody else's.
func (d *device) unread(key edits.DocKey) []held {
	var own []held
	for _, h := range slices.Concat(d.sent, d.outbox) {
		if h.edit.Kind == key.Kind && h.edit.Doc == key.ID {
			own = append(own, h)
		}
	}
	slices.SortStableFunc(own, func(a, b held) int { return cmp.Compare(a.n, b.n) })
	history := d.mirror[key].History
	for i := len(own) - 1; i >= 0; i-- {
		if slices.ContainsFunc(history, func(r edits.Revision) bool { return r.Edit == own[i].edit.ID }) {
			return own[i+1:]
		}
	}
	return own
}

// layers are the unread edits that the document is shown with. What somebody
// else than the owner wrote is a proposal and no part of it, and an edit that
// only answers proposals changes nothing.
func (d *device) layers(key edits.DocKey) []held {
	own := d.unread(key)
	if key.Kind != edits.Card || d.fault == ProposalShown {
		return own
	}
	owner := ownerOf(d.mirror[key].Body)
	var laid []held
	for _, h := range own {
		if owner == "" {
			owner = ownerOf(h.edit.Body) // a new card
		}
		if h.edit.Author == owner && !h.answersOnly {
			laid, owner = append(laid, h), ownerOf(h.edit.Body)
		}
	}
	return laid
}

// ownerOf is whose card a body is; empty where there is none.
func ownerOf(body json.RawMessage) cards.PersonID {
	var c struct {
		Owner cards.PersonID `json:"owner"`
	}
	if json.Unmarshal(body, &c) != nil {
		return ""
	}
	return c.Owner
}

// view is a document as the device shows it, waiting edits laid over.
type view struct {
	body      json.RawMessage // nil: there is no document
	rev       int
	after     edits.EditID
	questions []edits.Question
	proposals []edits.Proposal
}

func (d *device) view(key edits.DocKey) view {
	head, ok := d.mirror[key]
	own := d.layers(key)
	v := view{body: head.Body, rev: head.Rev, questions: head.Questions, proposals: head.Proposals}
	if len(own) == 0 {
		return v
	}
	last := own[len(own)-1]
	v.after, v.body = last.edit.ID, last.edit.Body
	// The server will merge: foresee it. Kinds that are decided as a whole show the author's own.
	// Where nobody here knows what it counts from, the author has not seen what came since, and says so.
	switch moved := ok && head.Rev > own[0].rev; {
	case moved && own[0].shown == nil:
		v.rev = own[0].rev
	case moved:
		v.body = foreseen(key.Kind, own[0].shown, head.Body, last.edit.Body)
	}
	return v
}

// ownIn are the device's own edits in what it shows, oldest first.
func (d *device) ownIn(key edits.DocKey, v view) []edits.EditID {
	var own []edits.EditID
	for _, r := range d.mirror[key].History[:min(v.rev, len(d.mirror[key].History))] {
		if r.Device == d.id {
			own = append(own, r.Edit)
		}
	}
	for _, h := range d.layers(key) {
		own = append(own, h.edit.ID)
	}
	return own
}

// foreseen merges like the server; mine where the kind does not merge in parts.
func foreseen(kind edits.Kind, base, head, mine json.RawMessage) json.RawMessage {
	switch kind {
	case edits.Card:
		return mergedBody(cards.Merge, base, head, mine)
	case edits.Case:
		return mergedBody(checklist.MergeCases, base, head, mine)
	case edits.Rules:
		return mergedBody(checklist.MergeRuleBooks, base, head, mine)
	}
	return mine
}

func mergedBody[T any](merge func(base, head, mine T) (T, []cards.Question), base, head, mine json.RawMessage) json.RawMessage {
	var b, h, m T
	for raw, into := range map[*json.RawMessage]*T{&base: &b, &head: &h, &mine: &m} {
		if err := json.Unmarshal(*raw, into); err != nil {
			return mine // what cannot be read (an edit that will be set aside) is shown as it is
		}
	}
	result, _ := merge(b, h, m)
	return mustEncode(result)
}

func mustEncode(v any) json.RawMessage {
	b, err := edits.Encode(v)
	if err != nil {
		panic("battery: a body has no JSON form: " + err.Error())
	}
	return b
}

// written is what a person wrote.
type written struct {
	body     json.RawMessage
	decides  []edits.QuestionID
	takes    []edits.EditID
	declines []edits.Decline
}

// keep puts an edit of the person into the outbox: from here on it must reach the server exactly once.
func (d *device) keep(id edits.EditID, key edits.DocKey, from view, w written, made string) held {
	d.made++
	e := edits.Edit{ID: id, Kind: key.Kind, Doc: key.ID, Parent: from.rev, After: from.after, Author: d.author(), Device: d.id,
		Made: made, Body: w.body, Decides: w.decides, Takes: w.takes, Declines: w.declines}
	h := held{n: d.made, edit: e, shown: from.body, rev: from.rev}
	h.answersOnly = len(w.takes)+len(w.declines) > 0 && len(w.decides) == 0 && bytes.Equal(w.body, from.body)
	d.outbox = append(d.outbox, h)
	return h
}

// pushRequest is what the device sends.
type pushRequest struct {
	device int
	number int
	epoch  string
	person cards.PersonID // who is there; an edit keeps its own author
	edits  []edits.Edit
}

func (d *device) startPush(number, most int) (pushRequest, bool) {
	if len(d.outbox) == 0 || d.epoch == "" {
		return pushRequest{}, false
	}
	d.push = number
	r := pushRequest{number: number, epoch: d.epoch, person: d.person}
	for i, h := range d.outbox[:min(most, len(d.outbox))] {
		e := h.edit
		switch d.fault {
		case RelabelledOnSend:
			e.Author = d.person
		case ParentRefreshed:
			if doc, ok := d.mirror[edits.DocKey{Kind: e.Kind, ID: e.Doc}]; ok {
				e.Parent, e.After = doc.Rev, ""
			}
		case NewIDForEveryTry:
			e.ID = edits.EditID(fmt.Sprintf("%016x", number) + string(e.ID[16:]))
		case EpochIgnored:
			r.epoch = ""
		case AcknowledgedTooSoon:
			d.kept = append(d.kept, d.outbox[i])
		}
		r.edits = append(r.edits, e)
	}
	if d.fault == DroppedOnSend || d.fault == AcknowledgedTooSoon {
		d.outbox = slices.Clone(d.outbox[len(r.edits):])
	}
	return r, true
}

// settle takes receipts: an edit leaves the outbox for a receipt with its id and for nothing else.
func (d *device) settle(epoch string, receipts []edits.Receipt) {
	if d.fault == DroppedByPlace {
		d.outbox = slices.Clone(d.outbox[min(len(receipts), len(d.outbox)):])
		return
	}
	for _, r := range receipts {
		i := slices.IndexFunc(d.outbox, func(h held) bool {
			return h.edit.ID == r.ID || d.fault == NewIDForEveryTry && h.edit.ID[16:] == r.ID[16:]
		})
		if i < 0 {
			continue
		}
		h := d.outbox[i]
		h.epoch, h.seq = epoch, r.Seq
		if r.Rev == 0 {
			d.wasSetAside(h)
		}
		d.outbox = slices.Delete(slices.Clone(d.outbox), i, i+1)
		d.kept = append(d.kept, h)
		if r.Rev > 0 && (epoch != d.epoch || r.Seq > d.seq) {
			d.sent = append(d.sent, h)
		}
	}
}

// wasSetAside makes what was edited on top of an edit that is no part of the
// document, set aside or a proposal, count from what that one was made from: it
// holds those changes as well.
func (d *device) wasSetAside(h held) {
	for i, later := range d.outbox {
		if later.edit.After == h.edit.ID {
			d.outbox[i].shown, d.outbox[i].rev = h.shown, h.rev
		}
	}
}

// refused is the answer to a push that took nothing.
func (d *device) refused(sent []edits.Edit, otherEpoch bool) {
	if otherEpoch {
		d.whole = true
	}
	if d.fault == DroppedOnRefusal {
		d.outbox = slices.DeleteFunc(slices.Clone(d.outbox), func(h held) bool {
			return slices.ContainsFunc(sent, func(e edits.Edit) bool { return e.ID == h.edit.ID })
		})
	}
}

// become lets another person use the device. What waits stays as it is.
func (d *device) become(p cards.PersonID) {
	d.person = p
	if d.fault == OutboxOfPerson {
		d.outbox = slices.DeleteFunc(slices.Clone(d.outbox), func(h held) bool { return h.edit.Author != p })
	}
}
