package main

import "fmt"

var checkCommand = command{
	name:    "check",
	summary: "say everything that is wrong or unusual in card, rule book, case and people files",
	usage:   "FILE...",
	example: "sideport check cards/*.md rules.json",
	run:     check,
}

func check(op *operator, c command, args []string) error {
	files, err := op.parse(c, op.flags(c), args)
	if err != nil {
		return err
	}
	if len(files) == 0 {
		return misused("check needs files: type sideport check -h")
	}
	failed := false
	for _, file := range files {
		_, problems, err := readPlanned(file)
		if err != nil {
			return err
		}
		for _, p := range problems {
			fmt.Fprintln(op.out, p)
		}
		failed = failed || anyError(problems)
	}
	if failed {
		return errFound
	}
	return nil
}
