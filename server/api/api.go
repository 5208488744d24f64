package api

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"sync"
	"time"

	"github.com/gofiber/fiber/v2"
	"github.com/gofiber/fiber/v2/middleware/recover"

	"sideport/server/edits"
	"sideport/server/signin"
	"sideport/web"
)

// Store is the log and the documents, as this package needs them. All methods
// may be called at the same time. They return the errors of package edits.
// Snapshot and Changes may return an error with the method
// Damaged() []edits.DocKey together with every document but those it names.
type Store interface {
	Accept(now time.Time, e edits.Edit) (edits.Receipt, error)
	Info() (edits.Info, error)
	Snapshot() (edits.Info, []edits.Document, error)
	Changes(after edits.Seq) (edits.Info, []edits.Document, error)
	Document(kind edits.Kind, id string) (edits.Document, bool, error)
	RevisionEntry(kind edits.Kind, id string, rev int) (edits.Entry, bool, error)
	Entry(id edits.EditID) (edits.Entry, bool, error)
	SetAside(after edits.Seq, limit int) (edits.Info, []edits.Entry, error)
	ReadOnly() bool
}

// Config is everything the API is given from outside.
type Config struct {
	Store  Store
	Doors  Doors
	Assets *web.Bundle
	Now    func() time.Time
	Log    *slog.Logger
	Demo   bool
	// Passkeys and SSO are nil where the unit does not have them.
	Passkeys *signin.Passkeys
	SSO      *signin.SSO
	// Origin is what the address bar of every device shows, https://NAME; empty: plain http or TLS on this machine alone.
	Origin string
	// TLS is spoken on the listener given to Serve; nil: plain http.
	TLS *tls.Config
	// Proxies are the addresses whose word counts for where a request came from.
	Proxies []netip.Prefix
	// Operator is the word that stands in a file of the data directory; empty: there is none.
	Operator string
	// Backup writes a copy of the data under a plain file name in the backup
	// directory. It must refuse a name that is taken
	// with an error that wraps fs.ErrExist.
	Backup func(name string) (Backup, error)
	// Heartbeat is how often a live stream says that it is still there.
	Heartbeat time.Duration
	// Unhurried counts no requests: for what measures how fast the server is.
	Unhurried bool
}

// Backup is a copy that was written and verified.
type Backup struct {
	Path string    `json:"path"`
	Seq  edits.Seq `json:"seq"` // of the newest record in it
	Head string    `json:"head"`
}

// API is the running HTTP side.
type API struct {
	Config
	app     *fiber.App
	hub     *hub
	views   views
	backing sync.Mutex // one backup at a time
	// exporting is held while the audit is written: one at a time.
	exporting sync.Mutex
	rates     *rates
	renewals  renewals
}

// Limits of one server. They are far above what a theatre needs and below what would hurt.
const (
	maxRead        = 4 << 20 // up to here a request of an enrolled device is read to its end: one that is cut off never sees why
	maxDepth       = 64      // of nested JSON
	maxEdits       = 100     // in one push
	maxConnections = 1024
	maxStreams     = 256
	maxStreamsEach = 8 // of one device: its tabs
	readTimeout    = 15 * time.Second
	retrySoon      = 2 * time.Second
	idleTimeout    = 75 * time.Second
)

// New builds the API. Serve starts it.
func New(c Config) *API {
	a := &API{Config: c, hub: newHub(maxStreams, maxStreamsEach)}
	if !c.Unhurried {
		a.rates = newRates(time.Now, allowances)
	}
	a.app = fiber.New(fiber.Config{
		AppName:               "Sideport",
		DisableStartupMessage: true,
		Immutable:             true, // handlers copy as well: some of the framework's own paths have not kept this promise
		BodyLimit:             maxRead,
		Concurrency:           maxConnections + maxConnections/8, // who is shown out takes a moment to leave
		ReadTimeout:           readTimeout,
		IdleTimeout:           idleTimeout,
		// No WriteTimeout: it would cut a live stream after that time however busy it is.
		StrictRouting:           true,
		CaseSensitive:           true,
		EnableTrustedProxyCheck: true, // and none is trusted by the framework: a.from reads the header
		ErrorHandler:            a.fail,
	})
	a.app.Server().HeaderReceived = a.beforeBody
	a.app.Use(a.logged, recover.New(), a.headers, a.ownDoor, a.sameOrigin)
	a.routes()
	return a
}

// Serve answers requests on the listener until Close.
func (a *API) Serve(l net.Listener) error {
	l = newPorter(l, maxConnections)
	if a.TLS != nil {
		l = tls.NewListener(l, a.TLS)
	}
	if err := a.app.Listener(l); err != nil {
		return fmt.Errorf("serve: %w", err)
	}
	return nil
}

// Close ends the live streams, then lets the other requests finish within the
// time of the context. Live streams first: they would never finish by themselves.
func (a *API) Close(ctx context.Context) error {
	a.hub.close()
	if err := a.app.ShutdownWithContext(ctx); err != nil && !errors.Is(err, net.ErrClosed) {
		return fmt.Errorf("shut down: %w", err)
	}
	return nil
}

// protocol is the edition of the interface. Append only.
const protocol = 1

// send answers with JSON that is never cached.
func send(c *fiber.Ctx, v any) error {
	b, err := edits.Encode(v)
	if err != nil {
		return err
	}
	return sendJSON(c, b)
}

func sendJSON(c *fiber.Ctx, b []byte) error {
	c.Set(fiber.HeaderContentType, "application/json; charset=utf-8")
	c.Set(fiber.HeaderCacheControl, "no-store")
	return c.Send(b)
}

// packFrom is the size from which compressing is worth its time.
const packFrom = 1 << 10

// sendPacked is sendJSON for what may be large: a mirror is text that repeats itself and shrinks about tenfold.
func sendPacked(c *fiber.Ctx, b []byte) error {
	c.Set(fiber.HeaderVary, fiber.HeaderAcceptEncoding)
	if len(b) < packFrom || !takes(c.Get(fiber.HeaderAcceptEncoding), "gzip") {
		return sendJSON(c, b)
	}
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	_, err := w.Write(b)
	if err := errors.Join(err, w.Close()); err != nil {
		return fmt.Errorf("compress: %w", err)
	}
	c.Set(fiber.HeaderContentEncoding, "gzip")
	return sendJSON(c, packed.Bytes())
}

// document is a document as it is sent: with the view of a card.
type document struct {
	edits.Document
	View json.RawMessage `json:"view,omitempty"`
}
