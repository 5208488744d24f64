package api_test

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"
)

// raw sends bytes as they are and returns everything that comes back.
func (s *server) raw(text string) string {
	s.t.Helper()
	c, err := net.Dial("tcp", strings.TrimPrefix(s.url, "http://"))
	if err != nil {
		s.t.Fatal(err)
	}
	defer c.Close()
	if err := c.SetDeadline(time.Now().Add(10 * time.Second)); err != nil {
		s.t.Fatal(err)
	}
	if _, err := io.WriteString(c, text); err != nil {
		s.t.Fatal(err)
	}
	if err := c.(*net.TCPConn).CloseWrite(); err != nil {
		s.t.Fatal(err)
	}
	b, err := io.ReadAll(bufio.NewReader(c))
	if err != nil && len(b) == 0 {
		return ""
	}
	return string(b)
}

// Nothing outside the client's own files is ever served, however the way to it is written.
func TestPathsDoNotLeaveTheClient(t *testing.T) {
	s := start(t)
	for _, path := range []string{"/../go.mod", "/..%2f..%2fgo.mod", "/%2e%2e/%2e%2e/etc/passwd", "/assets/../../go.mod", "/assets/..%5c..%5cgo.mod", "//etc/passwd", "/.git/config",
		"/sideport.db", "/data/sideport.db", "/operator", "/data/operator", "/backups/monday.db", "/%00.js", "/sw.js%00.html"} {
		for _, c := range []*client{s.stranger(), s.client} {
			got := s.raw("GET " + path + " HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: " + c.cookieHeader() + "\r\nConnection: close\r\n\r\n")
			page := strings.HasSuffix(got, "<!doctype html>page") // every address without an extension is a screen
			if !page && !strings.HasPrefix(got, "HTTP/1.1 404") && !strings.HasPrefix(got, "HTTP/1.1 400") {
				t.Errorf("%s: %s", path, got)
			}
		}
	}
	for _, path := range []string{"/api/v1/docs/card/..%2f..%2funit/revisions/1", "/api/v1/docs/../snapshot/x/revisions/1", "/api/v1/edits/..%2fsnapshot", "/api/v1/../../healthz/x"} {
		if got := s.stranger().get(path); got.status == 200 && strings.HasPrefix(string(got.body), "{") {
			t.Errorf("%s of a stranger: %d %s", path, got.status, got.body)
		}
	}
	// A slash more or less, capital letters or an escaped letter do not lead past a rule.
	for _, path := range []string{"/api/v1/snapshot/", "//api/v1/snapshot", "/API/v1/snapshot", "/api//v1/snapshot", "/api/v1/%73napshot", "/api/v1/./snapshot", "/api/v1/snapshot%2f", "/api/v1/snapshot?x=1", "/api/v1;x/snapshot"} {
		got := s.raw("GET " + path + " HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")
		if strings.Contains(got, `"docs"`) || strings.Contains(got, "Anna") {
			t.Errorf("%s of a stranger: %s", path, got)
		}
	}
}

func TestNobodyWritesIntoTheHeaders(t *testing.T) {
	s := start(t)
	for _, path := range []string{"/api/v1/health?nonce=a%0d%0aSet-Cookie:%20sideport-person=x", "/%0d%0aSet-Cookie:%20sideport-person=x", "/api/v1/nothing%0aX-Injected:1"} {
		got := s.stranger().get(path)
		if got.header.Get("Set-Cookie") != "" || got.header.Get("X-Injected") != "" {
			t.Errorf("%s: %v", path, got.header)
		}
	}
	for _, name := range []string{"a\r\nSet-Cookie: x=1", "a\nb", "a\x00b", "a\u2028b\x85"} {
		got := s.post("/api/v1/devices/code", map[string]any{"name": name, "shared": false})
		if got.code() != "bad request" || got.header.Get("X-Injected") != "" {
			t.Errorf("a device called %q: %d %s", name, got.status, got.body)
		}
	}
	// A cookie that holds what no credential holds is nobody's.
	for _, value := range []string{"a\"b", "%0d%0a", "../../x", strings.Repeat("x", 3000), "\xff\xfe"} {
		c := s.stranger()
		c.cookies["sideport-device"] = value
		if got := c.get("/api/v1/snapshot"); got.code() != "not enrolled" && got.status != 400 && got.status != 431 {
			t.Errorf("cookie %.20q: %d %s", value, got.status, got.body)
		}
	}
}

// RFC 9112, section 6.1: a message with both Content-Length and
// Transfer-Encoding may be an attempt to put a second request into the first.
func TestNoRequestHidesInAnother(t *testing.T) {
	s := start(t)
	hidden := "GET /api/v1/health?nonce=hidden HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
	for name, head := range map[string]string{
		"both lengths":      fmt.Sprintf("Content-Length: %d\r\nTransfer-Encoding: chunked\r\n", len(hidden)+5),
		"two lengths":       "Content-Length: 0\r\nContent-Length: 5\r\n",
		"an odd encoding":   "Transfer-Encoding: xchunked\r\nContent-Length: 5\r\n",
		"encoding twice":    "Transfer-Encoding: chunked\r\nTransfer-Encoding: identity\r\n",
		"a space before it": "Content-Length : 0\r\n",
	} {
		got := s.raw("POST /api/v1/enrol HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nSideport-Request: 1\r\n" + head + "\r\n0\r\n\r\n" + hidden)
		if strings.Contains(got, `"nonce":"hidden"`) && !strings.HasPrefix(got, "HTTP/1.1 4") {
			t.Errorf("%s: %s", name, got)
		}
		if strings.Count(got, "HTTP/1.1 ") > 1 && strings.Contains(got, `"nonce":"hidden"`) {
			t.Errorf("%s: the hidden request was answered: %s", name, got)
		}
	}
}

// Somebody who sends one byte now and then holds a connection, and nothing else.
func TestSlowRequestHoldsNobodyUp(t *testing.T) {
	s := start(t)
	c, err := net.Dial("tcp", strings.TrimPrefix(s.url, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if _, err := io.WriteString(c, "POST /api/v1/enrol HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 100\r\n\r\n{"); err != nil {
		t.Fatal(err)
	}
	if got := s.get("/api/v1/snapshot"); got.status != http.StatusOK {
		t.Errorf("meanwhile: %d %s", got.status, got.body)
	}
}
