package edits

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"sideport/cards"
)

// Identifiers that would be easy to swap have a type each.
type (
	// EditID names one edit for ever: 32 hex digits, 16 random bytes made by the device.
	EditID string
	// DeviceID names a device: 32 hex digits.
	DeviceID string
	// QuestionID names an open question: 32 hex digits.
	QuestionID string
	// Seq is a place in the log, from 1. The log is the only order there is.
	Seq uint64
	// Kind is the kind of a document.
	Kind string
	// Outcome is what became of an edit. Persisted: append only, never rename.
	Outcome string
)

// The kinds of documents. Persisted: append only, never rename.
const (
	Card   Kind = "card"
	Case   Kind = "case"
	Rules  Kind = "rules"
	Person Kind = "person"
	Unit   Kind = "unit"
	Record Kind = "record"
)

// Ids of the documents a unit has exactly one of.
const (
	HouseRules = "house"
	TheUnit    = "unit"
)

const (
	Applied        Outcome = "applied"
	AlreadyApplied Outcome = "already applied" // in receipts only, never in the log
	Merged         Outcome = "merged"
	Questioned     Outcome = "question"
	SetAside       Outcome = "set aside"
	Proposed       Outcome = "proposal"
	Answered       Outcome = "answered" // answered proposals and changed nothing
)

// ServerDevice is the device of edits that the program itself makes, for example when a unit is first started.
const ServerDevice DeviceID = "00000000000000000000000000000000"

// Edit is one change by one person on one device, as the device sent it.
type Edit struct {
	ID     EditID         `json:"id"`
	Kind   Kind           `json:"kind"`
	Doc    string         `json:"doc"`
	Parent int            `json:"parent"`          // the revision the author saw; 0 for a new document
	After  EditID         `json:"after,omitempty"` // the author's own earlier edit, when that is what the author saw
	Author cards.PersonID `json:"author"`
	Device DeviceID       `json:"device"`
	Made   string         `json:"made"` // the device's clock: shown, never trusted to decide
	Reason string         `json:"reason"`
	// Body is the whole document as the author wants it, kept exactly as it was sent.
	Body    json.RawMessage `json:"body"`
	Decides []QuestionID    `json:"decides,omitempty"`
	// Takes names proposals that the body answers: as they are, or changed.
	Takes    []EditID  `json:"takes,omitempty"`
	Declines []Decline `json:"declines,omitempty"`

	// What follows says who made it (see package people). Judging does not look at it.

	Chain *Link `json:"chain,omitempty"`
	// Key names the public key that the signature fits.
	Key string `json:"key,omitempty"`
	// Checked is "here" when the device alone had checked the author's PIN.
	Checked string `json:"checked,omitempty"`
	// Was holds what was signed where the edit is offered anew after a restore.
	Was *Was   `json:"was,omitempty"`
	Sig string `json:"sig,omitempty"` // base64url without padding
}

// Link is an edit's place in the chain of all edits of its device.
type Link struct {
	N    int    `json:"n"`    // from 1
	Prev string `json:"prev"` // hash of what was signed before, 64 hex digits; zeros for the first
}

// Was is what an edit said when it was signed. After a restore it is offered
// under another id, from another revision, and names others by the ids they have then.
type Was struct {
	ID       EditID   `json:"id"`
	Parent   int      `json:"parent"`
	After    EditID   `json:"after,omitempty"`
	Takes    []EditID `json:"takes,omitempty"`
	Declines []EditID `json:"declines,omitempty"` // the proposals, in the order of the edit's declines
}

// Decline is an owner's no to a proposal, with the reason its author will read.
type Decline struct {
	Proposal EditID `json:"proposal"`
	Reason   string `json:"reason"`
}

// Receipt is the answer to one edit.
type Receipt struct {
	ID       EditID         `json:"id"`
	Outcome  Outcome        `json:"outcome"`
	First    Outcome        `json:"first,omitempty"` // of the first time, when already applied
	Kind     Kind           `json:"kind"`
	Doc      string         `json:"doc"`
	Rev      int            `json:"rev"` // 0 when the edit made no revision
	Seq      Seq            `json:"seq"`
	Reason   string         `json:"reason,omitempty"`
	Problems cards.Problems `json:"problems,omitempty"`
}

// Limits of the envelope. Bodies are bounded by the request and by the checks of their kind.
const (
	maxName    = 100  // bytes of a kind or a document id
	maxReason  = 2000 // bytes
	maxMade    = 40   // bytes: a time to the nanosecond has 35
	maxDecides = 100
	maxAnswers = 100 // of each kind
	maxSigned  = 100 // bytes of a key's name, of a chain's hash and of the word for checked
	maxSig     = 200 // bytes: a signature has 86
)

