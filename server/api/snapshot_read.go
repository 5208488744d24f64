package api

import (
	"encoding/json"
	"fmt"
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
}

// snapshotRead answers with everything a device mirrors.
func (a *API) snapshotRead(c *fiber.Ctx) error {
	info, docs, err := a.Store.Snapshot()
	if err != nil {
		return err
	}
	return a.sendMirror(c, info, docs)
}

// changesRead answers with the documents that changed after a place in the log.
func (a *API) changesRead(c *fiber.Ctx) error {
	after, err := seqParam(c)
	if err != nil {
		return err
	}
	info, docs, err := a.Store.Changes(after)
	if err != nil {
		return err
	}
	if after > info.Seq {
		return badRequest(fmt.Sprintf("after is %d and the log ends at %d. Read the snapshot again.", after, info.Seq))
	}
	return a.sendMirror(c, info, docs)
}

func (a *API) sendMirror(c *fiber.Ctx, info edits.Info, docs []edits.Document) error {
	m := mirror{Protocol: protocol, Epoch: info.Epoch, Seq: info.Seq, Head: info.Head, Core: a.Assets.Build, Now: a.Now(), Docs: make([]document, len(docs))}
	for i, d := range docs {
		view, err := a.views.of(d)
		if err != nil {
			return fmt.Errorf("show %s %s: %w", d.Kind, d.ID, err)
		}
		m.Docs[i] = document{Document: d, View: view}
	}
	b, err := edits.Encode(m)
	if err != nil {
		return err
	}
	return sendPacked(c, b)
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
