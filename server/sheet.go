package main

import (
	"errors"
	"fmt"
	"io"

	"sideport/cards"
	"sideport/checklist"
)

var sheetCommand = command{
	name:    "sheet",
	summary: "print the sheet of one case",
	usage:   "-card FILE.md -case FILE.json [-rules FILE.json] [-json]",
	example: "sideport sheet -card cards/anna-chop.md -case case.json",
	run:     sheet,
}

func sheet(op *operator, c command, args []string) error {
	fs := op.flags(c)
	cardFile := fs.String("card", "", "the surgeon's card, `FILE.md`")
	caseFile := fs.String("case", "", "the facts of the case, `FILE.json`")
	rulesFile := fs.String("rules", "", "the house rules, `FILE.json` (default: the starter rule book)")
	asJSON := fs.Bool("json", false, "print the sheet as JSON for another program")
	if err := op.parseAlone(c, fs, args); err != nil {
		return err
	}
	if err := errors.Join(needs(c, "card", *cardFile), needs(c, "case", *caseFile)); err != nil {
		return err
	}
	in, problems, err := sheetInput(*cardFile, *caseFile, *rulesFile)
	if err != nil {
		return err
	}
	if anyError(problems) {
		return printErrors(op, problems)
	}
	made, wrong := checklist.Generate(in)
	if len(wrong) > 0 {
		return printErrors(op, inFile(*caseFile, wrong))
	}
	if *asJSON {
		b, err := cards.Canonical(made)
		if err != nil {
			return err
		}
		_, err = op.out.Write(b)
		return err
	}
	_, err = io.WriteString(op.out, checklist.Text(made))
	return err
}

func printErrors(op *operator, problems []found) error {
	for _, p := range problems {
		if p.Level == cards.LevelError {
			fmt.Fprintln(op.out, p)
		}
	}
	return errFound
}

func sheetInput(cardFile, caseFile, rulesFile string) (checklist.Input, []found, error) {
	in := checklist.Input{Rules: checklist.Starter()}
	b, err := readFile(cardFile)
	if err != nil {
		return in, nil, err
	}
	card, problems := cards.ParseAndCheck(b)
	all := inFile(cardFile, problems)
	in.Card = card
	if b, err = readFile(caseFile); err != nil {
		return in, nil, err
	}
	in.Case, problems = checklist.ParseCase(b)
	all = append(all, inJSON(caseFile, b, problems)...)
	if rulesFile == "" {
		return in, all, nil
	}
	if b, err = readFile(rulesFile); err != nil {
		return in, nil, err
	}
	in.Rules, problems = checklist.ParseRuleBook(b)
	return in, append(all, inFile(rulesFile, problems)...), nil
}
