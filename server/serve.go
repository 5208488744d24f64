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
	summary: "serve the unit's cards to browsers",
	usage:   "[-addr ADDRESS] [-data DIR] [-demo] [-origin https://NAME] [-tls-cert FILE -tls-key FILE] [-behind-proxy ADDRESS,...] [-sso-issuer ADDRESS -sso-client ID -sso-secret FILE] [-heads FILE] [-check-limit DURATION]",
	example: "sideport serve -data /var/lib/sideport\nsideport serve -addr :443 -origin https://cards.example.org -tls-cert cards.pem -tls-key cards.key -data /var/lib/sideport\ngo run ./server -demo",
	run:     serve,
}

func serve(op *operator, c command, args []string) error {
	fs := op.flags(c)
	config := Config{Now: time.Now, Random: store.Random, Out: op.out, Log: newLog(op.err)}
	fs.StringVar(&config.Addr, "addr", "127.0.0.1:8080", "`ADDRESS` to listen on; port 0 takes any free port. One that other machines reach needs -origin and TLS or a proxy")
	fs.StringVar(&config.Origin, "origin", "", "what the address bar of every device shows, `https://NAME`")
	fs.StringVar(&config.Cert, "tls-cert", "", "certificate `FILE` in PEM, with those between it and its root; read again when it changes")
	fs.StringVar(&config.Key, "tls-key", "", "key `FILE` of the certificate")
	fs.StringVar(&config.Proxies, "behind-proxy", "", "`ADDRESS,...` of the proxies that speak TLS and say where requests come from")
	fs.StringVar(&config.SignOn.Issuer, "sso-issuer", "", "`https://ADDRESS` of the hospital's single sign-on (OpenID Connect)")
	fs.StringVar(&config.SignOn.Client, "sso-client", "", "`ID` under which the single sign-on knows this server")
	fs.StringVar(&config.SignOn.Secret, "sso-secret", "", "`FILE` with the secret that belongs to that id")
	fs.StringVar(&config.Heads, "heads", "", "`FILE`, best on another machine, to which the ends of the log are added every hour")
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
