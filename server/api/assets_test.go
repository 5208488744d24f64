package api_test

import (
	"testing"
)

func TestEveryAnswerCarriesTheHeaders(t *testing.T) {
	s := start(t)
	for _, path := range []string{"/", "/api/v1/health", "/api/v1/nothing", "/assets/none.js"} {
		h := s.get(path).header
		for name, want := range map[string]string{
			"Content-Security-Policy": "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob: data:; " +
				"font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; " +
				"frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types sideport",
			"X-Content-Type-Options":       "nosniff",
			"Referrer-Policy":              "no-referrer",
			"Cross-Origin-Opener-Policy":   "same-origin",
			"Cross-Origin-Resource-Policy": "same-origin",
		} {
			if h.Get(name) != want {
				t.Errorf("%s: %s is %q", path, name, h.Get(name))
			}
		}
		if h.Get("Permissions-Policy") == "" {
			t.Errorf("%s: no Permissions-Policy", path)
		}
	}
}

func TestClientIsServedInTheFormTheBrowserTakes(t *testing.T) {
	s := start(t)
	for _, c := range []struct{ path, accept, body, coding, tag, cache string }{
		{"/", "gzip, deflate, br, zstd", "page in br", "br", `"page-br"`, "no-cache"},
		{"/", "gzip", "page in gzip", "gzip", `"page-gzip"`, "no-cache"},
		{"/", "br;q=0, gzip;q=0.5", "page in gzip", "gzip", `"page-gzip"`, "no-cache"},
		{"/", "identity", "<!doctype html>page", "", `"page"`, "no-cache"},
		{"/cards/anna-chop/history", "", "<!doctype html>page", "", `"page"`, "no-cache"},
		{"/sw.js", "br", "worker", "", `"worker"`, "no-cache"},
		{"/assets/app-0a1b.js", "br", "script", "", `"script"`, "public, max-age=31536000, immutable"},
	} {
		got := s.get(c.path, "Accept-Encoding", c.accept)
		if got.status != 200 || string(got.body) != c.body || got.header.Get("Content-Encoding") != c.coding || got.header.Get("ETag") != c.tag ||
			got.header.Get("Cache-Control") != c.cache || got.header.Get("Vary") != "Accept-Encoding" {
			t.Errorf("%s for %q: %d %q %v", c.path, c.accept, got.status, got.body, got.header)
		}
		for _, known := range []string{c.tag, "W/" + c.tag, `"other", ` + c.tag, "*"} {
			if again := s.get(c.path, "Accept-Encoding", c.accept, "If-None-Match", known); again.status != 304 || len(again.body) != 0 {
				t.Errorf("%s known as %s: %d %q", c.path, known, again.status, again.body)
			}
		}
		if other := s.get(c.path, "Accept-Encoding", c.accept, "If-None-Match", `"old"`); other.status != 200 {
			t.Errorf("%s known in an old form: %d", c.path, other.status)
		}
	}
}
