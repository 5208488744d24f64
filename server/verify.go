package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"sideport/server/people"
	"sideport/server/store"
	"sideport/server/vault"
)

var verifyCommand = command{
	name:    "verify",
	summary: "recompute the whole log, compare everything with it and check every signature, while the server is stopped; or verify a backup",
	usage:   "-data DIR | -file FILE [-quick] [-limit DURATION]",
	example: "sideport verify -data /var/lib/sideport\nsideport verify -file /mnt/backup/sideport-2027-03-31.db",
	run:     verify,
}

func verify(op *operator, c command, args []string) error {
	fs := op.flags(c)
	dir := fs.String("data", "", "data `DIR`")
	file := fs.String("file", "", "backup `FILE`")
	quick := fs.Bool("quick", false, "say first how many documents can be shown, and leave out judging every edit again and the signatures; every start does this")
	limit := fs.Duration("limit", 0, "give up after this `DURATION`, such as 2m (default: never)")
	if err := op.parseAlone(c, fs, args); err != nil {
		return err
	}
	if (*dir == "") == (*file == "") {
		return misused("verify needs either -data or -file: type sideport verify -h")
	}
	name, path := *dir, filepath.Join(*dir, store.FileName)
	if *file != "" {
		name, path = *file, *file
	}
	return within(*limit, name, path, func() error { return verifyOne(op, *dir, *file, *quick) })
}

func verifyOne(op *operator, dir, file string, quick bool) error {
	s, name, err := openToVerify(dir, file)
	if err != nil {
		return err
	}
	report, err := look(op, s, quick)
	if err == nil && !quick && len(report.Findings) == 0 {
		report.Findings, err = people.Verify(vault.Of(s))
	}
	if err := errors.Join(err, s.Close()); err != nil {
		return openWords(name, err)
	}
	for _, f := range report.Findings {
		fmt.Fprintf(op.out, "%s: %s\n", name, f)
	}
	if len(report.Findings) > 0 {
		return errFound
	}
	// What is asked for is the proof, so it is printed: the head is what two copies are compared by.
	fmt.Fprintf(op.out, "%d records, %d documents, head %s, epoch %s\n", report.Info.Seq, report.Documents, report.Info.Head, report.Info.Epoch)
	fmt.Fprintf(op.out, "%d events, head %s\n", report.Events, report.EventHead)
	return nil
}

// look reads before it verifies: what cannot be verified may still be served,
// and reading meets pages in a circle in a way that can be stopped.
func look(op *operator, s *store.Store, quick bool) (store.Report, error) {
	r, err := s.TryReading()
	if err != nil {
		return store.Report{}, err
	}
	if !quick {
		return s.Verify(store.Full)
	}
	if _, err := io.WriteString(op.out, shownWords(r)); err != nil {
		return store.Report{}, err
	}
	return s.Verify(store.Quick)
}

func openToVerify(dir, file string) (*store.Store, string, error) {
	if dir != "" {
		s, err := store.OpenReadOnly(dir)
		if err != nil {
			return nil, "", openWords(dir, err)
		}
		return s, dir, nil
	}
	if _, err := os.Stat(file); err != nil {
		return nil, "", misused("there is no file %s", file)
	}
	s, err := store.OpenFile(file)
	if err != nil {
		return nil, "", openWords(file, err)
	}
	return s, file, nil
}
