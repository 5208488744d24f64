package e2e

import (
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
)

// line is the way between tablets and the server. It passes everything on
// until a fault is put on it; the faults are what networks do.
type line struct {
	*server // as tablets see it: url() leads here
	behind  *server
	pass    http.Handler

	mu    sync.Mutex
	fault fault
	met   int // requests that met the fault
}

// fault answers a request in the server's place and reports true, or lets it pass.
type fault func(l *line, w http.ResponseWriter, r *http.Request) bool

func newLine(t testing.TB, behind *server) *line {
	t.Helper()
	to := &url.URL{Scheme: "http", Host: behind.addr}
	proxy := &httputil.ReverseProxy{
		// The host stays as the tablet wrote it: the server compares it with the origin.
		Rewrite:       func(r *httputil.ProxyRequest) { r.SetURL(to); r.Out.Host = r.In.Host },
		FlushInterval: -1, // the live stream is passed on as it comes
		ErrorHandler:  func(w http.ResponseWriter, _ *http.Request, _ error) { hangUp(w, nil) },
	}
	l := &line{behind: behind, pass: proxy}
	listening := httptest.NewServer(l)
	l.server = &server{t: t, addr: listening.Listener.Addr().String(), through: behind}
	t.Cleanup(func() {
		listening.CloseClientConnections()
		listening.Config.Close() // also what a fault still holds
	})
	return l
}

func (l *line) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	// The whole request first: a connection whose request is unread does not tell that its tablet hung up.
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return
	}
	r.Body = io.NopCloser(bytes.NewReader(body))
	l.mu.Lock()
	f := l.fault
	l.mu.Unlock()
	if f != nil && f(l, w, r) {
		l.mu.Lock()
		l.met++
		l.mu.Unlock()
		return
	}
	l.pass.ServeHTTP(w, r)
}

// puts puts a fault on the line; nil takes it off.
func (l *line) puts(f fault) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.fault, l.met = f, 0
}

// wasMet waits until a request met the fault: without that a row would have tried nothing.
func (l *line) wasMet() {
	l.behind.t.Helper()
	eventually(l.behind.t, "a request meets the fault on the line", func() error {
		l.mu.Lock()
		defer l.mu.Unlock()
		if l.met == 0 {
			return fmt.Errorf("none did")
		}
		return nil
	})
}

// only puts a fault on the requests of one method and path.
func only(method, path string, f fault) fault {
	return func(l *line, w http.ResponseWriter, r *http.Request) bool {
		return r.Method == method && r.URL.Path == path && f(l, w, r)
	}
}

func sending(f fault) fault { return only(http.MethodPost, "/api/v1/edits", f) }

// first is the first of the faults that takes a request.
func first(faults ...fault) fault {
	return func(l *line, w http.ResponseWriter, r *http.Request) bool {
		return slices.ContainsFunc(faults, func(f fault) bool { return f(l, w, r) })
	}
}

// hangUp writes the bytes and breaks the connection.
func hangUp(w http.ResponseWriter, first []byte) {
	conn, _, err := w.(http.Hijacker).Hijack()
	if err != nil {
		return // the tablet was quicker
	}
	_, _ = conn.Write(first) // who hangs up does not mind
	if c, ok := conn.(*net.TCPConn); ok && len(first) == 0 {
		_ = c.SetLinger(0) // a reset; after bytes an ordinary end, so that they arrive
	}
	_ = conn.Close()
}

// away is a network that leads nowhere.
func away(_ *line, w http.ResponseWriter, _ *http.Request) bool {
	hangUp(w, nil)
	return true
}

// silent takes the request and never answers, until the tablet gives up.
func silent(_ *line, _ http.ResponseWriter, r *http.Request) bool {
	<-r.Context().Done()
	return true
}

// cut lets the server do its work, then passes on the share of its reply, headers included, and breaks the connection.
func cut(share float64) fault {
	return func(l *line, w http.ResponseWriter, r *http.Request) bool {
		reply := httptest.NewRecorder()
		l.pass.ServeHTTP(reply, r)
		result := reply.Result()
		result.ContentLength = int64(reply.Body.Len())
		whole, err := httputil.DumpResponse(result, true)
		if err != nil {
			l.behind.t.Errorf("take the reply apart: %v", err)
		}
		hangUp(w, whole[:int(share*float64(len(whole)))])
		return true
	}
}

// says is a machine on the way that answers everything itself.
func says(status int, headers map[string]string, body string) fault {
	return func(_ *line, w http.ResponseWriter, _ *http.Request) bool {
		for name, value := range headers {
			w.Header().Set(name, value)
		}
		w.WriteHeader(status)
		_, _ = io.WriteString(w, body) // a tablet that gave up does not mind
		return true
	}
}

const guests = "Welcome, guest. Accept the terms to use this network."

// signIn is a sign-in page that answers everything with 200.
func signIn() fault {
	page := "<!doctype html><title>Guests</title><h1>" + guests + "</h1>"
	return says(http.StatusOK, map[string]string{"Content-Type": "text/html; charset=utf-8"}, page)
}

// isForeign reports whether words of the sign-in page stand in a text.
func isForeign(text string) bool { return strings.Contains(text, "Welcome, guest") }
