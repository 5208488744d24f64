package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"sideport/cards"
)

var formatCommand = command{
	name:    "format",
	summary: "write card files the one canonical way",
	usage:   "[-w] [-l] FILE.md...",
	example: "sideport format -w cards/*.md",
	run:     format,
}

func format(op *operator, c command, args []string) error {
	fs := op.flags(c)
	write := fs.Bool("w", false, "write the result back to the file instead of the standard output")
	list := fs.Bool("l", false, "list the files that would change instead of writing them out")
	files, err := op.parse(c, fs, args)
	if err != nil {
		return err
	}
	if len(files) == 0 {
		return misused("format needs card files: type sideport format -h")
	}
	failed := false
	for _, file := range files {
		err := formatOne(op, file, *write, *list)
		if errors.Is(err, errFound) {
			failed = true
		} else if err != nil {
			return err
		}
	}
	if failed {
		return errFound
	}
	return nil
}

// formatOne leaves a file alone that cannot be read whole: writing it back would lose what was not understood.
func formatOne(op *operator, file string, write, list bool) error {
	if filepath.Ext(file) != ".md" {
		return misused("%s is not a card: card files end in .md", file)
	}
	b, err := readFile(file)
	if err != nil {
		return err
	}
	card, problems := cards.Parse(b)
	if wrong := inFile(file, problems.Errors()); len(wrong) > 0 {
		for _, p := range wrong {
			fmt.Fprintln(op.out, p)
		}
		return errFound
	}
	formatted := cards.Format(card)
	changed := !bytes.Equal(b, formatted)
	if list && changed {
		fmt.Fprintln(op.out, file)
	}
	if write && changed {
		return replaceFile(file, formatted)
	}
	if !write && !list {
		_, err = op.out.Write(formatted)
	}
	return err
}

// replaceFile never leaves half a card behind, also when the power fails. A
// link stays a link: what it points to is replaced.
func replaceFile(path string, b []byte) (err error) {
	target, err := filepath.EvalSymlinks(path)
	if err != nil {
		return fmt.Errorf("cannot look at %s: %w", path, err)
	}
	info, err := os.Stat(target)
	if err != nil {
		return fmt.Errorf("cannot look at %s: %w", path, err)
	}
	f, err := os.CreateTemp(filepath.Dir(target), ".sideport-*.part")
	if err != nil {
		return fmt.Errorf("cannot write beside %s: %w", path, err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(f.Name()))
		}
	}()
	_, err = f.Write(b)
	if err := errors.Join(err, f.Chmod(info.Mode().Perm()), f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("cannot write %s: %w", f.Name(), err)
	}
	if err := os.Rename(f.Name(), target); err != nil {
		return fmt.Errorf("cannot replace %s: %w", path, err)
	}
	return nil
}
