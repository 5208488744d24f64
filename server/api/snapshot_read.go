package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"sideport/server/edits"
)

// mirror is what a device keeps: everything, or what changed.
type mirror struct {
	Protocol int        `json:"protocol"`
	Epoch    string     `json:"epoch"`
	Seq      edits.Seq  `json:"seq"`
	Head     string     `json:"head"`
	Core     string     `json:"core"`
	Now      time.Time  `json:"now"`
	Docs     []document `json:"docs"`
	Damaged  []damaged  `json:"damaged,omitempty"`
	// HeadDiffers: the record that the device read last has another hash here. Somebody has changed the log.
	HeadDiffers bool `json:"head_differs,omitempty"`
}

// damaged names a document that cannot be shown. Nothing of its record is sent.
type damaged struct {
	Kind edits.Kind `json:"kind"`
	ID   string     `json:"id"`
	Text string     `json:"text"` // for people
}

func damagedOf(key edits.DocKey) damaged {
	d := damaged{Kind: key.Kind, ID: key.ID}
	switch key.Kind {
	case "":
		d.Text = "A record on the server is damaged so far that even its name cannot be read."
	case edits.Rules, edits.Unit:
		d.Text = "The " + nounOf(key.Kind) + " cannot be shown: the record on the server is damaged."
	default:
		d.Text = "The " + nounOf(key.Kind) + " “" + key.ID + "” cannot be shown: its record on the server is damaged."
	}
	return d
}

func nounOf(kind edits.Kind) string {
	switch kind {
	case edits.Rules:
		return "rule book"
	case edits.Unit:
		return "name of the unit"
	}
	return string(kind)
}

// snapshotRead answers with everything a device mirrors.
func (a *API) snapshotRead(c *fiber.Ctx) error {
	info, docs, err := a.Store.Snapshot()
	damaged, err := setApart(err)
	if err != nil {
		return err
	}
	return a.sendMirror(c, info, docs, damaged, false)
}

// setApart takes the names of damaged documents out of an error that came with all the others.
func setApart(err error) ([]damaged, error) {
	var some interface{ Damaged() []edits.DocKey }
	if !errors.As(err, &some) {
		return nil, err
	}
	var out []damaged
	for _, key := range some.Damaged() {
		out = append(out, damagedOf(key))
	}
	return out, nil
}

// changesRead answers with the documents that changed after a place in the log.
func (a *API) changesRead(c *fiber.Ctx) error {
	after, err := seqParam(c)
	if err != nil {
		return err
	}
	differs, err := a.headDiffers(c, after)
	if err != nil {
		return err
	}
	info, docs, err := a.Store.Changes(after)
	damaged, err := setApart(err)
	if err != nil {
		return err
	}
	if after > info.Seq {
		return badRequest(fmt.Sprintf("after is %d and the log ends at %d. Read the snapshot again.", after, info.Seq))
	}
	return a.sendMirror(c, info, docs, damaged, differs)
}

// headDiffers compares what the device remembers of the log with the log: a
// chain alone does not show that its end was cut off and grown anew.
func (a *API) headDiffers(c *fiber.Ctx, after edits.Seq) (bool, error) {
	head := strings.Clone(c.Query("head"))
	if head == "" || after == 0 {
		return false, nil
	}
	if len(head) != 64 || strings.Trim(head, "0123456789abcdef") != "" {
		return false, badRequest("head is not 64 hex digits.")
	}
	known := callerOf(c)
	return a.Doors.HeadDiffers(*known.device, known.who, after, head)
}

func (a *API) sendMirror(c *fiber.Ctx, info edits.Info, docs []edits.Document, damaged []damaged, differs bool) error {
	m := mirror{Protocol: protocol, Epoch: info.Epoch, Seq: info.Seq, Head: info.Head, Core: a.Assets.Build, Now: a.Now(), Docs: make([]document, 0, len(docs)), Damaged: damaged, HeadDiffers: differs}
	for _, d := range docs {
		if recordTooOld(d, m.Now) {
			continue
		}
		view, err := a.views.of(d)
		if errors.Is(err, edits.ErrDamaged) {
			continue
		} else if err != nil {
			return fmt.Errorf("show %s %s: %w", d.Kind, d.ID, err)
		}
		m.Docs = append(m.Docs, document{Document: d, View: view})
	}
	for _, id := range a.views.damagedCards() {
		if d := damagedOf(edits.DocKey{Kind: edits.Card, ID: id}); !slices.Contains(m.Damaged, d) {
			m.Damaged = append(m.Damaged, d)
		}
	}
	b, err := edits.Encode(m)
	if err != nil {
		return err
	}
	return sendPacked(c, b)
}

// recordDays is how long devices mirror a record: they show the days just past, and must not fill up with all that was ever read aloud.
const recordDays = 30

func recordTooOld(d edits.Document, now time.Time) bool {
	return d.Kind == edits.Record && len(d.History) > 0 && now.Sub(d.History[0].At) > recordDays*24*time.Hour
}

// revisionRead answers with one old revision.
func (a *API) revisionRead(c *fiber.Ctx) error {
	kind, id := edits.Kind(strings.Clone(c.Params("kind"))), strings.Clone(c.Params("id"))
	rev, err := c.ParamsInt("rev")
	if err != nil || rev < 1 {
		return badRequest("A revision is a whole number from 1.")
	}
	entry, ok, err := a.Store.RevisionEntry(kind, id, rev)
	if err != nil {
		return err
	}
	if !ok {
		return notFound(fmt.Sprintf("There is no revision %d of a %s called %q.", rev, kind, id))
	}
	view, err := viewOf(kind, entry.Result())
	if err != nil {
		return err
	}
	return send(c, struct {
		Kind edits.Kind      `json:"kind"`
		ID   string          `json:"id"`
		Rev  int             `json:"rev"`
		Seq  edits.Seq       `json:"seq"`
		Body json.RawMessage `json:"body"`
		View json.RawMessage `json:"view,omitempty"`
	}{kind, id, rev, entry.Seq, entry.Result(), view})
}
