package main

import (
	"errors"
	"fmt"

	"sideport/server/edits"
	"sideport/server/store"
)

var restoreCommand = command{
	name:    "restore",
	summary: "make a new data directory from a backup; every device then reads everything again",
	usage:   "-from FILE -data DIR",
	example: "sideport restore -from /mnt/backup/sideport-2027-03-31.db -data /var/lib/sideport-new",
	run:     restore,
}

func restore(op *operator, c command, args []string) error {
	fs := op.flags(c)
	from := fs.String("from", "", "backup `FILE`")
	dir := fs.String("data", "", "the new data `DIR`; one that holds data is never touched")
	if err := op.parseAlone(c, fs, args); err != nil {
		return err
	}
	if err := errors.Join(needs(c, "from", *from), needs(c, "data", *dir)); err != nil {
		return err
	}
	_, err := store.Restore(*from, *dir, store.Random)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, store.ErrExists):
		return misused("%s holds data already and is not touched: choose a new -data", *dir)
	case errors.Is(err, store.ErrNoData):
		return misused("there is no file %s", *from)
	case errors.Is(err, store.ErrNotWhole), errors.Is(err, store.ErrInvalid), errors.Is(err, edits.ErrDamaged):
		return fmt.Errorf("%s is not a whole backup, so nothing was restored: try an older one: %w", *from, err)
	}
	return fmt.Errorf("cannot restore %s: %w", *from, err)
}
