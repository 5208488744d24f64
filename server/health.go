package main

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"time"

	"sideport/server/store"
)

var healthCommand = command{
	name:    "health",
	summary: "ask the running server whether it is well; exit 0 when it is",
	usage:   "[-addr ADDRESS]",
	example: "sideport health -addr 127.0.0.1:8080",
	run:     health,
}

// healthWait is shorter than what a supervisor waits for this command.
const healthWait = 2 * time.Second

func health(op *operator, c command, args []string) error {
	fs := op.flags(c)
	addr := fs.String("addr", "127.0.0.1:8080", "`ADDRESS` of the server")
	if err := op.parseAlone(c, fs, args); err != nil {
		return err
	}
	random := make([]byte, 16)
	store.Random(random)
	nonce := hex.EncodeToString(random)
	answer, err := (&http.Client{Timeout: healthWait}).Get("http://" + *addr + "/api/v1/health?nonce=" + nonce)
	if err != nil {
		return fmt.Errorf("no server answers at %s: start it, or give its address with -addr", *addr)
	}
	defer answer.Body.Close()
	var said struct {
		OK       bool
		Nonce    string
		ReadOnly bool
	}
	err = json.NewDecoder(io.LimitReader(answer.Body, 1<<16)).Decode(&said)
	switch {
	case err != nil, said.OK && said.Nonce != nonce:
		return fmt.Errorf("what answers at %s is not a sideport server: check -addr", *addr)
	case !said.OK:
		return fmt.Errorf("the server at %s serves nothing more: look at its log", *addr)
	case said.ReadOnly:
		return fmt.Errorf("the server at %s takes no edits because its data did not pass their checks: run sideport verify", *addr)
	}
	return nil
}
