package main

import (
	"errors"
	"fmt"
	"time"

	"sideport/cards"
	"sideport/server/people"
	"sideport/server/store"
	"sideport/server/vault"
)

var pinCommand = command{
	name:    "pin",
	summary: "issue a fresh PIN while the server is stopped, when no unit lead can",
	usage:   "-data DIR PERSON",
	example: "sideport pin -data /var/lib/sideport anna-example",
	run:     issuePIN,
}

func issuePIN(op *operator, c command, args []string) error {
	fs := op.flags(c)
	dir := fs.String("data", "", "data `DIR`")
	named, err := op.parse(c, fs, args)
	if err != nil {
		return err
	}
	if err := needs(c, "data", *dir); err != nil {
		return err
	}
	if len(named) != 1 {
		return misused("pin needs the id of one person: type sideport pin -h")
	}
	s, err := openToWrite(*dir)
	if err != nil {
		return err
	}
	pin, err := pinFrom(op, s, cards.PersonID(named[0]))
	if err := errors.Join(err, s.Close()); err != nil {
		return err
	}
	fmt.Fprintln(op.out, pin)
	return nil
}

func pinFrom(op *operator, s *store.Store, person cards.PersonID) (string, error) {
	doors, err := people.Open(people.Config{Store: vault.Of(s), Now: time.Now, Random: store.Random, Log: newLog(op.err)})
	if err != nil {
		return "", fmt.Errorf("cannot read the people of the unit: %w", err)
	}
	pin, err := doors.IssuePINHere(person)
	var refused *people.Refusal
	if errors.As(err, &refused) {
		return "", fmt.Errorf("no PIN for %s: %s", person, refused.Text)
	}
	return pin, err
}
