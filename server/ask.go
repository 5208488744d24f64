package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"flag"
	"net"
	"net/http"
	"os"
	"strings"
	"time"
)

// asked is the running server as a command on the same machine reaches it.
type asked struct{ addr, origin, cert string }

// askFlags defines the flags that name a running server.
func askFlags(fs *flag.FlagSet, purpose string) *asked {
	s := &asked{}
	fs.StringVar(&s.addr, "addr", "127.0.0.1:8080", "`ADDRESS` of the server"+purpose)
	fs.StringVar(&s.origin, "origin", "", "the server's -origin, `https://NAME`, where it speaks TLS itself")
	fs.StringVar(&s.cert, "tls-cert", "", "the server's certificate `FILE`, where this machine does not trust it anyway")
	return s
}

// base is what every address of the server begins with.
func (s asked) base() string {
	if s.origin != "" {
		return s.origin
	}
	return "http://" + s.addr
}

// client speaks to the address, whatever the name in the origin stands for elsewhere.
func (s asked) client(limit time.Duration) (*http.Client, error) {
	if s.origin == "" {
		return &http.Client{Timeout: limit}, nil
	}
	if !isOrigin(s.origin) {
		return nil, misused("-origin %q is not an origin: write it like https://cards.example.org", s.origin)
	}
	roots, err := x509.SystemCertPool()
	if err != nil {
		roots = x509.NewCertPool()
	}
	if s.cert != "" {
		pem, err := os.ReadFile(s.cert)
		if err != nil || !roots.AppendCertsFromPEM(pem) {
			return nil, misused("%s is not a certificate that can be read: check -tls-cert", s.cert)
		}
	}
	dial := func(ctx context.Context, network, _ string) (net.Conn, error) {
		return (&net.Dialer{}).DialContext(ctx, network, s.addr)
	}
	return &http.Client{Timeout: limit, Transport: &http.Transport{DialContext: dial, TLSClientConfig: &tls.Config{RootCAs: roots, MinVersion: tls.VersionTLS12}}}, nil
}

// at names the server in messages.
func (s asked) at() string {
	if s.origin == "" {
		return s.addr
	}
	return s.addr + " (" + strings.TrimPrefix(s.origin, "https://") + ")"
}
