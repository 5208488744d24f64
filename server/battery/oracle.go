package battery

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"sideport/server/edits"
)

// oracle remembers what every person did and saw, and judges logs by that. It
// knows nothing of revisions and parents: it compares, unit by unit, what a
// person saw, what the person wrote, what was there and what came of it. It
// shares no code with the merge it judges.
type oracle struct {
	intents map[edits.EditID]*intent
	order   []*intent
	parts   map[string]map[string]string // body → its units, kept because bodies repeat
	docs    map[edits.DocKey]*replica    // as the log judged last leaves them
}

// intent is one act of one person.
type intent struct {
	edit  edits.Edit
	shown json.RawMessage // what the person saw; nil: no document
	// holds are the device's own earlier edits that were part of what the person saw, oldest first.
	holds []edits.EditID
	// ids are the ids under which it was offered: its own, and new ones where its parent was lost.
	ids []edits.EditID
}

func newOracle() *oracle {
	return &oracle{intents: map[edits.EditID]*intent{}, parts: map[string]map[string]string{}}
}

func (o *oracle) made(e edits.Edit, shown json.RawMessage, holds ...edits.EditID) {
	i := &intent{edit: e, shown: shown, holds: holds, ids: []edits.EditID{e.ID}}
	o.intents[e.ID] = i
	o.order = append(o.order, i)
}

func (o *oracle) offered(f offer) {
	i := o.intents[f.was]
	i.ids = append(i.ids, f.is)
	o.intents[f.is] = i
}

// acknowledged checks that what a receipt says is in the log at that moment.
func (o *oracle) acknowledged(u Unit, epoch string, receipts []edits.Receipt) error {
	info, err := u.Info()
	if err != nil || info.Epoch != epoch {
		return err // a receipt of a server that has been replaced meanwhile; the device will see the epoch
	}
	for _, r := range receipts {
		e, ok, err := u.Entry(r.ID)
		first := r.Outcome
		if first == edits.AlreadyApplied {
			first = r.First
		}
		switch {
		case err != nil:
			return err
		case !ok:
			return fmt.Errorf("edit %s was acknowledged and is not in the log", r.ID)
		case e.Verdict.Outcome != first || e.Verdict.Rev != r.Rev || e.Seq != r.Seq:
			return fmt.Errorf("edit %s was answered %q revision %d and is kept as %q revision %d", r.ID, first, r.Rev, e.Verdict.Outcome, e.Verdict.Rev)
		}
	}
	return nil
}

// replica is a document as the oracle rebuilds it from a log.
type replica struct {
	bodies    []json.RawMessage // by revision - 1
	questions []edits.Question
	open      map[edits.EditID]proposed
}

// judge checks every entry of a log.
func (o *oracle) judge(entries []edits.Entry) error {
	docs := map[edits.DocKey]*replica{}
	byID := map[edits.EditID]edits.Entry{}
	for n, e := range entries {
		if int(e.Seq) != n+1 {
			return fmt.Errorf("the log has place %d where %d belongs", e.Seq, n+1)
		}
		if _, twice := byID[e.Edit.ID]; twice {
			return fmt.Errorf("edit %s is in the log twice", e.Edit.ID)
		}
		key := edits.DocKey{Kind: e.Edit.Kind, ID: e.Edit.Doc}
		if docs[key] == nil {
			docs[key] = &replica{open: map[edits.EditID]proposed{}}
		}
		if err := o.entry(e, docs[key], byID); err != nil {
			return fmt.Errorf("record %d (%s, %s %s by %s): %w", e.Seq, e.Verdict.Outcome, e.Edit.Kind, e.Edit.Doc, e.Edit.Author, err)
		}
		byID[e.Edit.ID] = e
	}
	o.docs = docs
	return nil
}

