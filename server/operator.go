package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"sideport/web"
)

// The voice to the operator. Must hold for every message:
//
//   - One line on the error output: "sideport: what is wrong: what to type".
//   - Lower case, no full stop at the end, no words of the programming language.
//   - A message names the file, flag or address it is about.
//   - Success is quiet. What was asked for goes to the standard output.
//   - Exit 0: done. 1: it could not be done, or problems were found. 2: the
//     command was not understood.

// operator is the person at the terminal.
type operator struct {
	ctx context.Context // ends when a server that is running is to stop
	out io.Writer
	err io.Writer
	// assets is the web client that serving needs; the other commands do without.
	assets func() (*web.Bundle, error)
}

// command is one thing the program does.
type command struct {
	name    string
	summary string
	usage   string // what stands behind the name
	example string
	run     func(op *operator, c command, args []string) error
}

// misuse is a command that was not understood.
type misuse struct{ text string }

func (m misuse) Error() string { return m.text }

func misused(format string, args ...any) error { return misuse{fmt.Sprintf(format, args...)} }

// errFound ends a command that has printed what it found and has nothing to add.
var errFound = errors.New("problems were found")

// run finds the command and turns its error into a line and an exit status.
// Without a command's name the program serves.
func (op *operator) run(args []string) int {
	c, rest, err := choose(args)
	if err == nil && c.name == "" {
		op.overview()
		return 0
	}
	if err == nil {
		err = c.run(op, c, rest)
	}
	var wrong misuse
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
		return 0
	case errors.Is(err, errFound):
		return 1
	case errors.As(err, &wrong):
		op.say(err)
		return 2
	}
	op.say(err)
	return 1
}

func (op *operator) say(err error) {
	text := strings.ReplaceAll(strings.TrimSpace(err.Error()), "\n", "; ")
	fmt.Fprintln(op.err, "sideport: "+strings.TrimSuffix(text, "."))
}

func choose(args []string) (command, []string, error) {
	if len(args) == 0 {
		return serveCommand, nil, nil
	}
	switch first := args[0]; {
	case first == "-h" || first == "--help" || first == "-help" || first == "help":
		return command{}, nil, nil
	case strings.HasPrefix(first, "-"):
		return serveCommand, args, nil
	default:
		for _, c := range commands {
			if c.name == first {
				return c, args[1:], nil
			}
		}
		return command{}, nil, misused("there is no command %q: type sideport help", first)
	}
}

func (op *operator) overview() {
	fmt.Fprintln(op.out, "sideport keeps an eye unit's technique cards and makes case sheets from them.")
	fmt.Fprintln(op.out)
	for _, c := range commands {
		fmt.Fprintf(op.out, "  %-8s %s\n", c.name, c.summary)
	}
	fmt.Fprintln(op.out, "\nWithout a command it serves. Type sideport COMMAND -h for the flags and an example.")
}

// flags makes the flag set of a command; parse reads it.
func (op *operator) flags(c command) *flag.FlagSet {
	fs := flag.NewFlagSet(c.name, flag.ContinueOnError)
	fs.SetOutput(io.Discard) // the error is said once, by run
	fs.Usage = func() {}
	return fs
}

// parse reads the flags and returns what stands behind them.
func (op *operator) parse(c command, fs *flag.FlagSet, args []string) ([]string, error) {
	err := fs.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		op.help(c, fs)
		return nil, err
	case err != nil:
		return nil, misused("%s: %v: type sideport %s -h", c.name, err, c.name)
	}
	return fs.Args(), nil
}

// parseAlone is parse for commands that take flags alone.
func (op *operator) parseAlone(c command, fs *flag.FlagSet, args []string) error {
	rest, err := op.parse(c, fs, args)
	if err == nil && len(rest) > 0 {
		return misused("%s takes no %q: type sideport %s -h", c.name, rest[0], c.name)
	}
	return err
}

func (op *operator) help(c command, fs *flag.FlagSet) {
	fmt.Fprintf(op.out, "sideport %s %s\n%s\n", c.name, c.usage, c.summary)
	fs.SetOutput(op.out)
	fs.PrintDefaults()
	fmt.Fprintf(op.out, "example:\n  %s\n", strings.ReplaceAll(c.example, "\n", "\n  "))
}

// needs refuses a command without a flag it cannot do without.
func needs(c command, flagName, value string) error {
	if value == "" {
		return misused("%s needs -%s: type sideport %s -h", c.name, flagName, c.name)
	}
	return nil
}
