package api

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"sideport/server/edits"
)

// taken is one edit as it came, with what became of it.
type taken struct {
	At        time.Time        `json:"at"`
	Edit      edits.Edit       `json:"edit"`
	Receipt   edits.Receipt    `json:"receipt"`
	Questions []edits.Question `json:"questions,omitempty"`
}

func takenOf(e edits.Entry) taken {
	return taken{At: e.At, Edit: e.Edit, Receipt: e.Receipt(), Questions: e.Verdict.Questions}
}

// editRead answers with an edit whatever became of it, and with both sides of the questions it opened.
func (a *API) editRead(c *fiber.Ctx) error {
	id := edits.EditID(strings.Clone(c.Params("id")))
	entry, ok, err := a.Store.Entry(id)
	if err != nil {
		return err
	}
	if !ok {
		return notFound("There is no edit with this id.")
	}
	return send(c, takenOf(entry))
}

// maxAside is how many edits one answer lists; the next call goes on after the last.
const maxAside = 100

// setAsideRead lists the edits that could not be applied, oldest first.
func (a *API) setAsideRead(c *fiber.Ctx) error {
	after, err := seqParam(c)
	if err != nil {
		return err
	}
	info, entries, err := a.Store.SetAside(after, maxAside)
	if err != nil {
		return err
	}
	answer := struct {
		Protocol int     `json:"protocol"`
		Epoch    string  `json:"epoch"`
		Edits    []taken `json:"edits"`
		More     bool    `json:"more"` // there are others after these
	}{Protocol: protocol, Epoch: info.Epoch, Edits: make([]taken, 0, len(entries))}
	for _, e := range entries {
		answer.Edits = append(answer.Edits, takenOf(e))
	}
	if n := len(entries); n > 0 {
		_, others, err := a.Store.SetAside(entries[n-1].Seq, 1)
		if err != nil {
			return err
		}
		answer.More = len(others) > 0
	}
	return send(c, answer)
}

// seqParam reads ?after=N; nothing is 0.
func seqParam(c *fiber.Ctx) (edits.Seq, error) {
	text := c.Query("after", "0")
	n, err := strconv.ParseUint(text, 10, 53)
	if err != nil {
		return 0, badRequest(fmt.Sprintf("after is %q and should be a whole number.", text))
	}
	return edits.Seq(n), nil
}