func (o *oracle) entry(e edits.Entry, doc *replica, byID map[edits.EditID]edits.Entry) error {
	i, known := o.intents[e.Edit.ID]
	if !known {
		return fmt.Errorf("nobody made edit %s", e.Edit.ID)
	}
	if w := i.edit; w.Author != e.Edit.Author || w.Device != e.Edit.Device || w.Made != e.Edit.Made || string(w.Body) != string(e.Edit.Body) {
		return fmt.Errorf("the edit is not as it was made: by %s, now by %s", w.Author, e.Edit.Author)
	}
	if e.Verdict.Outcome == edits.SetAside {
		if e.Verdict.Reason == "" {
			return fmt.Errorf("set aside without a reason")
		}
		return outOfOrder(e.Edit, doc, byID)
	}
	if err := owned(e, doc); err != nil {
		return err
	}
	if err := o.shownAsCard(e, byID); err != nil {
		return err
	}
	if e.Verdict.Outcome == edits.Proposed || e.Verdict.Outcome == edits.Answered {
		return o.besides(e, doc, o.seen(e.Edit, doc, byID))
	}
	if e.Verdict.Rev != len(doc.bodies)+1 {
		return fmt.Errorf("revision %d comes after %d", e.Verdict.Rev, len(doc.bodies))
	}
	if len(doc.bodies) > 0 {
		if err := o.units(e, doc, o.seen(e.Edit, doc, byID)); err != nil {
			return err
		}
	} else if compact(e.Result()) != compact(e.Edit.Body) {
		return fmt.Errorf("the first revision is not what its author wrote")
	}
	doc.bodies = append(doc.bodies, e.Result())
	if err := o.proposals(e, doc); err != nil {
		return err
	}
	return o.questions(e, doc)
}

// besides is an edit that leaves the document as it is: a proposal, or answers to some.
func (o *oracle) besides(e edits.Entry, doc *replica, s sight) error {
	if e.Verdict.Rev != 0 || e.Result() != nil {
		return fmt.Errorf("it made revision %d", e.Verdict.Rev)
	}
	wrote := o.unitsOf(e.Edit.Kind, e.Edit.Body)
	if err := o.proposals(e, doc); err != nil {
		return err
	}
	if e.Verdict.Outcome == edits.Answered {
		return changedNothing(e, s, wrote, o.unitsOf(e.Edit.Kind, doc.bodies[len(doc.bodies)-1]))
	}
	doc.open[e.Edit.ID] = proposed{saw: s.saw, wrote: wrote, entry: e}
	return nil
}

// outOfOrder: a device sends in the order in which its people worked, so what
// an edit was made from is there before it.
func outOfOrder(e edits.Edit, doc *replica, byID map[edits.EditID]edits.Entry) error {
	if _, ok := byID[e.After]; e.After != "" && !ok {
		return fmt.Errorf("it was judged before the edit it was made after")
	}
	if e.After == "" && e.Parent > len(doc.bodies) {
		return fmt.Errorf("it names revision %d of %d", e.Parent, len(doc.bodies))
	}
	return nil
}

// seen is what counts as what the author saw. What was made on top of an edit
// that was set aside, or of a proposal, holds that one's changes too. What was offered anew counts
// from the newest of the device's own edits in what its author saw, and where
// none of them came back from the revision that both histories share.
func (o *oracle) seen(e edits.Edit, doc *replica, byID map[edits.EditID]edits.Entry) sight {
	i := o.intents[e.ID]
	anew := e.ID != i.edit.ID
	before, hasBefore := byID[e.After]
	var shared json.RawMessage
	if e.Parent > 0 && e.Parent <= len(doc.bodies) {
		shared = doc.bodies[e.Parent-1]
	}
	if hasBefore && before.Verdict.Rev == 0 {
		return o.seen(before.Edit, doc, byID)
	}
	if !anew {
		return sight{saw: o.unitsOf(e.Kind, i.shown)}
	}
	if own, ok := o.ownIn(i, e.Parent, byID); ok {
		return o.through(own, i, shared)
	}
	if hasBefore {
		return o.through(before, i, shared)
	}
	return sight{saw: o.unitsOf(e.Kind, shared)}
}

// ownIn is the newest of the device's own edits that the author saw and that
// came back after the shared revision, whatever the device said of it.
func (o *oracle) ownIn(i *intent, shared int, byID map[edits.EditID]edits.Entry) (edits.Entry, bool) {
	for _, own := range slices.Backward(i.holds) {
		for _, id := range o.intents[own].ids {
			if e, ok := byID[id]; ok && e.Verdict.Rev > shared {
				return e, true
			}
		}
	}
	return edits.Entry{}, false
}

// sight is what counts as what an author saw, unit by unit.
type sight struct {
	saw map[string]string
	// or is what may count instead: only the merge that is judged knows which of the two the author was shown.
	or map[string]string
}

