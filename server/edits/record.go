package edits

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"sideport/cards"
	"sideport/checklist"
)

// RecordBody is what was read aloud, or noted for the debrief, for one case:
// kept as it was said and never changed. It says nothing of who the patient is.
type RecordBody struct {
	ID       string           `json:"id"`
	What     RecordWhat       `json:"what"`
	Case     checklist.CaseID `json:"case"`
	List     cards.Date       `json:"list"`
	Position int              `json:"position"`
	Card     cards.CardID     `json:"card"`
	// The revisions that the sheet in use was made from.
	CardRevision  int    `json:"card_revision"`
	RulesRevision int    `json:"rules_revision"`
	Begun         string `json:"begun"` // the device's clock, like Made of an edit
	Ended         string `json:"ended"`

	Pause   checklist.PauseID `json:"pause,omitempty"`
	Outcome RecordOutcome     `json:"outcome,omitempty"`
	Reason  string            `json:"reason,omitempty"` // why it was put aside
	Lines   []RecordLine      `json:"lines,omitempty"`

	Drill cards.Key `json:"drill,omitempty"` // that a note is about
	Title string    `json:"title,omitempty"` // of the drill, as it read
	Text  string    `json:"text,omitempty"`  // the note
}

// RecordLine is one line as it was read, and what was answered.
type RecordLine struct {
	ID     string       `json:"id"`
	Text   string       `json:"text"`
	Ask    string       `json:"ask"`
	By     string       `json:"by"`               // the role that answers
	Stored string       `json:"stored,omitempty"` // what was shown after the answer
	Answer RecordAnswer `json:"answer,omitempty"`
	Note   string       `json:"note,omitempty"`
	At     string       `json:"at,omitempty"`
}

// Closed choices of a record. Persisted: append only, never rename.
type (
	RecordWhat    string
	RecordOutcome string
	RecordAnswer  string
)

const (
	RecordPause RecordWhat = "pause"
	RecordNote  RecordWhat = "note"

	RecordDone     RecordOutcome = "done"
	RecordPutAside RecordOutcome = "put aside"

	AnswerGiven         RecordAnswer = "answered"
	AnswerSame          RecordAnswer = "same"
	AnswerDifferent     RecordAnswer = "different"
	AnswerNotSure       RecordAnswer = "not sure"
	AnswerNotApplicable RecordAnswer = "not applicable"
	AnswerNotDone       RecordAnswer = "not done"
)

// Theatre is the author of a record that nobody in particular kept: reading aloud asks nobody to say who holds the tablet.
const Theatre cards.PersonID = "theatre"

// Bounds of a record. A line of the rule book is far shorter; nothing that was really read is refused.
const (
	maxRecordLines = 100
	maxRecordText  = 2000 // bytes
	maxRecordWord  = 200
	maxRecordWhole = 64 << 10 // bytes of all texts together
)

// CheckRecord finds everything wrong with a record.
func CheckRecord(r RecordBody) cards.Problems {
	k := &recordChecker{}
	k.key("id", r.ID)
	k.key("case", string(r.Case))
	k.key("card", string(r.Card))
	if !r.List.Valid() || r.List == "" {
		k.wrong("list", "is not a day such as 2027-03-31.")
	}
	for _, n := range []struct {
		path  string
		value int
	}{{"position", r.Position}, {"card_revision", r.CardRevision}, {"rules_revision", r.RulesRevision}} {
		if n.value < 0 {
			k.wrong(n.path, "is below 0.")
		}
	}
	k.time("begun", r.Begun)
	k.time("ended", r.Ended)
	switch r.What {
	case RecordPause:
		k.pause(r)
	case RecordNote:
		k.note(r)
	default:
		k.wrong("what", "is neither pause nor note.")
	}
	return k.found
}

type recordChecker struct{ found cards.Problems }

func (k *recordChecker) wrong(path, text string) {
	k.found = append(k.found, cards.Problem{Level: cards.LevelError, Code: "record", Path: path, Text: "“" + path + "” of the record " + text})
}

func (k *recordChecker) key(path, value string) {
	if !cards.ValidKey(value) {
		k.wrong(path, "is not made of a to z, 0 to 9 and single hyphens.")
	}
}

