package main

import (
	"crypto/tls"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"sideport/server/store"
)

var healthCommand = command{
	name:    "health",
	summary: "ask the running server whether it is well; exit 0 when it is",
	usage:   "[-addr ADDRESS] [-origin https://NAME] [-tls-cert FILE]",
	example: "sideport health -addr 127.0.0.1:8080",
	run:     health,
}

// healthWait is shorter than what a supervisor waits for this command.
const healthWait = 2 * time.Second

func health(op *operator, c command, args []string) error {
	fs := op.flags(c)
	server := askFlags(fs, "")
	if err := op.parseAlone(c, fs, args); err != nil {
		return err
	}
	random := make([]byte, 16)
	store.Random(random)
	nonce := hex.EncodeToString(random)
	client, err := server.client(healthWait)
	if err != nil {
		return err
	}
	answer, err := client.Get(server.base() + "/api/v1/health?nonce=" + nonce)
	if wrong := new(tls.CertificateVerificationError); errors.As(err, &wrong) {
		return fmt.Errorf("the certificate of the server at %s is not trusted here: name it with -tls-cert", server.at())
	} else if err != nil {
		return fmt.Errorf("no server answers at %s: start it, or give its address with -addr", server.at())
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
		return fmt.Errorf("what answers at %s is not a sideport server: check -addr", server.at())
	case !said.OK:
		return fmt.Errorf("the server at %s serves nothing more: look at its log", server.at())
	case said.ReadOnly:
		return fmt.Errorf("the server at %s takes no edits because its data did not pass their checks: run sideport verify", server.at())
	}
	return nil
}
