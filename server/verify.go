package main

import (
	"errors"
	"fmt"
	"os"

	"sideport/server/store"
)

var verifyCommand = command{
	name:    "verify",
	summary: "recompute the whole log and compare everything with it, while the server is stopped; or verify a backup",
	usage:   "-data DIR | -file FILE",
	example: "sideport verify -data /var/lib/sideport\nsideport verify -file /mnt/backup/sideport-2027-03-31.db",
	run:     verify,
}

func verify(op *operator, c command, args []string) error {
	fs := op.flags(c)
	dir := fs.String("data", "", "data `DIR`")
	file := fs.String("file", "", "backup `FILE`")
	if err := op.parseAlone(c, fs, args); err != nil {
		return err
	}
	if (*dir == "") == (*file == "") {
		return misused("verify needs either -data or -file: type sideport verify -h")
	}
	s, name, err := openToVerify(*dir, *file)
	if err != nil {
		return err
	}
	report, err := s.Verify(store.Full)
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
	return nil
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
