package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"syscall"
	"time"

	"sideport/server/store"
	"sideport/web"
)

var serveCommand = command{
	name:    "serve",
	summary: "serve the unit's cards to browsers on this machine",
	usage:   "[-addr ADDRESS] [-data DIR] [-demo] [-check-limit DURATION]",
	example: "sideport serve -data /var/lib/sideport\ngo run ./server -demo",
	run:     serve,
}

func serve(op *operator, c command, args []string) error {
	fs := op.flags(c)
	config := Config{Now: time.Now, Random: store.Random, Out: op.out, Log: newLog(op.err)}
	fs.StringVar(&config.Addr, "addr", "127.0.0.1:8080", "`ADDRESS` to listen on, of this machine alone; port 0 takes any free port")
	fs.StringVar(&config.Data, "data", "", "data `DIR` (default data, or with -demo a new one that is removed at the end)")
	fs.BoolVar(&config.Demo, "demo", false, "load an invented eye unit to try the program with")
	fs.DurationVar(&config.CheckLimit, "check-limit", 2*time.Minute, "how long the check of the data at the start may take; after this `DURATION` they are served to read alone")
	if err := op.parseAlone(c, fs, args); err != nil {
		return err
	}
	if config.CheckLimit <= 0 {
		return misused("-check-limit %s leaves no time to check the data: write it like 2m", config.CheckLimit)
	}
	assets, err := op.assets()
	if errors.Is(err, web.ErrNotBuilt) {
		return fmt.Errorf("this program was built without its web client: type go generate ./web and start again")
	} else if err != nil {
		return err
	}
	config.Assets = assets
	if config.Self, err = os.Executable(); err != nil {
		return fmt.Errorf("cannot find this program's own file: %w", err)
	}
	// The other commands do not catch signals: they end at once, as any program does.
	ctx, stop := signal.NotifyContext(op.ctx, os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // whoever asks twice does not want to wait
	p := &Program{Config: config}
	if err := p.Open(ctx); ctx.Err() != nil {
		return p.Close() // stopped while it was starting
	} else if err != nil {
		return errors.Join(err, p.Close())
	}
	return errors.Join(p.Run(ctx), p.Close())
}

// newLog writes text for a person at a terminal and JSON for anything that collects logs.
func newLog(w io.Writer) *slog.Logger {
	if f, ok := w.(*os.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode()&os.ModeCharDevice != 0 {
			return slog.New(slog.NewTextHandler(w, &slog.HandlerOptions{Level: slog.LevelWarn}))
		}
	}
	return slog.New(slog.NewJSONHandler(w, nil))
}
