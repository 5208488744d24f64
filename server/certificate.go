package main

import (
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"sync"
	"time"
)

// certificate is the pair of files that the server shows who it is with. It is
// read again when a file changes, so that whoever renews it need not restart
// the server during a list.
type certificate struct {
	cert, key string
	now       func() time.Time
	log       *slog.Logger

	mu      sync.Mutex
	pair    *tls.Certificate
	stamp   string    // of the files that pair was read from, or could not be read from
	looked  time.Time // when the files were last looked at
	endsOn  time.Time
	refused string // the last reason why the files were not taken
}

// lookAgain is how often the files are looked at, at most.
const lookAgain = time.Second

func readCertificate(cert, key string, now func() time.Time, log *slog.Logger) (*certificate, error) {
	c := &certificate{cert: cert, key: key, now: now, log: log}
	return c, c.read()
}

// config speaks TLS 1.2 and 1.3 with the suites that Go holds for safe.
func (c *certificate) config() *tls.Config {
	return &tls.Config{MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"},
		GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return c.newest() }}
}

// newest returns the pair of the files, or the one before where the files cannot be read: perhaps somebody is writing them.
func (c *certificate) newest() (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if now := c.now(); now.Sub(c.looked) >= lookAgain {
		c.looked = now
		if stamp := c.stampOf(); stamp != c.stamp {
			c.renewLocked(stamp)
		}
	}
	return c.pair, nil
}

func (c *certificate) renewLocked(stamp string) {
	if err := c.readLocked(); err != nil {
		if c.refused != err.Error() {
			c.refused = err.Error()
			c.log.Error("the certificate was not taken, the one before is used", slog.String("error", err.Error()))
		}
		return
	}
	c.stamp, c.refused = stamp, ""
	c.log.Info("certificate read", slog.Time("ends", c.endsOn))
}

func (c *certificate) read() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.stamp = c.stampOf()
	return c.readLocked()
}

func (c *certificate) readLocked() error {
	pair, err := tls.LoadX509KeyPair(c.cert, c.key)
	switch {
	case errors.Is(err, os.ErrNotExist), errors.Is(err, os.ErrPermission):
		return fmt.Errorf("cannot read the certificate %s or its key %s: check -tls-cert and -tls-key", c.cert, c.key)
	case err != nil:
		return fmt.Errorf("%s and %s are not a certificate and its key in PEM: check -tls-cert and -tls-key", c.cert, c.key)
	}
	leaf, err := x509.ParseCertificate(pair.Certificate[0])
	if err != nil {
		return fmt.Errorf("%s is not a certificate: check -tls-cert", c.cert)
	}
	c.pair, c.endsOn = &pair, leaf.NotAfter
	return nil
}

// stampOf tells one state of the files from another.
func (c *certificate) stampOf() string {
	stamp := ""
	for _, name := range []string{c.cert, c.key} {
		if info, err := os.Stat(name); err == nil {
			stamp += fmt.Sprintf("%d %d ", info.Size(), info.ModTime().UnixNano())
		}
	}
	return stamp
}

// soon is how long before its end a certificate is spoken of.
const soon = 30 * 24 * time.Hour

// warn says when the certificate ends soon: devices refuse the server on that day.
func (c *certificate) warn() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if left := c.endsOn.Sub(c.now()); left < soon {
		c.log.Warn("the certificate ends soon", slog.Time("ends", c.endsOn), slog.Int("days", int(left/(24*time.Hour))))
	}
}
