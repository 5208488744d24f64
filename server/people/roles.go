package people

import (
	"encoding/json"
	"maps"
	"slices"

	"sideport/cards"
	"sideport/server/edits"
)

// Action is something a person may or may not do.
type Action string

const (
	OwnCard  Action = "own card" // begin and change a card of one's own, answer proposals for it
	Propose  Action = "propose"  // a change of somebody else's card
	EditCase Action = "case"
	EditBook Action = "rules"
	EditUnit Action = "unit"
	EditWho  Action = "person"
	Keep     Action = "record" // of a pause
	Office   Action = "office" // devices, accounts, what happened at the doors, backups
)

// Actions lists them in the order people meet them.
var Actions = []Action{OwnCard, Propose, EditCase, EditBook, EditUnit, EditWho, Keep, Office}

// may is the table of who may do what. The screens are given the same table.
// Reading needs an enrolled device and no role.
var may = map[cards.PersonRole][]Action{
	cards.PersonSurgeon:  {OwnCard, Propose, EditCase, Keep},
	cards.PersonScrub:    {Propose, EditCase, Keep},
	cards.PersonReader:   {Keep},
	cards.PersonUnitLead: {Propose, EditCase, EditBook, EditUnit, EditWho, Keep, Office},
}

// May is a copy of the table.
func May() map[cards.PersonRole][]Action { return maps.Clone(may) }

// Allowed reports whether any of the roles may do it.
func Allowed(roles []cards.PersonRole, a Action) bool {
	return slices.ContainsFunc(roles, func(r cards.PersonRole) bool { return slices.Contains(may[r], a) })
}

// actionOf says what an edit does. "": a kind that no role is asked about, because judging sets it aside.
func actionOf(tx interface {
	Document(edits.Kind, string) (edits.Document, bool, error)
}, e edits.Edit) (Action, error) {
	switch e.Kind {
	case edits.Case:
		return EditCase, nil
	case edits.Rules:
		return EditBook, nil
	case edits.Unit:
		return EditUnit, nil
	case edits.Person:
		return EditWho, nil
	case edits.Record:
		return Keep, nil
	case edits.Card:
	default:
		return "", nil
	}
	doc, ok, err := tx.Document(e.Kind, e.Doc)
	if err != nil {
		return "", err
	}
	body := e.Body
	if ok {
		body = doc.Body
	}
	if ownerOf(body) == e.Author {
		return OwnCard, nil
	}
	return Propose, nil
}

// ownerOf is whose card a body is. Of a body that cannot be read it is nobody's; judging sets it aside.
func ownerOf(body []byte) cards.PersonID {
	var card struct {
		Owner cards.PersonID `json:"owner"`
	}
	if json.Unmarshal(body, &card) != nil {
		return ""
	}
	return card.Owner
}

// roleWords says why an action is refused and who may do it.
var roleWords = map[Action]string{
	OwnCard:  "Only a surgeon has cards of their own. %s is not a surgeon of this unit.",
	Propose:  "Surgeons, scrub staff and unit leads propose changes of a card. %s has none of these roles.",
	EditCase: "Surgeons, scrub staff and unit leads change the list of cases. %s has none of these roles.",
	EditBook: "Only a unit lead changes the rule book. %s is not one.",
	EditUnit: "Only a unit lead changes what is said about the unit. %s is not one.",
	EditWho:  "Only a unit lead changes who is in the unit and who does what. %s is not one.",
	Keep:     "People with a role in the unit keep records of a pause. %s has none.",
}
