package api

import (
	"encoding/json"
	"fmt"

	"github.com/gofiber/fiber/v2"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/edits"
)

// wanted is a question for a sheet.
type wanted struct {
	Case  json.RawMessage  `json:"case"`
	Card  *json.RawMessage `json:"card"`
	Rules *json.RawMessage `json:"rules"`
}

func decodeWanted(b []byte) (wanted, checklist.Case, error) {
	var w wanted
	if err := decodeBody(b, &w); err != nil {
		return w, checklist.Case{}, err
	}
	if len(w.Case) == 0 {
		return w, checklist.Case{}, badRequest("The request holds no case.")
	}
	parsed, problems := checklist.ParseCase(w.Case)
	return w, parsed, refused("case", problems)
}

// sheetGenerate makes a sheet from the newest card and rules, or from those in the request.
func (a *API) sheetGenerate(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	var in checklist.Input
	var request wanted
	if request, in.Case, err = decodeWanted(b); err != nil {
		return err
	}
	if in.CardRevision, err = a.given(edits.Card, string(in.Case.Card), request.Card, &in.Card); err != nil {
		return err
	}
	if in.RulesRevision, err = a.given(edits.Rules, edits.HouseRules, request.Rules, &in.Rules); err != nil {
		return err
	}
	sheet, problems := checklist.Generate(in)
	if err := refused("sheet", problems); err != nil {
		return err
	}
	b, err = cards.Canonical(sheet)
	if err != nil {
		return err
	}
	return sendJSON(c, b)
}

// given reads a document from the request, or the newest one with its revision.
func (a *API) given(kind edits.Kind, id string, sent *json.RawMessage, into any) (int, error) {
	if sent != nil {
		b, problems := edits.Check(kind, *sent)
		if err := refused(string(kind), problems); err != nil {
			return 0, err
		}
		return 0, cards.Decode(b, into)
	}
	doc, ok, err := a.Store.Document(kind, id)
	if err != nil {
		return 0, err
	}
	if !ok {
		return 0, notFound(fmt.Sprintf("There is no %s called %q.", kind, id))
	}
	if err := cards.Decode(doc.Body, into); err != nil {
		return 0, fmt.Errorf("%w: %s %s: %v", edits.ErrDamaged, kind, id, err)
	}
	return doc.Rev, nil
}

func refused(what string, problems cards.Problems) error {
	if errs := problems.Errors(); len(errs) > 0 {
		return &Error{Code: BadRequest, Text: "The " + what + " does not pass its checks.", Problems: errs}
	}
	return nil
}
