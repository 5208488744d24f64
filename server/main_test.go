package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/edits"
	"sideport/server/store/storetest"
	"sideport/web"
)

// asChild makes the test binary be the program itself.
const asChild = "SIDEPORT_TEST_CHILD"

func TestMain(m *testing.M) {
	if os.Getenv(asChild) != "" {
		program()
	}
	testscript.Main(m, map[string]func(){"sideport": program})
}

// hangs makes the check of the data at the start never end: "at once", or
// "after reading", when it has said that everything can be read. The check
// writes its process id to the file named by hangsIn.
const (
	hangs   = "SIDEPORT_TEST_HANGS"
	hangsIn = "SIDEPORT_TEST_HANGS_IN"
)

func hang(how string) {
	if how == "after reading" {
		fmt.Println("2 of 2 documents can be shown")
	}
	if err := os.WriteFile(os.Getenv(hangsIn), []byte(strconv.Itoa(os.Getpid())), 0o600); err != nil {
		panic(err)
	}
	select {}
}

// program is main with a client that needs no building: the client is tested in a browser, elsewhere.
func program() {
	if how := os.Getenv(hangs); how != "" && len(os.Args) > 1 && os.Args[1] == "verify" {
		go hang(how)
		time.Sleep(time.Hour) // the runtime ends a process of which every part waits for ever
	}
	op := &operator{ctx: context.Background(), out: os.Stdout, err: os.Stderr, assets: smallClient}
	os.Exit(op.run(os.Args[1:]))
}

func smallClient() (*web.Bundle, error) {
	page := web.File{Path: web.Index, Type: "text/html; charset=utf-8", Raw: []byte("<!doctype html>"), ETag: `"1"`}
	return &web.Bundle{Build: "test", Files: map[string]web.File{web.Index: page}}, nil
}

// TestCommands runs the scripts in testdata/commands, which double as the manual's examples.
func TestCommands(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("..", "testdata", "commands"),
		Setup:               fixtures,
		RequireExplicitExec: false,
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
	})
}

// exits runs a command and compares its exit status: exits 2 sideport frobnicate.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS COMMAND...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var failed *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &failed) {
		got = failed.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// fixtures writes the files every script may use.
func fixtures(env *testscript.Env) error {
	env.Setenv(asChild, "1") // for the process in which a server checks its data
	encode := func(v any) []byte {
		b, err := edits.Encode(v)
		if err != nil {
			panic(err)
		}
		return append(b, '\n')
	}
	var errs []error
	for name, b := range map[string][]byte{
		"anna-chop.md": cards.Format(storetest.Card()),
		"case.json":    encode(storetest.Case()),
		"rules.json":   encode(checklist.Starter()),
		"people.json":  encode([]cards.Person{storetest.Person()}),
		"unit.json":    encode(cards.EyeUnit{Name: "Unit of the tests"}),
		"demo.json":    encode(cards.EyeUnit{Name: "Invented unit", Demo: true}),
	} {
		errs = append(errs, os.WriteFile(filepath.Join(env.WorkDir, name), b, 0o600))
	}
	return errors.Join(errs...)
}
