package main

import (
	"errors"
	"fmt"
	"time"

	"sideport/server/edits"
	"sideport/server/store"
)

var loadCommand = command{
	name:    "load",
	summary: "put card, rule book, case and people files into the data while the server is stopped",
	usage:   "-data DIR FILE...",
	example: "sideport load -data /var/lib/sideport unit.json people.json rules.json cards/*.md",
	run:     load,
}

func load(op *operator, c command, args []string) error {
	fs := op.flags(c)
	dir := fs.String("data", "", "data `DIR`; made when it is not there")
	reason := fs.String("reason", "loaded from files", "`TEXT` for the history of each document")
	files, err := op.parse(c, fs, args)
	if err != nil {
		return err
	}
	if err := needs(c, "data", *dir); err != nil {
		return err
	}
	if len(files) == 0 {
		return misused("load needs files: type sideport load -h")
	}
	plan, err := readAll(op, files)
	if err != nil {
		return err
	}
	return loadInto(*dir, *reason, plan)
}

// readAll reads every file before anything is loaded: either all are good or nothing happens.
func readAll(op *operator, files []string) ([]planned, error) {
	var plan []planned
	failed := false
	for _, file := range files {
		more, problems, err := readPlanned(file)
		if err != nil {
			return nil, err
		}
		if anyError(problems) {
			failed = true
			_ = printErrors(op, problems) // its error only says that there were some
		}
		plan = append(plan, more...)
	}
	if failed {
		return nil, errFound
	}
	return plan, nil
}

// loadInto keeps everything in one transaction: all of it is loaded or nothing.
func loadInto(dir, reason string, plan []planned) error {
	if err := store.Create(dir, store.Random); err != nil && !errors.Is(err, store.ErrExists) {
		return fmt.Errorf("cannot make the data directory %s: %w", dir, err)
	}
	s, err := openToWrite(dir)
	if err != nil {
		return err
	}
	w := writer{at: wallClock(), random: store.Random, reason: reason}
	err = s.Update(func(tx *store.Tx) error {
		for _, d := range plan {
			if err := w.put(tx, d, true); err != nil {
				return fmt.Errorf("nothing was loaded: %s: %w", d.from, err)
			}
		}
		return nil
	})
	if errors.Is(err, edits.ErrOutcomeUnknown) {
		err = fmt.Errorf("the disk did not confirm, so either everything was loaded or nothing: look at the disk and its space, then load the same files again, nothing is written twice: %w", err)
	}
	return errors.Join(err, s.Close())
}

func wallClock() time.Time { return time.Now().UTC().Truncate(time.Millisecond) }

// openToWrite opens the data of a stopped server and leaves them alone where they are damaged.
func openToWrite(dir string) (*store.Store, error) {
	s, err := store.Open(dir)
	if err != nil {
		return nil, openWords(dir, err)
	}
	report, err := s.Verify(store.Quick)
	if err == nil && len(report.Findings) > 0 {
		err = edits.ErrDamaged
	}
	if err != nil {
		return nil, errors.Join(openWords(dir, err), s.Close())
	}
	return s, nil
}
