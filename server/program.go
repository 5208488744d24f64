package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"sideport/cards"
	"sideport/server/api"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store"
	"sideport/web"
)

// Config is everything a running server is given from outside.
type Config struct {
	Reach
	SignOn SignOn
	Heads  string // the file in which the ends of the chains are noted; empty: none
	Data   string // data directory; empty: the default
	Demo   bool
	Self   string // this program's own file, to check the data with in a process of its own
	// CheckLimit is how long that check may take.
	CheckLimit time.Duration
	Assets     *web.Bundle
	Now        func() time.Time
	Random     func([]byte)
	Log        *slog.Logger
	Out        io.Writer // gets the address, and the codes and PINs that are printed
}

// Program is the server as main and the tests start it: Open, Run, Close.
type Program struct {
	Config
	URL string // where it answers, once open

	store       *store.Store
	doors       *people.Doors
	api         *api.API
	certificate *certificate // nil: no TLS here
	operator    string       // the word of the operator, "" when it could not be written down
	listener    net.Listener
	scratch     string // a demonstration's own data directory, removed at the end
}

const (
	defaultData = "data"
	backupDir   = "backups"
	heartbeat   = 15 * time.Second
	// graceful is how long requests under way may take when the program is asked to stop.
	graceful = 5 * time.Second
)

// Open takes the address and the data; it gives up when the context ends.
// Close must be called even when it fails.
func (p *Program) Open(ctx context.Context) error {
	proxies, err := p.settle(p.Demo)
	if err != nil {
		return err
	}
	var speaks *tls.Config
	if p.Cert != "" {
		if p.certificate, err = readCertificate(p.Cert, p.Key, p.Now, p.Log); err != nil {
			return err
		}
		speaks = p.certificate.config()
	}
	if err := p.openData(ctx); err != nil {
		return err
	}
	if err := p.openDoors(); err != nil {
		return err
	}
	if err := p.listen(); err != nil {
		return err
	}
	served := api.Config{Store: p.store, Doors: p.doors, Assets: p.Assets, Now: p.now, Log: p.Log, Demo: p.Demo, Origin: p.Origin,
		TLS: speaks, Proxies: proxies, Operator: p.operator, Backup: p.backup, Heartbeat: heartbeat}
	if err := p.openSignIn(&served); err != nil {
		return err
	}
	warnOfOpenSecrets(p.Log, p.Key, p.SignOn.Secret)
	p.api = api.New(served)
	return nil
}

// listen takes the address.
func (p *Program) listen() error {
	l, err := net.Listen("tcp", p.Addr)
	if errors.Is(err, syscall.EADDRINUSE) {
		return fmt.Errorf("address %s is taken: stop the other program or choose another port, for example -addr 127.0.0.1:0", p.Addr)
	} else if err != nil {
		return fmt.Errorf("cannot listen on %s: %w", p.Addr, err)
	}
	p.listener, p.URL = l, p.Origin+"/"
	if p.Origin == "" {
		p.URL = "http://" + l.Addr().String() + "/"
		if p.Cert != "" {
			p.URL = "https://" + l.Addr().String() + "/"
		}
	}
	p.Log.Info("listening", slog.String("addr", l.Addr().String()), slog.String("url", p.URL))
	return nil
}

// now is the clock in the form that is kept: UTC, whole milliseconds.
func (p *Program) now() time.Time { return p.Now().UTC().Truncate(time.Millisecond) }

// openData opens the data directory, or makes it, and puts in what a new unit begins with.
func (p *Program) openData(ctx context.Context) error {
	if err := p.chooseDir(); err != nil {
		return err
	}
	err := store.Create(p.Data, p.Random)
	if err != nil && !errors.Is(err, store.ErrExists) {
		return fmt.Errorf("cannot make the data directory %s: %w", p.Data, err)
	}
	found, err := p.checkApart(ctx)
	if err != nil {
		return err
	}
	if !found.sound {
		return p.openDamaged(found.findings)
	}
	if p.store, err = store.Open(p.Data); err != nil {
		return openWords(p.Data, err)
	}
	info, err := p.store.Info()
	if err != nil {
		return openWords(p.Data, err)
	}
	p.Log.Info("data verified", slog.Uint64("seq", uint64(info.Seq)), slog.String("head", info.Head))
	if err := rightUnit(p.store, p.Demo, p.Data); errors.Is(err, edits.ErrDamaged) {
		return openWords(p.Data, err)
	} else if err != nil {
		return err
	}
	return p.fillData(ctx)
}

// openDamaged opens data that do not agree with themselves to read alone:
// reading is what a theatre cannot wait for. They take no edits.
func (p *Program) openDamaged(findings []string) error {
	for _, f := range findings {
		p.Log.Error("data do not agree with themselves", slog.String("finding", f))
	}
	p.Log.Error("serving to read alone: run sideport verify, then restore a backup")
	var err error
	if p.store, err = store.OpenReadOnly(p.Data); err != nil {
		return openWords(p.Data, err)
	}
	// Where the unit itself is damaged nobody can say whether it is the invented one, and nothing is written.
	if err := rightUnit(p.store, p.Demo, p.Data); err != nil && !errors.Is(err, edits.ErrDamaged) {
		return err
	}
	return nil
}

