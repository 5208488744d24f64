package api_test

import (
	"bytes"
	"compress/gzip"
	"net/http"
	"strings"
	"testing"

	"sideport/server/edits"
	"sideport/server/store/storetest"
)

func TestBadRequestsAreRefusedAndNothingIsTaken(t *testing.T) {
	s := start(t)
	good := s.edit(1, edits.Card, "anna-chop", 0, storetest.Card())
	noID := good
	noID.ID = ""
	program := good
	program.Device = edits.ServerDevice
	many := make([]edits.Edit, 101)
	for i := range many {
		many[i] = s.edit(i+1, edits.Person, "cara", 0, cara())
	}
	for _, c := range []struct {
		name, body string
		status     int
		code       string
	}{
		{"empty", "", 400, "bad request"},
		{"not JSON", "hello", 400, "bad request"},
		{"cut short", s.pushBody(good)[:40], 400, "bad request"},
		{"something behind", s.pushBody(good) + "{}", 400, "bad request"},
		{"unknown field", strings.Replace(s.pushBody(good), `"protocol"`, `"colour":1,"protocol"`, 1), 400, "bad request"},
		{"unknown field of an edit", strings.Replace(s.pushBody(good), `"kind"`, `"colour":1,"kind"`, 1), 400, "bad request"},
		{"another protocol", strings.Replace(s.pushBody(good), `"protocol":1`, `"protocol":2`, 1), 400, "bad request"},
		{"no device", strings.Replace(s.pushBody(good), `"device":"`+string(s.id)+`","edits"`, `"device":"x","edits"`, 1), 400, "bad request"},
		{"no edits", s.pushBody(), 400, "bad request"},
		{"a second edit without an id", s.pushBody(good, noID), 400, "bad request"},
		{"the server's own device", s.pushBody(program), 400, "bad request"},
		{"too many", s.pushBody(many...), 400, "bad request"},
		{"wrong kind of value", strings.Replace(s.pushBody(good), `"parent":0`, `"parent":"0"`, 1), 400, "bad request"},
		{"nested too deep", `{"protocol":1,"device":` + strings.Repeat("[", 65) + strings.Repeat("]", 65) + "}", 400, "bad request"},
		{"not UTF-8", "{\"protocol\":1,\"device\":\"\xff\"}", 400, "bad request"},
		{"too large", strings.Repeat(" ", 2<<20+1), 413, "too large"},
	} {
		got := s.do(http.MethodPost, "/api/v1/edits", c.body)
		if got.status != c.status || got.code() != c.code {
			t.Errorf("%s: %d %q, want %d %q: %s", c.name, got.status, got.code(), c.status, c.code, got.body)
		}
		if csp := got.header.Get("Content-Security-Policy"); csp == "" {
			t.Errorf("%s: a refusal without the headers every answer carries", c.name)
		}
	}
	if info, err := s.store.Info(); err != nil || info.Seq != begun {
		t.Errorf("something was taken: %+v, %v", info, err)
	}
}

// A body that unpacks to a thousand times its size would take the machine's memory.
func TestCompressedRequestsAreRefused(t *testing.T) {
	s := start(t)
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	if _, err := w.Write([]byte(s.pushBody(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card())))); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/api/v1/edits", "/api/v1/generate", "/api/v1/backup"} {
		for _, coding := range []string{"gzip", "GZIP", "br", "deflate", "gzip, gzip"} {
			got := s.do(http.MethodPost, path, packed.String(), "Content-Encoding", coding)
			if got.code() != "bad request" || !strings.Contains(string(got.body), "compressed") {
				t.Errorf("%s in %s: %d %s", path, coding, got.status, got.body)
			}
		}
	}
	if info, err := s.store.Info(); err != nil || info.Seq != begun {
		t.Errorf("something was taken: %+v, %v", info, err)
	}
}

func TestOtherSitesCannotPost(t *testing.T) {
	s := start(t)
	body := s.pushBody(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()))
	for name, headers := range map[string][]string{
		"without the header":  {"Sideport-Request", ""},
		"header of a form":    {"Content-Type", "text/plain"},
		"no content type":     {"Content-Type", ""},
		"from another origin": {"Origin", "https://example.org"},
		"from an opaque one":  {"Origin", "null"},
		"from another port":   {"Origin", "http://127.0.0.1:1"},
		"fetched cross-site":  {"Sec-Fetch-Site", "cross-site"},
		"fetched same-site":   {"Sec-Fetch-Site", "same-site"},
		"under another name":  {"Host", "cards.example.org"},
		"under a rebound one": {"Host", "127.0.0.1.example.org"},
	} {
		if got := s.do(http.MethodPost, "/api/v1/edits", body, headers...); got.status != 400 || got.code() != "bad request" {
			t.Errorf("%s: %d %s", name, got.status, got.body)
		}
	}
	if got := s.do(http.MethodPut, "/api/v1/edits", body); got.code() != "bad request" {
		t.Errorf("PUT: %d %s", got.status, got.body)
	}
	if info, err := s.store.Info(); err != nil || info.Seq != begun {
		t.Fatalf("something was taken: %+v, %v", info, err)
	}
	own := s.do(http.MethodPost, "/api/v1/edits", body, "Origin", s.url, "Sec-Fetch-Site", "same-origin")
	if own.status != 200 {
		t.Errorf("our own page: %d %s", own.status, own.body)
	}
}

func TestReadingUnderAForeignNameIsRefused(t *testing.T) {
	s := start(t)
	for host, status := range map[string]int{"localhost:99": 200, "127.0.0.1": 200, "[::1]:8080": 200, "LOCALHOST": 200, "evil.example.org": 400, "": 200} {
		if got := s.get("/api/v1/snapshot", "Host", host); got.status != status {
			t.Errorf("host %q: %d, want %d", host, got.status, status)
		}
	}
}

func TestNotFoundAndBadQuestions(t *testing.T) {
	s := start(t)
	for path, code := range map[string]string{
		"/api/v1/nothing":                         "not found",
		"/api/v2/snapshot":                        "not found",
		"/api":                                    "not found",
		"/api/v1/docs/card/none/revisions/1":      "not found",
		"/api/v1/docs/card/none/revisions/0":      "bad request",
		"/api/v1/docs/card/none/revisions/x":      "bad request",
		"/api/v1/edits/00":                        "not found",
		"/api/v1/changes?after=-1":                "bad request",
		since(1):                                  "bad request",
		"/api/v1/changes?after=99999999999999999": "bad request",
		"/api/v1/set-aside?after=x":               "bad request",
		"/assets/none.js":                         "not found",
	} {
		if got := s.get(path); got.code() != code {
			t.Errorf("%s: %d %s, want %q", path, got.status, got.body, code)
		}
	}
}

func TestSameIDOtherContentsIsRefused(t *testing.T) {
	s := start(t)
	s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()))
	other := storetest.Card()
	other.Title = "Another"
	got := s.do(http.MethodPost, "/api/v1/edits", s.pushBody(s.edit(1, edits.Card, "anna-chop", 0, other)))
	if got.code() != "bad request" {
		t.Errorf("%d %s", got.status, got.body)
	}
}