// Malformed says why an envelope cannot be given a receipt at all, or nil.
// Only such edits are refused; whatever else is wrong is set aside and kept.
func (e Edit) Malformed() error {
	switch {
	case !IsHex32(string(e.ID)):
		return fmt.Errorf("an edit has the id %q; an id is 32 digits of 0-9 and a-f", clip(string(e.ID)))
	case !IsHex32(string(e.Device)):
		return fmt.Errorf("edit %s has the device %q; a device is 32 digits of 0-9 and a-f", e.ID, clip(string(e.Device)))
	case e.After != "" && !IsHex32(string(e.After)):
		return fmt.Errorf("edit %s comes after %q; an edit's id is 32 digits of 0-9 and a-f", e.ID, clip(string(e.After)))
	case e.Kind == "" || len(e.Kind) > maxName:
		return fmt.Errorf("edit %s has no kind; the kinds are "+KindNames, e.ID)
	case e.Doc == "" || len(e.Doc) > maxName:
		return fmt.Errorf("edit %s names no document; write its id in doc, at most %d bytes", e.ID, maxName)
	case e.Parent < 0:
		return fmt.Errorf("edit %s has the parent %d; revisions count from 1, and 0 is a new document", e.ID, e.Parent)
	case len(e.Body) == 0:
		return fmt.Errorf("edit %s has no body", e.ID)
	case len(e.Decides) > maxDecides:
		return fmt.Errorf("edit %s decides %d questions; at most %d", e.ID, len(e.Decides), maxDecides)
	case len(e.Takes) > maxAnswers, len(e.Declines) > maxAnswers:
		return fmt.Errorf("edit %s answers %d proposals; at most %d of each kind", e.ID, len(e.Takes)+len(e.Declines), maxAnswers)
	}
	return e.signedMalformed()
}

// signedMalformed bounds what is kept beside the document: whether it fits is judged, and kept, by others.
func (e Edit) signedMalformed() error {
	switch {
	case len(e.Key) > maxSigned, len(e.Checked) > maxSigned, len(e.Sig) > maxSig, e.Chain != nil && len(e.Chain.Prev) > maxSigned:
		return fmt.Errorf("edit %s has a key, a signature or a chain that is longer than any", e.ID)
	case e.Was == nil:
		return nil
	case !IsHex32(string(e.Was.ID)), e.Was.After != "" && !IsHex32(string(e.Was.After)):
		return fmt.Errorf("edit %s was %q, after %q; an edit's id is 32 digits of 0-9 and a-f", e.ID, clip(string(e.Was.ID)), clip(string(e.Was.After)))
	case e.Was.Parent < 0, len(e.Was.Takes) > maxAnswers, len(e.Was.Declines) > maxAnswers:
		return fmt.Errorf("edit %s says what it was with a negative revision or more than %d answers", e.ID, maxAnswers)
	}
	return nil
}

// envelope says what is wrong with the parts around the body, or "".
func (e Edit) envelope() string {
	switch {
	case !cards.ValidKey(e.Doc):
		return "The document's id is made of a to z, 0 to 9 and single hyphens."
	case e.Kind == Rules && e.Doc != HouseRules:
		return "The unit has one rule book. Its id is “" + HouseRules + "”."
	case e.Kind == Unit && e.Doc != TheUnit:
		return "There is one unit. Its id is “" + TheUnit + "”."
	case e.Kind == Person && e.Doc == string(Theatre):
		return "“" + e.Doc + "” is in whose name records are kept, and nobody’s id. Choose another."
	case e.Author == Theatre && e.Kind != Record:
		return "Nobody is named: only records are kept in the name of “" + string(Theatre) + "”. Choose a person before editing."
	case !cards.ValidKey(string(e.Author)):
		return "The author is not named. Choose a person before editing."
	case len(e.Reason) > maxReason:
		return fmt.Sprintf("The reason is longer than %d bytes. Shorten it.", maxReason)
	}
	if _, err := time.Parse(time.RFC3339, e.Made); err != nil || len(e.Made) > maxMade {
		return "The time the edit was made is not a time such as 2027-03-31T07:42:00Z."
	}
	if wrong := e.namesWrong(); wrong != "" {
		return wrong
	}
	return e.answersWrong()
}

// namesWrong says which question or proposal is not named by an id, or "".
// Documents keep these names, so nothing of any length gets in.
func (e Edit) namesWrong() string {
	const digits = "An id is 32 digits of 0-9 and a-f."
	for _, id := range e.Decides {
		if !IsHex32(string(id)) {
			return "It settles the question “" + clip(string(id)) + "”. " + digits
		}
	}
	proposals := slices.Clone(e.Takes)
	for _, d := range e.Declines {
		proposals = append(proposals, d.Proposal)
	}
	for _, id := range proposals {
		if !IsHex32(string(id)) {
			return "It answers the proposal “" + clip(string(id)) + "”. " + digits
		}
	}
	return ""
}

// answersWrong says what is wrong with the answers to proposals, or "".
func (e Edit) answersWrong() string {
	for _, d := range e.Declines {
		switch {
		case strings.TrimSpace(d.Reason) == "":
			return "A proposal is declined with a reason. Write one."
		case len(d.Reason) > maxReason:
			return fmt.Sprintf("The reason for declining is longer than %d bytes. Shorten it.", maxReason)
		case slices.Contains(e.Takes, d.Proposal):
			return "One proposal is taken and declined at once. Answer it in one way."
		}
	}
	return ""
}

// answers reports whether the edit answers any proposal.
func (e Edit) answers() bool { return len(e.Takes)+len(e.Declines) > 0 }

// IsHex32 reports whether s is 32 lower-case hex digits.
func IsHex32(s string) bool {
	if len(s) != 32 {
		return false
	}
	for i := 0; i < len(s); i++ {
		if c := s[i]; (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}

// clip keeps a foreign text short enough for one line.
func clip(s string) string {
	if len(s) > 40 {
		return strings.ToValidUTF8(s[:40], "") + "…"
	}
	return s
}