func (p *Program) chooseDir() error {
	switch {
	case p.Data != "":
		return nil
	case !p.Demo:
		p.Data = defaultData
		return nil
	}
	dir, err := os.MkdirTemp("", "sideport-demo-")
	if err != nil {
		return fmt.Errorf("cannot make a directory for the demonstration: %w: choose one with -data", err)
	}
	p.scratch, p.Data = dir, dir
	return nil
}

// openWords says why data cannot be opened, and the mend.
func openWords(dir string, err error) error {
	switch {
	case errors.Is(err, store.ErrLocked):
		return fmt.Errorf("another sideport is using %s: stop it first", dir)
	case errors.Is(err, store.ErrNoData):
		return fmt.Errorf("there are no data in %s: check -data", dir)
	case errors.Is(err, store.ErrSchema):
		return fmt.Errorf("the data in %s were written by a newer version: install that version", dir)
	case errors.Is(err, store.ErrInvalid), errors.Is(err, edits.ErrDamaged):
		return fmt.Errorf("the data in %s are damaged: keep a copy of them, then restore a backup into a new directory with sideport restore", dir)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("this account may not read and write %s: change its owner or choose another -data", dir)
	}
	return fmt.Errorf("cannot open the data in %s: %w", dir, err)
}

// rightUnit keeps invented and real cards in directories of their own.
func rightUnit(s *store.Store, demo bool, dir string) error {
	doc, ok, err := s.Document(edits.Unit, edits.TheUnit)
	if err != nil {
		return err
	}
	var unit cards.EyeUnit
	if !ok {
		return nil
	}
	if err := cards.Decode(doc.Body, &unit); err != nil {
		return fmt.Errorf("%w: %v", edits.ErrDamaged, err)
	}
	switch {
	case demo && !unit.Demo:
		return misused("%s holds a real unit: choose another -data for -demo, or leave -demo out", dir)
	case !demo && unit.Demo:
		return misused("%s holds the invented unit of a demonstration: add -demo, or choose another -data", dir)
	}
	return nil
}

// backup writes a copy into the data directory's own backups.
func (p *Program) backup(name string) (api.Backup, error) {
	if p.store.ReadOnly() { // verifying a damaged copy here could end this process
		return api.Backup{}, &api.Error{Code: api.Unavailable, Text: "The data did not pass their checks, so no backup is made of them. Restore the newest backup that verifies."}
	}
	path := filepath.Join(p.Data, backupDir, name)
	report, err := p.store.Backup(path)
	if errors.Is(err, store.ErrExists) {
		return api.Backup{}, fmt.Errorf("%w: %s", fs.ErrExist, path)
	} else if err != nil {
		return api.Backup{}, err
	}
	p.Log.Info("backup written", slog.String("path", path), slog.Uint64("seq", uint64(report.Info.Seq)), slog.String("head", report.Info.Head))
	return api.Backup{Path: path, Seq: report.Info.Seq, Head: report.Info.Head}, nil
}

// Run serves until the context ends, which is no error, or until a commit failed, which is.
func (p *Program) Run(ctx context.Context) error {
	p.greet()
	hours, stopHours := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(hours)
		p.hourly(stopHours)
	}()
	defer func() {
		close(stopHours)
		<-hours
		p.noteHeads()
	}()
	served := make(chan error, 1)
	go func() { served <- p.api.Serve(p.listener) }()
	var why error
	select {
	case err := <-served:
		return err
	case <-ctx.Done():
	case <-p.store.Failed():
		why = errors.New("the disk did not confirm an edit, so nothing more is served: look at the disk and start again; devices send the edit again by themselves")
		p.Log.Error("commit failed: stopping", slog.String("data", p.Data))
	}
	// A new context: the one that ended is what brought us here.
	stopping, cancel := context.WithTimeout(context.Background(), graceful)
	defer cancel()
	if err := p.api.Close(stopping); err != nil {
		p.Log.Warn("requests were cut off", slog.String("error", err.Error()))
	}
	return why
}

// Close lets go of everything Open took. The data come last.
func (p *Program) Close() error {
	var errs []error
	if p.listener != nil {
		if err := p.listener.Close(); err != nil && !errors.Is(err, net.ErrClosed) {
			errs = append(errs, fmt.Errorf("close the address: %w", err))
		}
	}
	if p.store != nil {
		errs = append(errs, p.removeOperator(), p.store.Close())
	}
	if p.scratch != "" {
		errs = append(errs, os.RemoveAll(p.scratch))
	}
	return errors.Join(errs...)
}
