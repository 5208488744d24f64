package main

import (
	"bytes"
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"time"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/demo"
	"sideport/server/edits"
	"sideport/server/store"
)

// theProgram is the author of what a new unit begins with.
const theProgram cards.PersonID = "sideport"

// planned is a document that is to be in the data.
type planned struct {
	kind   edits.Kind
	id     string
	author cards.PersonID
	body   any
	from   string // the file it was read from, for messages
}

// writer puts planned documents into the data as edits like anybody's.
type writer struct {
	at     time.Time // one moment for all that is put in together: none of it is newer than the rest
	random func([]byte)
	reason string
}

// put makes the document what is planned. Nothing happens when it is that
// already, or when it exists and may not be replaced.
func (w writer) put(log edits.Log, d planned, replace bool) error {
	body, err := edits.Encode(d.body)
	if err != nil {
		return fmt.Errorf("write %s %s: %w", d.kind, d.id, err)
	}
	present, ok, err := log.Document(d.kind, d.id)
	if err != nil {
		return err
	}
	if ok && (!replace || bytes.Equal(present.Body, body)) {
		return nil
	}
	id := make([]byte, 16)
	w.random(id)
	receipt, err := edits.Accept(log, w.at, edits.Edit{ID: edits.EditID(hex.EncodeToString(id)), Kind: d.kind, Doc: d.id, Parent: present.Rev,
		Author: d.author, Device: edits.ServerDevice, Made: w.at.Format(time.RFC3339), Reason: w.reason, Body: body})
	if err != nil {
		return fmt.Errorf("keep %s %s: %w", d.kind, d.id, err)
	}
	if receipt.Outcome != edits.Applied {
		return fmt.Errorf("%s %s was not applied: %w", d.kind, d.id, errors.Join(errors.New(receipt.Reason), receipt.Problems))
	}
	return nil
}

// fillData puts in what a new unit begins with, all of it or nothing. What is there stays as it is.
func (p *Program) fillData(ctx context.Context) error {
	begin, reason := newUnit(), "what a new unit begins with"
	if p.Demo {
		reason = "invented unit of the demonstration"
		var err error
		if begin, err = demoUnit(cards.Date(p.Now().Format("2006-01-02"))); err != nil {
			return err
		}
	}
	w := writer{at: p.now(), random: p.Random, reason: reason}
	return p.store.Update(func(tx *store.Tx) error {
		for _, d := range begin {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := w.put(tx, d, false); err != nil {
				return err
			}
		}
		return nil
	})
}

// newUnit is an empty unit with the starter rule book.
func newUnit() []planned {
	return []planned{
		{kind: edits.Unit, id: edits.TheUnit, author: theProgram, body: cards.EyeUnit{Name: "Eye unit"}},
		{kind: edits.Rules, id: edits.HouseRules, author: theProgram, body: checklist.Starter()},
	}
}

// demoUnit is the invented unit.
func demoUnit(today cards.Date) ([]planned, error) {
	u, err := demo.Load(today)
	if err != nil {
		return nil, fmt.Errorf("load the demonstration: %w", err)
	}
	lead := unitLead(u.People)
	plan := []planned{
		{kind: edits.Unit, id: edits.TheUnit, author: lead, body: u.About},
		{kind: edits.Rules, id: edits.HouseRules, author: lead, body: u.Rules},
	}
	for _, person := range u.People {
		plan = append(plan, planned{kind: edits.Person, id: string(person.ID), author: lead, body: person})
	}
	for _, card := range u.Cards {
		plan = append(plan, planned{kind: edits.Card, id: string(card.ID), author: card.Owner, body: card})
	}
	for _, c := range u.Cases {
		plan = append(plan, planned{kind: edits.Case, id: string(c.ID), author: c.Surgeon, body: c})
	}
	return plan, nil
}

func unitLead(people []cards.Person) cards.PersonID {
	for _, p := range people {
		for _, role := range p.Roles {
			if role == cards.PersonUnitLead {
				return p.ID
			}
		}
	}
	return theProgram
}