func (k *recordChecker) time(path, value string) {
	if _, err := time.Parse(time.RFC3339, value); err != nil || len(value) > maxMade {
		k.wrong(path, "is not a time such as 2027-03-31T07:42:00Z.")
	}
}

// text holds that there is a text, and that it is no longer than it may be.
func (k *recordChecker) text(path, value string, limit int) {
	switch {
	case strings.TrimSpace(value) == "":
		k.wrong(path, "is missing.")
	default:
		k.optional(path, value, limit)
	}
}

func (k *recordChecker) optional(path, value string, limit int) {
	if len(value) > limit {
		k.wrong(path, fmt.Sprintf("is longer than %d bytes.", limit))
	}
	if !utf8.ValidString(value) {
		k.wrong(path, "is not UTF-8.")
	}
}

// unused holds that nothing of the other sort of record stands in this one.
func (k *recordChecker) unused(path string, used bool) {
	if used {
		k.wrong(path, "does not belong into this sort of record.")
	}
}

func (k *recordChecker) pause(r RecordBody) {
	k.unused("drill", r.Drill != "")
	k.unused("title", r.Title != "")
	k.unused("text", r.Text != "")
	if !slices.Contains(checklist.PauseIDs, r.Pause) {
		k.wrong("pause", "is not the name of a pause.")
	}
	switch r.Outcome {
	case RecordDone:
		k.unused("reason", r.Reason != "")
	case RecordPutAside:
		k.text("reason", r.Reason, maxRecordText)
	default:
		k.wrong("outcome", "is neither done nor put aside.")
	}
	if len(r.Lines) == 0 || len(r.Lines) > maxRecordLines {
		k.wrong("lines", fmt.Sprintf("are %d; a pause has 1 to %d.", len(r.Lines), maxRecordLines))
		return
	}
	whole := 0 // every tablet holds it for thirty days
	for _, l := range r.Lines {
		whole += len(l.ID) + len(l.Text) + len(l.Ask) + len(l.By) + len(l.Stored) + len(l.Note)
	}
	if whole > maxRecordWhole {
		k.wrong("lines", fmt.Sprintf("are longer than %d bytes together.", maxRecordWhole))
		return
	}
	for n, l := range r.Lines {
		k.line(fmt.Sprintf("lines/%d", n+1), l, r.Outcome == RecordDone)
	}
}

// line checks one line. In a pause that is done every line is settled.
func (k *recordChecker) line(path string, l RecordLine, done bool) {
	k.text(path+"/id", l.ID, maxRecordWord)
	k.text(path+"/text", l.Text, maxRecordText)
	k.text(path+"/ask", l.Ask, maxRecordWord)
	k.text(path+"/by", l.By, maxRecordWord)
	k.optional(path+"/stored", l.Stored, maxRecordText)
	k.optional(path+"/note", l.Note, maxRecordText)
	switch l.Answer {
	case "":
		k.unused(path+"/at", l.At != "")
		k.unused(path+"/note", l.Note != "")
	case AnswerGiven, AnswerSame, AnswerDifferent, AnswerNotSure, AnswerNotApplicable, AnswerNotDone:
		k.time(path+"/at", l.At)
	default:
		k.wrong(path+"/answer", "is not one that a line can have.")
	}
	if done && !l.settled() {
		k.wrong(path+"/answer", "is not settled, and the pause says that it is done.")
	}
}

// settled reports whether a line needs nothing more: a stored value was
// compared, and what differed or was not done has its reason.
func (l RecordLine) settled() bool {
	switch l.Answer {
	case AnswerGiven:
		return l.Stored == ""
	case AnswerSame, AnswerNotApplicable:
		return true
	case AnswerDifferent, AnswerNotDone:
		return strings.TrimSpace(l.Note) != ""
	}
	return false
}

func (k *recordChecker) note(r RecordBody) {
	k.unused("pause", r.Pause != "")
	k.unused("outcome", r.Outcome != "")
	k.unused("reason", r.Reason != "")
	k.unused("lines", len(r.Lines) > 0)
	k.key("drill", string(r.Drill))
	k.text("title", r.Title, maxRecordText)
	k.text("text", r.Text, maxRecordText)
}
