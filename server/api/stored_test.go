package api_test

import "testing"

// What the API answers belongs to one device and is out of date at once, so no
// browser and no proxy keeps it (RFC 9111, section 5.2.2.5).
func TestEveryAnswerOfTheAPIIsStoredNowhere(t *testing.T) {
	s := start(t)
	lead := s.enrol("Office").signIn("anna")
	for _, path := range []string{"/healthz", "/api/v1/health", "/api/v1/snapshot", "/api/v1/changes?after=0", "/api/v1/set-aside", "/api/v1/me",
		"/api/v1/devices", "/api/v1/accounts", "/api/v1/audit", "/api/v1/audit.ndjson", "/api/v1/nothing", "/api/v1/edits/00"} {
		for name, c := range map[string]*client{"a lead": lead, "a stranger": s.stranger()} {
			if got := c.get(path); got.header.Get("Cache-Control") != "no-store" {
				t.Errorf("%s of %s: %d with Cache-Control %q", path, name, got.status, got.header.Get("Cache-Control"))
			}
		}
	}
	if got := lead.post("/api/v1/sign-in", map[string]string{"person": "anna", "pin": "000000"}); got.header.Get("Cache-Control") != "no-store" {
		t.Errorf("a sign-in: %d %v", got.status, got.header)
	}
}
