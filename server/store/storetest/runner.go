// Package storetest tells stories of people, devices and edits, and checks
// that any log (the memory of package edits, the database of package store)
// makes the same of them.
//
// A story reads like what happened:
//
//	r.As("anna").On("phone").Sync().Change(sculptVacuum("70"))
//	r.As("ben").On("tablet").Sync().Change(title("Chop")).Push().Want(edits.Applied)
//	r.As("anna").On("phone").Push().Want(edits.Merged)
//
// The first thing that goes wrong stops the story; Done reports it and then
// lets the log check itself, whatever the story was about.
package storetest

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/edits"
)

// Unit is what a story runs against.
type Unit interface {
	Accept(now time.Time, e edits.Edit) (edits.Receipt, error)
	Document(kind edits.Kind, id string) (edits.Document, bool, error)
	Entry(id edits.EditID) (edits.Entry, bool, error)
	// SelfCheck says everything that does not agree inside.
	SelfCheck() ([]string, error)
}

// Start is when every story begins; each edit is a minute later.
var Start = time.Date(2027, time.March, 31, 7, 42, 0, 0, time.UTC)

// Runner tells a story. Its methods return it, so that one line is one event.
type Runner struct {
	t       *testing.T
	unit    Unit
	err     error
	person  cards.PersonID
	device  string
	devices map[string]*device
	about   edits.DocKey
	edits   int
	last    []edits.Receipt
}

// device is what one device has seen and not sent.
type device struct {
	seen    map[edits.DocKey]edits.Document
	waiting []edits.Edit
}

// NewRunner begins a story about the card of the fixtures.
func NewRunner(t *testing.T, unit Unit) *Runner {
	return &Runner{t: t, unit: unit, devices: map[string]*device{}, about: edits.DocKey{Kind: edits.Card, ID: "anna-chop"}}
}

// As says who acts from here on.
func (r *Runner) As(person cards.PersonID) *Runner { r.person = person; return r }

// On says which device is used from here on.
func (r *Runner) On(name string) *Runner { r.device = name; return r }

// About says which document the story is about from here on.
func (r *Runner) About(kind edits.Kind, id string) *Runner {
	r.about = edits.DocKey{Kind: kind, ID: id}
	return r
}

func (r *Runner) here() *device {
	d, ok := r.devices[r.device]
	if !ok {
		d = &device{seen: map[edits.DocKey]edits.Document{}}
		r.devices[r.device] = d
	}
	return d
}

func (r *Runner) failf(format string, args ...any) *Runner {
	if r.err == nil {
		r.err = fmt.Errorf(format, args...)
	}
	return r
}

// Sync lets the device see the document as it is.
func (r *Runner) Sync() *Runner {
	if r.err != nil {
		return r
	}
	doc, ok, err := r.unit.Document(r.about.Kind, r.about.ID)
	if err != nil {
		return r.failf("read %v: %w", r.about, err)
	}
	if ok {
		r.here().seen[r.about] = doc
	}
	return r
}

// Write makes an edit with this body on the device, from what the device shows.
func (r *Runner) Write(body any, decides ...edits.QuestionID) *Runner {
	if r.err != nil {
		return r
	}
	raw, isRaw := body.(json.RawMessage)
	if !isRaw {
		var err error
		if raw, err = edits.Encode(body); err != nil {
			return r.failf("write a body: %w", err)
		}
	}
	r.edits++
	e := edits.Edit{ID: ID(r.edits), Kind: r.about.Kind, Doc: r.about.ID, Author: r.person, Device: DeviceID(r.device),
		Made: Start.Add(time.Duration(r.edits) * time.Minute).Format(time.RFC3339), Reason: "", Body: raw, Decides: decides}
	d := r.here()
	e.Parent = d.seen[r.about].Rev
	for _, w := range d.waiting {
		if w.Kind == e.Kind && w.Doc == e.Doc {
			e.After = w.ID
		}
	}
	d.waiting = append(d.waiting, e)
	return r
}

// Change edits the card as the device shows it, its waiting edits included.
func (r *Runner) Change(change func(*cards.Card), decides ...edits.QuestionID) *Runner {
	return change1(r, change, decides)
}

// ChangeCase edits the case as the device shows it.
func (r *Runner) ChangeCase(change func(*checklist.Case), decides ...edits.QuestionID) *Runner {
	return change1(r, change, decides)
}

// ChangeRules edits the rule book as the device shows it.
func (r *Runner) ChangeRules(change func(*checklist.RuleBook), decides ...edits.QuestionID) *Runner {
	return change1(r, change, decides)
}

func change1[T any](r *Runner, change func(*T), decides []edits.QuestionID) *Runner {
	if r.err != nil {
		return r
	}
	raw := r.here().seen[r.about].Body
	for _, w := range r.here().waiting {
		if w.Kind == r.about.Kind && w.Doc == r.about.ID {
			raw = w.Body
		}
	}
	var v T
	if err := json.Unmarshal(raw, &v); err != nil {
		return r.failf("%s has no %v to change: %w", r.device, r.about, err)
	}
	change(&v)
	return r.Write(v, decides...)
}

