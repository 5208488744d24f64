package main

import (
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"sideport/server/people"
	"sideport/server/vault"
)

// operatorFile holds a word that lives as long as the process. Who can read it
// can read the data as well, so the running server takes it for the operator.
const operatorFile = "operator"

// openDoors makes what decides who comes in. The data are open and filled.
func (p *Program) openDoors() error {
	doors, err := people.Open(people.Config{Store: vault.Of(p.store), Now: p.now, Random: p.Random, Log: p.Log, Demo: p.Demo})
	if err != nil {
		return fmt.Errorf("cannot read the people and devices of %s: %w", p.Data, err)
	}
	p.doors = doors
	word := make([]byte, 32)
	p.Random(word)
	p.operator = hex.EncodeToString(word)
	if err := writeOperator(filepath.Join(p.Data, operatorFile), p.operator); err != nil {
		p.operator = ""
		p.Log.Warn("the backup command cannot speak to this server", slog.String("error", err.Error()))
	}
	return nil
}

// writeOperator makes the file anew, so that nobody who held it open reads the word.
func writeOperator(path, word string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.WriteString(word)
	return errors.Join(err, f.Close())
}

func (p *Program) removeOperator() error {
	if p.operator == "" {
		return nil
	}
	if err := os.Remove(filepath.Join(p.Data, operatorFile)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// greet prints where the server answers and what is needed to come in. The
// codes go to the output alone, never into the log.
func (p *Program) greet() {
	fmt.Fprintf(p.Out, "Sideport: %s\n", p.URL)
	if code := p.doors.SetUpCode(); code != "" {
		fmt.Fprintf(p.Out, "Set-up code: %s (open the page and type it; it holds until the unit is set up or the server stops)\n", code)
	}
	if !p.Demo {
		return
	}
	shared, personal := p.doors.DemoCodes()
	fmt.Fprintf(p.Out, "Code for a shared tablet: %s\nCode for a phone of your own: %s\n", shared, personal)
	for _, d := range p.doors.DemoPINs() {
		fmt.Fprintf(p.Out, "PIN %s  %s\n", d.PIN, d.Name)
	}
}

// noteHeads appends where both chains end to a file that should lie on another
// machine: a chain alone does not show that its end was cut off.
func (p *Program) noteHeads() {
	if p.Heads == "" {
		return
	}
	heads, err := p.doors.Heads()
	if err == nil {
		err = appendLine(p.Heads, fmt.Sprintf("%s %d %s %d %s\n", p.now().Format(time.RFC3339), heads.Seq, heads.Head, heads.EventSeq, heads.EventHead))
	}
	if err != nil {
		p.Log.Error("the heads were not noted", slog.String("file", p.Heads), slog.String("error", err.Error()))
	}
}

func appendLine(path, line string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o600)
	if err != nil {
		return err
	}
	_, err = f.WriteString(line)
	return errors.Join(err, f.Sync(), f.Close())
}

// hourly notes the heads and looks at the certificate until the server stops.
func (p *Program) hourly(stop <-chan struct{}) {
	tick := time.NewTicker(time.Hour)
	defer tick.Stop()
	for {
		p.noteHeads()
		if p.certificate != nil {
			p.certificate.warn()
		}
		select {
		case <-stop:
			return
		case <-tick.C:
		}
	}
}
