package checklist

import (
	"encoding/json"
	"fmt"

	"sideport/cards"
)

// CaseID names one case of one list. It is random and says nothing about the patient.
type CaseID string

// Case is one eye on one list: its place, the surgeon, the card and the
// facts. It never holds a patient's identity; the wristband and the consent
// form are read, not the tablet.
type Case struct {
	ID       CaseID                   `json:"id"`
	List     cards.Date               `json:"list"`     // the day of the list
	Position int                      `json:"position"` // place on the list, from 1
	Surgeon  cards.PersonID           `json:"surgeon"`
	Card     cards.CardID             `json:"card"`
	Facts    map[cards.FactorID]Value `json:"facts,omitempty"`
	Note     string                   `json:"note,omitempty"` // never identity
	// Removed marks a case taken off the list; it stays readable.
	Removed bool `json:"removed,omitempty"`
}

// Value is the answer to one factor: one word, one number, or the members of
// a set. JSON writes a single answer as a string and a set as an array.
// Numbers are decimal strings. See cards.NotKnown and cards.None.
type Value []string

// MarshalJSON writes one answer as a string, several as an array. Like every
// canonical form it escapes nothing for HTML.
func (v Value) MarshalJSON() ([]byte, error) {
	if len(v) == 1 {
		return cards.Canonical(v[0])
	}
	return cards.Canonical(append([]string{}, v...))
}

// UnmarshalJSON reads a string or an array of strings.
func (v *Value) UnmarshalJSON(b []byte) error {
	var one string
	if err := json.Unmarshal(b, &one); err == nil {
		*v = Value{one}
		return nil
	}
	var many []string
	if err := json.Unmarshal(b, &many); err != nil {
		return fmt.Errorf("a fact is a text in quotes or a list of texts: %w", err)
	}
	*v = many
	return nil
}