// Alter changes the newest waiting edit itself, to tell of devices that misbehave.
func (r *Runner) Alter(change func(*edits.Edit)) *Runner {
	if w := r.here().waiting; r.err == nil && len(w) > 0 {
		change(&w[len(w)-1])
	}
	return r
}

// Push sends what waits, in order, and keeps the receipts for Want.
func (r *Runner) Push() *Runner {
	if r.err != nil {
		return r
	}
	d := r.here()
	sent := d.waiting
	d.waiting = nil
	return r.send(sent)
}

// PushKeeping sends what waits and loses the answer: everything waits on.
func (r *Runner) PushKeeping() *Runner {
	if r.err != nil {
		return r
	}
	return r.send(slices.Clone(r.here().waiting))
}

func (r *Runner) send(waiting []edits.Edit) *Runner {
	r.last = nil
	for i, e := range waiting {
		receipt, err := r.unit.Accept(Start.Add(time.Duration(r.edits*100+i)*time.Second), e)
		if err != nil {
			return r.failf("push %s from %s: %w", e.ID, r.device, err)
		}
		r.last = append(r.last, receipt)
	}
	return r
}

// Want says what the last push must have been answered.
func (r *Runner) Want(outcomes ...edits.Outcome) *Runner {
	if r.err != nil {
		return r
	}
	var got []edits.Outcome
	for _, receipt := range r.last {
		got = append(got, receipt.Outcome)
	}
	if !slices.Equal(got, outcomes) {
		return r.failf("outcomes: got %q, want %q; receipts: %+v", got, outcomes, r.last)
	}
	return r
}

// WantReason says what the newest receipt must explain.
func (r *Runner) WantReason(part string) *Runner {
	if r.err == nil && (len(r.last) == 0 || !strings.Contains(r.last[len(r.last)-1].Reason, part)) {
		return r.failf("reason: want %q in %+v", part, r.last)
	}
	return r
}

// WantRev says which revision the document must be at.
func (r *Runner) WantRev(rev int) *Runner {
	doc := r.Now()
	if r.err == nil && doc.Rev != rev {
		return r.failf("revision: got %d, want %d", doc.Rev, rev)
	}
	return r
}

// WantQuestions says about which units questions must be open.
func (r *Runner) WantQuestions(units ...string) *Runner {
	var got []string
	for _, q := range r.Now().Questions {
		got = append(got, q.Unit)
	}
	if r.err == nil && !slices.Equal(got, units) {
		return r.failf("open questions: got %q, want %q", got, units)
	}
	return r
}

// WantCard checks the card as it is.
func (r *Runner) WantCard(what string, ok func(cards.Card) bool) *Runner {
	return want1(r, what, ok)
}

// WantCase checks the case as it is.
func (r *Runner) WantCase(what string, ok func(checklist.Case) bool) *Runner {
	return want1(r, what, ok)
}

func want1[T any](r *Runner, what string, ok func(T) bool) *Runner {
	doc := r.Now()
	var v T
	if r.err != nil {
		return r
	}
	if err := json.Unmarshal(doc.Body, &v); err != nil {
		return r.failf("read the body: %w", err)
	}
	if !ok(v) {
		return r.failf("want %s; the body is %s", what, doc.Body)
	}
	return r
}

// Now is the document as it is.
func (r *Runner) Now() edits.Document {
	if r.err != nil {
		return edits.Document{}
	}
	doc, ok, err := r.unit.Document(r.about.Kind, r.about.ID)
	if err != nil || !ok {
		r.failf("read %v: there: %v, error: %v", r.about, ok, err)
	}
	return doc
}

// Question is an open question of the document, by its unit.
func (r *Runner) Question(unit string) edits.Question {
	for _, q := range r.Now().Questions {
		if q.Unit == unit {
			return q
		}
	}
	r.failf("there is no open question about %q", unit)
	return edits.Question{}
}

// Receipt is the newest receipt of the last push.
func (r *Runner) Receipt() edits.Receipt {
	if len(r.last) == 0 {
		return edits.Receipt{}
	}
	return r.last[len(r.last)-1]
}

// Done ends the story: it reports what went wrong and lets the log check itself.
func (r *Runner) Done() {
	r.t.Helper()
	if r.err != nil {
		r.t.Error(r.err)
	}
	SelfCheck(r.t, r.unit)
}

// SelfCheck fails the test when the log does not agree with itself. Every test of a store ends with it.
func SelfCheck(t *testing.T, unit Unit) {
	t.Helper()
	findings, err := unit.SelfCheck()
	if err != nil {
		t.Errorf("self-check: %v", err)
	}
	for _, f := range findings {
		t.Errorf("self-check: %s", f)
	}
}

// ID is the n-th edit id of a story.
func ID(n int) edits.EditID { return edits.EditID(fmt.Sprintf("%032x", n)) }

// DeviceID is the id of a device with a name.
func DeviceID(name string) edits.DeviceID {
	digits := fmt.Sprintf("%x", name) + strings.Repeat("0", 32)
	return edits.DeviceID(digits[:32])
}
