// Package demo holds an invented eye unit: its people, their technique cards
// and one list of cases, so that a newcomer can try the program without
// typing anything in. Nobody in it exists. Its limits and doses are the
// stored values of invented surgeons: plausible, most of them from memory and
// unconfirmed, and not for any patient. The text of the drills is starter
// text that a unit has to adopt or change.
package demo

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"path"

	"sideport/cards"
	"sideport/checklist"
)

// unitLead is the person of the invented unit who has turned its risk part on.
const unitLead cards.PersonID = "oriel-stonebarrow"

//go:embed unit.json people.json cases.json cards/*.md
var embedded embed.FS

// Unit is everything the invented unit has. Cases are in the order of the list.
type Unit struct {
	About  cards.EyeUnit
	People []cards.Person
	Cards  []cards.Card
	Rules  checklist.RuleBook
	Cases  []checklist.Case
}

// Load reads the invented unit. Its one list of cases is that of the day given.
func Load(today cards.Date) (Unit, error) { return load(embedded, today) }

func load(files fs.FS, today cards.Date) (Unit, error) {
	if today == "" || !today.Valid() {
		return Unit{}, fmt.Errorf("the day of the demonstration list is %q: write it like 2027-03-31", today)
	}
	u := Unit{Rules: checklist.Starter()}
	u.Rules.Parts.Risk = checklist.Switch{On: true, By: unitLead, Date: today, PurposeRead: true}
	if err := decode(files, "unit.json", &u.About); err != nil {
		return Unit{}, err
	}
	if err := u.readPeople(files); err != nil {
		return Unit{}, err
	}
	if err := u.readCards(files); err != nil {
		return Unit{}, err
	}
	return u, u.readCases(files, today)
}

func (u *Unit) readPeople(files fs.FS) error {
	const name = "people.json"
	if err := decode(files, name, &u.People); err != nil {
		return err
	}
	for _, p := range u.People {
		if errors := cards.CheckPerson(p).Errors(); len(errors) > 0 {
			return fmt.Errorf("%s, person %q: %w", name, p.ID, errors)
		}
	}
	return nil
}

func (u *Unit) readCards(files fs.FS) error {
	names, err := fs.Glob(files, "cards/*.md")
	if err != nil {
		return fmt.Errorf("list the cards: %w", err)
	}
	for _, name := range names {
		card, err := readCard(files, name)
		if err != nil {
			return err
		}
		if !u.has(card.Owner) {
			return fmt.Errorf("%s: the owner %q is not in people.json", name, card.Owner)
		}
		u.Cards = append(u.Cards, card)
	}
	return nil
}

func readCard(files fs.FS, name string) (cards.Card, error) {
	md, err := fs.ReadFile(files, name)
	if err != nil {
		return cards.Card{}, fmt.Errorf("read %s: %w", name, err)
	}
	card, problems := cards.Parse(md)
	problems = append(problems.Errors(), cards.Check(card).Errors()...)
	if len(problems) > 0 {
		return cards.Card{}, fmt.Errorf("%s: %w", name, problems)
	}
	if want := string(card.ID) + ".md"; path.Base(name) != want {
		return cards.Card{}, fmt.Errorf("%s holds the card %q: name the file %s", name, card.ID, want)
	}
	return card, nil
}

func (u *Unit) readCases(files fs.FS, today cards.Date) error {
	const name = "cases.json"
	if err := decode(files, name, &u.Cases); err != nil {
		return err
	}
	for n := range u.Cases {
		c := &u.Cases[n]
		c.List = today
		if errors := checklist.CheckCase(*c).Errors(); len(errors) > 0 {
			return fmt.Errorf("%s, case %d: %w", name, n+1, errors)
		}
		if c.Position != n+1 {
			return fmt.Errorf("%s, case %d: its position is %d: write the cases in the order of the list", name, n+1, c.Position)
		}
		if _, ok := u.Card(c.Card); !ok || !u.has(c.Surgeon) {
			return fmt.Errorf("%s, case %d: the unit has no card %q or no surgeon %q", name, n+1, c.Card, c.Surgeon)
		}
	}
	return nil
}

// Card returns the unit's card of that id.
func (u *Unit) Card(id cards.CardID) (cards.Card, bool) {
	for _, c := range u.Cards {
		if c.ID == id {
			return c, true
		}
	}
	return cards.Card{}, false
}

func (u *Unit) has(id cards.PersonID) bool {
	for _, p := range u.People {
		if p.ID == id {
			return true
		}
	}
	return false
}

// decode reads a whole JSON file into what is pointed to and refuses fields it does not know.
func decode(files fs.FS, name string, into any) error {
	b, err := fs.ReadFile(files, name)
	if err != nil {
		return fmt.Errorf("read %s: %w", name, err)
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return fmt.Errorf("%s is not the JSON expected: %w", name, err)
	}
	if _, err := d.Token(); err != io.EOF {
		return fmt.Errorf("%s: something stands after the end of the JSON: remove it", name)
	}
	return nil
}
