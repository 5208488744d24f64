package battery

import (
	"slices"

	"sideport/cards"
	"sideport/server/edits"
)

// Fault is a mistake planted in the simulated server or devices. The program
// itself knows no faults: they live in this package alone.
type Fault string

// The faults of the simulated server.
const (
	NoFault             Fault = ""
	Harmless            Fault = "none, through the same wrapper: must not be caught"
	AckBeforeCommit     Fault = "the server answers before the edit is on disk"
	LastWriterWins      Fault = "the server takes the newest edit as it comes"
	AfterIgnored        Fault = "the server ignores what an edit comes after"
	ParentTrusted       Fault = "the server takes revision numbers of another epoch"
	RepliedTwice        Fault = "the server takes a repeated edit again"
	MergeInvents        Fault = "the merge mixes limits of one phase"
	MergeDropsMine      Fault = "the merge keeps what was there and asks nothing"
	QuestionDropped     Fault = "the server forgets to keep the questions"
	SetAsideDropped     Fault = "the server drops what it sets aside"
	DecidesTooMuch      Fault = "the server closes questions whose value was not taken"
	OrderedByClock      Fault = "the server orders a push by the devices' clocks"
	RelabelledByServer  Fault = "the server writes the edit to the one who is signed in"
	RevisionOverwritten Fault = "the server writes over the newest revision"
	BodyTidied          Fault = "the server drops a paragraph it finds empty of meaning"
	ProposalApplied     Fault = "the server applies a proposal"
	ProposalDropped     Fault = "the server answers a proposal and keeps nothing"
	ProposalUnlisted    Fault = "the server keeps a proposal in the log and shows it to nobody"
	AnswerFlattered     Fault = "the server says accepted where the owner changed what was proposed"
)

// The faults of the simulated devices.
const (
	DroppedOnSend       Fault = "the device deletes an edit when it sends it"
	DroppedOnRefusal    Fault = "the device takes a refusal for an answer"
	DroppedByPlace      Fault = "the device deletes as many edits as there are receipts"
	OutboxNotDurable    Fault = "the device keeps its outbox in memory"
	OutboxOfPerson      Fault = "the device clears the outbox when the person changes"
	RelabelledOnSend    Fault = "the device sends waiting edits under the person who is there now"
	NewIDForEveryTry    Fault = "the device gives a repeated edit a new id"
	EpochIgnored        Fault = "the device does not look at the epoch"
	NotOfferedAgain     Fault = "the device does not offer acknowledged edits again after a restore"
	OfferedUnchanged    Fault = "the device offers an edit whose parent is gone under its old number"
	OwnNotNamed         Fault = "the device does not name its own earlier edit after a restore"
	ParentRefreshed     Fault = "the device names the newest revision when it sends"
	PlaceBeforeDocs     Fault = "the device moves its place in the log without the documents"
	AcknowledgedTooSoon Fault = "the device counts an edit as received when the request has left"
	ProposalShown       Fault = "the device shows a proposal as if it were the card"
)

// Faults lists every fault that the simulation must catch.
var Faults = []Fault{
	AckBeforeCommit, LastWriterWins, AfterIgnored, ParentTrusted, RepliedTwice, MergeInvents, MergeDropsMine, QuestionDropped, SetAsideDropped,
	DecidesTooMuch, OrderedByClock, RelabelledByServer, RevisionOverwritten, BodyTidied,
	ProposalApplied, ProposalDropped, ProposalUnlisted, AnswerFlattered,
	DroppedOnSend, DroppedOnRefusal, DroppedByPlace, OutboxNotDurable, OutboxOfPerson, RelabelledOnSend, NewIDForEveryTry, EpochIgnored,
	NotOfferedAgain, OfferedUnchanged, OwnNotNamed, ParentRefreshed, PlaceBeforeDocs, AcknowledgedTooSoon, ProposalShown,
}

// faultyLog is a log with one of the server's faults.
type faultyLog struct {
	edits.Log
	fault Fault
}

func (f faultyLog) Entry(id edits.EditID) (edits.Entry, bool, error) {
	if f.fault == RepliedTwice {
		return edits.Entry{}, false, nil
	}
	return f.Log.Entry(id)
}

func (f faultyLog) Append(e edits.Entry, doc *edits.Document) error {
	v := &e.Verdict
	switch {
	case doc == nil && f.fault == SetAsideDropped:
		return nil
	case doc == nil:
		return f.Log.Append(e, nil)
	case f.fault == ProposalDropped && v.Outcome == edits.Proposed:
		return nil
	case f.fault == ProposalUnlisted && v.Outcome == edits.Proposed:
		shown := *doc
		shown.Proposals = slices.Clone(doc.Proposals[:len(doc.Proposals)-1])
		return f.Log.Append(e, &shown)
	case f.fault == ProposalApplied && v.Outcome == edits.Proposed:
		v.Outcome, v.Rev, v.Base = edits.Applied, doc.Rev+1, nil
	case f.fault == AnswerFlattered && len(v.Answers) > 0:
		v.Answers = flattered(v.Answers)
	case f.fault == QuestionDropped && len(v.Questions) > 0:
		v.Questions = nil
	case f.fault == MergeDropsMine && v.Outcome == edits.Questioned:
		v.Questions, v.Outcome = nil, edits.Merged
	case f.fault == MergeInvents && v.Outcome == edits.Questioned && e.Edit.Kind == edits.Card:
		v.Body = mixed(doc.Body, e.Edit.Body)
	case f.fault == DecidesTooMuch:
		v.Decided = e.Edit.Decides
	case f.fault == RevisionOverwritten && v.Rev > 1:
		v.Rev--
	case f.fault == BodyTidied && e.Edit.Kind == edits.Card:
		v.Body = withoutNotes(e.Result())
	default:
		return f.Log.Append(e, doc)
	}
	before, ok, err := f.Log.Document(e.Edit.Kind, e.Edit.Doc)
	if err != nil {
		return err
	}
	was := &before
	if !ok {
		was = nil
	}
	after := edits.Apply(was, e)
	return f.Log.Append(e, &after)
}

func flattered(answers []edits.Reply) []edits.Reply {
	out := slices.Clone(answers)
	for i := range out {
		if out[i].Fate == edits.Changed {
			out[i].Fate = edits.Accepted
		}
	}
	return out
}

// mixed takes mine's vacuum into head's limits: a setting nobody chose.
func mixed(head, mine []byte) []byte {
	return changedCard(head, func(c *cards.Card) {
		var m cards.Card
		if cards.Decode(mine, &m) != nil {
			return
		}
		for i, p := range c.Phases {
			if x, ok := m.Phase(p.Key); ok {
				c.Phases[i].Limits.Vacuum = x.Limits.Vacuum
				c.Phases[i].Limits.Flow = cards.MustQuantity("21")
			}
		}
	})
}

func withoutNotes(body []byte) []byte {
	return changedCard(body, func(c *cards.Card) { c.Notes = "" })
}

func changedCard(body []byte, change func(*cards.Card)) []byte {
	var c cards.Card
	if err := cards.Decode(body, &c); err != nil {
		return body
	}
	change(&c)
	out, err := edits.Encode(c)
	if err != nil {
		return body
	}
	return out
}
