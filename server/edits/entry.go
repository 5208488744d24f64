package edits

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"sideport/cards"
)

// RulesEdition numbers the rules of judging. It is raised when a change of
// the checks or of merging makes an old edit come out differently; entries
// keep the edition that judged them.
//
//	1  rule books were decided as a whole
//	2  rule books merge part by part, as cards do; an edit after a waiting one counts from what its author saw
//	3  an edit of a card by somebody who is not its owner is a proposal
//	4  who may not do it, or did not sign it, has it set aside (Standing)
//	   what was read aloud is kept as a record; nobody else writes in the theatre's name
const RulesEdition = 4

// Errors a Log returns, and what they mean to the caller.
var (
	// ErrOutcomeUnknown: the commit failed, so the edit may or may not be kept.
	// Nothing may be read from the log any more; the program stops.
	ErrOutcomeUnknown = errors.New("the commit failed: the edit may or may not be kept")
	// ErrStopped: an earlier commit failed, or the log is closed.
	ErrStopped = errors.New("the log serves nothing more")
	// ErrReadOnly: the log did not pass its checks and takes no edits.
	ErrReadOnly = errors.New("the log is read only")
	// ErrDamaged: a record does not match its own hash and is not served.
	ErrDamaged = errors.New("a stored record is damaged")
	// ErrReused: an edit has the id of an earlier one and says something else.
	ErrReused = errors.New("the id belongs to another edit")
)

// Past is what judging reads of the log. Every method may return ErrDamaged.
type Past interface {
	// Entry returns the entry of an edit.
	Entry(EditID) (Entry, bool, error)
	// Revision returns the body of one revision.
	Revision(kind Kind, doc string, rev int) (json.RawMessage, bool, error)
}

// Log is the ordered log inside one transaction: either everything a call to
// Accept appended is kept, or nothing is. Every method may return ErrDamaged.
type Log interface {
	Past
	// Document returns a document as it is now.
	Document(Kind, string) (Document, bool, error)
	// Next is the place the next entry will have.
	Next() (Seq, error)
	// Append keeps the entry and, unless it was set aside, the document as it is afterwards.
	Append(Entry, *Document) error
}

// Entry is one place of the log: the edit as it came and what became of it.
type Entry struct {
	Seq     Seq       `json:"seq"`
	At      time.Time `json:"at"` // the server's clock; the order is Seq
	Edit    Edit      `json:"edit"`
	Verdict Verdict   `json:"verdict"`
	// Identity is nil in entries from before edition 4, which asked nobody who they were.
	Identity *Identity `json:"identity,omitempty"`
}

// Refused reports whether the edit was set aside for who made it, not for what it says.
func (e Entry) Refused() bool { return e.Identity != nil && e.Identity.Refused }

// Verdict is what became of an edit. It holds everything that is needed to
// rebuild the document without judging again.
type Verdict struct {
	Outcome  Outcome        `json:"outcome"`
	Rules    int            `json:"rules"` // RulesEdition that judged
	Rev      int            `json:"rev,omitempty"`
	Reason   string         `json:"reason,omitempty"`
	Problems cards.Problems `json:"problems,omitempty"`
	// Body is the document afterwards, left out where it is the edit's own body.
	Body      json.RawMessage `json:"body,omitempty"`
	Changes   []string        `json:"changes,omitempty"`
	Questions []Question      `json:"questions,omitempty"` // newly opened
	Decided   []QuestionID    `json:"decided,omitempty"`
	// Base is what the author of a proposal saw, left out where it is the document as it was then.
	Base    json.RawMessage `json:"base,omitempty"`
	Answers []Reply         `json:"answers,omitempty"` // to proposals that were open
}

// Question is one decision unit that two people changed differently.
type Question struct {
	ID QuestionID `json:"id"`
	cards.Question
	HeadBy cards.PersonID `json:"head_by"`
	MineBy cards.PersonID `json:"mine_by"`
	Edit   EditID         `json:"edit"`
	At     time.Time      `json:"at"`
}

// Document is one thing that is edited as a whole, as it is now.
type Document struct {
	Kind      Kind            `json:"kind"`
	ID        string          `json:"id"`
	Rev       int             `json:"rev"`
	Seq       Seq             `json:"seq"`
	Body      json.RawMessage `json:"body"`
	Questions []Question      `json:"questions"`
	History   []Revision      `json:"history"` // oldest first
	// Proposals wait for the owner's answer, oldest first.
	Proposals []Proposal `json:"proposals,omitempty"`
	// Answered are the proposals that wait no more, in the order of the answers.
	Answered []Answer `json:"answered,omitempty"`
}

// Revision is one line of a document's history.
type Revision struct {
	Rev     int            `json:"rev"`
	Seq     Seq            `json:"seq"`
	At      time.Time      `json:"at"`
	Made    string         `json:"made"`
	By      cards.PersonID `json:"by"`
	Device  DeviceID       `json:"device"`
	Edit    EditID         `json:"edit"`
	Reason  string         `json:"reason"`
	Outcome Outcome        `json:"outcome"`
	Changes []string       `json:"changes"`
	Checked Checked        `json:"checked,omitempty"` // how it was known that By made it
}

// Result is the body of the revision that the entry made; nil when it made none.
func (e Entry) Result() json.RawMessage {
	switch {
	case e.Verdict.Rev == 0:
		return nil
	case e.Verdict.Body != nil:
		return e.Verdict.Body
	}
	return e.Edit.Body
}

// Receipt is the answer the edit got the first time.
func (e Entry) Receipt() Receipt {
	return Receipt{ID: e.Edit.ID, Outcome: e.Verdict.Outcome, Kind: e.Edit.Kind, Doc: e.Edit.Doc, Rev: e.Verdict.Rev, Seq: e.Seq,
		Reason: e.Verdict.Reason, Problems: e.Verdict.Problems}
}

// Apply returns the document after the entry. before is nil for a new
// document and is not changed. The entry must not have been set aside.
func Apply(before *Document, e Entry) Document {
	proposals, answered := proposalsAfter(before, e)
	if before != nil && e.Verdict.Rev == 0 {
		doc := *before
		doc.Seq, doc.Proposals, doc.Answered = e.Seq, proposals, answered
		return doc
	}
	doc := Document{Kind: e.Edit.Kind, ID: e.Edit.Doc, Rev: e.Verdict.Rev, Seq: e.Seq, Body: e.Result(),
		Questions: []Question{}, History: []Revision{}, Proposals: proposals, Answered: answered}
	if before != nil {
		for _, q := range before.Questions {
			if !slices.Contains(e.Verdict.Decided, q.ID) {
				doc.Questions = append(doc.Questions, q)
			}
		}
		doc.History = append(doc.History, before.History...)
	}
	doc.Questions = append(doc.Questions, e.Verdict.Questions...)
	changes := e.Verdict.Changes
	if changes == nil {
		changes = []string{}
	}
	doc.History = append(doc.History, Revision{Rev: doc.Rev, Seq: e.Seq, At: e.At, Made: e.Edit.Made, By: e.Edit.Author,
		Device: e.Edit.Device, Edit: e.Edit.ID, Reason: e.Edit.Reason, Outcome: e.Verdict.Outcome, Changes: changes, Checked: e.checked()})
	return doc
}

// Encode writes a value the one way that is stored and hashed: struct order,
// no spaces, no escapes for HTML.
func Encode(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, fmt.Errorf("encode: %w", err)
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// Info says where the log stands.
type Info struct {
	Epoch string `json:"epoch"` // new whenever a unit's data are made or restored
	Seq   Seq    `json:"seq"`
	Head  string `json:"head"` // hash of the newest record
}