// through is what the author saw with an own edit in it: that one's values.
// Where the author was shown another value, and it is the shared revision's,
// the own one was in question or taken back by somebody else.
func (o *oracle) through(own edits.Entry, i *intent, shared json.RawMessage) sight {
	s := sight{saw: o.unitsOf(own.Edit.Kind, own.Edit.Body), or: map[string]string{}}
	shown, was := o.unitsOf(own.Edit.Kind, i.shown), o.unitsOf(own.Edit.Kind, shared)
	for _, unit := range keysOf(s.saw, shown, was) {
		if shown[unit] == was[unit] {
			s.or[unit] = was[unit]
		}
	}
	return s
}

// units checks each unit of a document that was there already.
func (o *oracle) units(e edits.Entry, doc *replica, s sight) error {
	wrote := o.unitsOf(e.Edit.Kind, e.Edit.Body)
	was, now := o.unitsOf(e.Edit.Kind, doc.bodies[len(doc.bodies)-1]), o.unitsOf(e.Edit.Kind, e.Result())
	for _, unit := range keysOf(s.saw, wrote, was, now) {
		err := unitWrong(e, unit, s.saw[unit], wrote[unit], was[unit], now[unit])
		if or, ok := s.or[unit]; ok && err != nil {
			err = unitWrong(e, unit, or, wrote[unit], was[unit], now[unit])
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// unitWrong checks one unit: b the author saw, x the author wrote, h was there, r came of it.
func unitWrong(e edits.Entry, unit, b, x, h, r string) error {
	switch {
	case r == h && (x == b || x == h): // not touched, or the same on both sides
	case r == h && asks(e.Verdict.Questions, unit, x):
	case r == h:
		return fmt.Errorf("%s: the author's change is lost: saw %s, wrote %s, kept %s", unit, b, x, h)
	case r != x:
		return fmt.Errorf("%s: nobody wrote %s (there was %s, the author wrote %s)", unit, r, h, x)
	case b != h:
		return fmt.Errorf("%s: %s was overwritten by %s of somebody who had seen %s", unit, h, x, b)
	}
	return nil
}

// asks reports whether a question about the unit keeps what the author wrote.
func asks(questions []edits.Question, unit, mine string) bool {
	field, _, _ := strings.Cut(unit, "/")
	for _, q := range questions {
		asked, _, _ := strings.Cut(q.Unit, "/")
		switch {
		case q.Unit == unit:
			return mine == absent && string(q.Mine) == "null" || compact(q.Mine) == mine
		case q.Unit == edits.WholeDocument:
			return true
		case asked == field && slices.Contains([]string{"basics", "machine", "notes"}, field):
			return true // these are asked about by groups of fields, and by paragraph
		}
	}
	return false
}

// questions checks that every open question stays open until somebody who chose its value decides it.
func (o *oracle) questions(e edits.Entry, doc *replica) error {
	was, now := doc.questions, []edits.Question(nil)
	wrote, result := o.unitsOf(e.Edit.Kind, e.Edit.Body), o.unitsOf(e.Edit.Kind, e.Result())
	for _, q := range was {
		if !slices.Contains(e.Verdict.Decided, q.ID) {
			now = append(now, q)
			continue
		}
		if !slices.Contains(e.Edit.Decides, q.ID) {
			return fmt.Errorf("the question about %s was closed and nobody decided it", q.Unit)
		}
		if _, plain := wrote[q.Unit]; plain && wrote[q.Unit] != result[q.Unit] {
			return fmt.Errorf("the question about %s was closed with a value that was not taken", q.Unit)
		}
	}
	for _, id := range e.Verdict.Decided {
		if !slices.ContainsFunc(was, func(q edits.Question) bool { return q.ID == id }) {
			return fmt.Errorf("a question was closed that was not open")
		}
	}
	doc.questions = append(now, e.Verdict.Questions...)
	return nil
}

// final checks the log at the end: every intent is in it exactly once, under one of its ids at least.
func (o *oracle) final(entries []edits.Entry) error {
	there := map[edits.EditID]bool{}
	for _, e := range entries {
		there[e.Edit.ID] = true
	}
	for _, i := range o.order {
		if !slices.ContainsFunc(i.ids, func(id edits.EditID) bool { return there[id] }) {
			return fmt.Errorf("edit %s of %s by %s is lost", i.edit.ID, i.edit.Doc, i.edit.Author)
		}
	}
	return nil
}
