package api_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"sideport/server/api"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store"
)

// rules says who may use each route, a second time: a rule that changes in the
// table has to be changed here as well, by somebody who thinks about it.
var rules = map[string]string{
	"GET /healthz":         "open",
	"GET /api/v1/health":   "open",
	"POST /api/v1/setup":   "open",
	"POST /api/v1/enrol":   "open",
	"GET /*":               "open",
	"USE /api":             "open",
	"GET /api/v1/snapshot": "device",
	"GET /api/v1/changes":  "device",
	"GET /api/v1/docs/:kind/:id/revisions/:rev": "device",
	"GET /api/v1/edits/:id":                     "device",
	"GET /api/v1/set-aside":                     "device",
	"GET /api/v1/live":                          "device",
	"GET /api/v1/me":                            "device",
	"POST /api/v1/generate":                     "device",
	"POST /api/v1/sign-in":                      "device",
	"POST /api/v1/edits":                        "revoked",
	"POST /api/v1/sign-out":                     "session",
	"POST /api/v1/keys":                         "session",
	"GET /api/v1/devices":                       "lead",
	"POST /api/v1/devices/code":                 "lead",
	"POST /api/v1/devices/:id/revoke":           "lead",
	"GET /api/v1/accounts":                      "lead",
	"POST /api/v1/accounts/:person/pin":         "lead",
	"POST /api/v1/accounts/:person/bar":         "lead",
	"GET /api/v1/audit":                         "lead",
	"GET /api/v1/audit.ndjson":                  "lead",
	"POST /api/v1/backup":                       "operator",
	"POST /api/v1/passkeys/ask":                 "device",
	"POST /api/v1/passkeys/sign-in":             "device",
	"POST /api/v1/passkeys/begin":               "session",
	"POST /api/v1/passkeys":                     "session",
	"POST /api/v1/sso":                          "device",
	"GET /api/v1/sso/return":                    "open",
	"POST /api/v1/sso/opened":                   "session",
	"POST /api/v1/accounts/:person/proofs":      "lead",
}

func TestEveryRouteHasARule(t *testing.T) {
	s := start(t)
	rows := map[string]bool{}
	for _, r := range api.Rows() {
		name := r.Method + " " + r.Path
		rows[name] = true
		if rules[name] != r.Who {
			t.Errorf("%s is for %q in the table and for %q here", name, r.Who, rules[name])
		}
		if r.Body <= 0 || r.Body > 2<<20 {
			t.Errorf("%s takes bodies of %d bytes", name, r.Body)
		}
	}
	if len(rows) != len(rules) {
		t.Errorf("%d rows in the table, %d here", len(rows), len(rules))
	}
	registered := s.api.Registered()
	if len(registered) < len(rules) {
		t.Fatalf("the framework knows %d routes: they were not seen", len(registered))
	}
	for _, r := range registered {
		method := r.Method
		if method == http.MethodHead {
			method = http.MethodGet
		}
		// What is for every method: the first handlers of all, and the end of /api.
		if r.Path == "/" || r.Path == "/api" && rows["USE /api"] {
			continue
		}
		if !rows[method+" "+r.Path] {
			t.Errorf("the framework answers %s %s, of which the table does not know", r.Method, r.Path)
		}
	}
}

// forking says of one device that it is forked.
type forking struct {
	*people.Doors
	id *edits.DeviceID
}

func (f forking) Device(c people.Credential) (people.Device, error) {
	d, err := f.Doors.Device(c)
	d.Forked = d.Forked || d.ID == *f.id
	return d, err
}

// TestEveryRuleIsEnforced lets everybody try every route.
func TestEveryRuleIsEnforced(t *testing.T) {
	var forked edits.DeviceID
	s := startWith(t, func(s *store.Store) api.Store { return s }, func(c *api.Config) {
		c.Doors = forking{c.Doors.(*people.Doors), &forked}
		c.Unhurried = true
	})
	s.client = s.enrol("Lead").signIn("anna")
	revoked := s.enrol("Revoked").signIn("nora")
	if err := s.doors.Revoke(operator, revoked.id, "lost"); err != nil {
		t.Fatal(err)
	}
	copied := s.enrol("Copied").signIn("ben")
	forked = copied.id
	const pass = ""
	callers := []struct {
		name    string
		client  *client
		headers []string
		want    map[string]string // by rule
	}{
		{"a stranger", s.stranger(), nil, map[string]string{"device": "not enrolled", "session": "not enrolled", "lead": "not enrolled", "operator": "not enrolled", "revoked": "not enrolled"}},
		{"a made-up cookie", &client{s: s, cookies: map[string]string{"sideport-device": strings.Repeat("A", 43), "sideport-person": strings.Repeat("A", 43)}}, nil,
			map[string]string{"device": "not enrolled", "session": "not enrolled", "lead": "not enrolled", "operator": "not enrolled", "revoked": "not enrolled"}},
		{"a revoked device", revoked, nil, map[string]string{"device": "revoked", "session": "revoked", "lead": "revoked", "operator": "revoked", "revoked": pass}},
		{"a forked device", copied, nil, map[string]string{"device": "revoked", "session": "revoked", "lead": "revoked", "operator": "revoked", "revoked": pass}},
		{"a device", s.enrol("Nobody"), nil, map[string]string{"session": "not signed in", "lead": "not signed in", "operator": "not signed in"}},
		{"a reader", s.enrol("Reader").signIn("rita"), nil, map[string]string{"lead": "not allowed", "operator": "not allowed"}},
		{"a scrub nurse", s.enrol("Nurse").signIn("nora"), nil, map[string]string{"lead": "not allowed", "operator": "not allowed"}},
		{"a surgeon", s.enrol("Surgeon").signIn("ben"), nil, map[string]string{"lead": "not allowed", "operator": "not allowed"}},
		{"the operator", s.stranger(), []string{"Sideport-Operator", "word of the operator"},
			map[string]string{"device": "not enrolled", "session": "not enrolled", "lead": "not enrolled", "operator": pass, "revoked": "not enrolled"}},
		{"a wrong word", s.stranger(), []string{"Sideport-Operator", "word"}, map[string]string{"device": "not enrolled", "session": "not enrolled", "lead": "not enrolled", "operator": "not enrolled", "revoked": "not enrolled"}},
		{"the lead", s.client, nil, map[string]string{}},
	}
	guards := []string{"not enrolled", "revoked", "not signed in", "not allowed"}
	rows := api.Rows()
	slices.SortStableFunc(rows, func(a, b api.Row) int { // signing out comes last
		return strings.Compare(a.Path[strings.LastIndex(a.Path, "/"):], b.Path[strings.LastIndex(b.Path, "/"):])
	})
	for _, c := range callers {
		for _, r := range rows {
			if r.Method == "USE" || r.Path == "/api/v1/sign-out" || r.Path == "/api/v1/live" && c.want[r.Who] == pass {
				continue // the first is no route; the other two have tests of their own
			}
			got := c.client.do(r.Method, filled(r.Path), bodyFor(r.Method), c.headers...)
			code := got.code()
			if !slices.Contains(guards, code) {
				code = pass
			}
			if r.Path == "/api/v1/sso/opened" && code == "not signed in" && c.want[r.Who] == pass {
				continue // who is signed in by a PIN has not come back from the single sign-on
			}
			if code != c.want[r.Who] {
				t.Errorf("%s, %s %s (%s): %d %s, want %q", c.name, r.Method, r.Path, r.Who, got.status, got.body, c.want[r.Who])
			}
		}
	}
}

// filled puts something in the place of what stands for anything.
func filled(path string) string {
	return strings.NewReplacer(":kind", "card", ":id", strings.Repeat("0", 31)+"1", ":rev", "1", ":person", "nobody", "/*", "/").Replace(path)
}

func bodyFor(method string) string {
	if method == http.MethodPost {
		return "{}"
	}
	return ""
}

// refusedAs: passkeys and single sign-on are not there at all on a server without a name or a provider.
func refusedAs(r api.Row, got answer, code string) bool {
	off := strings.Contains(r.Path, "/passkeys") || strings.Contains(r.Path, "/sso")
	return got.code() == code || off && got.code() == "not found"
}

// posts are the routes that change something.
func posts() []api.Row {
	return slices.DeleteFunc(api.Rows(), func(r api.Row) bool { return r.Method != http.MethodPost })
}

func TestNoRouteTakesWhatIsTooLargeOrTooDeep(t *testing.T) {
	s := startWith(t, func(s *store.Store) api.Store { return s }, func(c *api.Config) { c.Unhurried = true })
	s.client = s.enrol("Lead").signIn("anna")
	for _, r := range posts() {
		large := `{"x":"` + strings.Repeat("x", r.Body) + `"}`
		if got := s.post(filled(r.Path), large); got.status != 413 || got.code() != "too large" {
			t.Errorf("%s, %d bytes: %d %s", r.Path, len(large), got.status, got.body)
		}
		for _, bad := range []string{`{"x":` + strings.Repeat("[", 65) + strings.Repeat("]", 65) + "}", `{"a field nobody knows":1}`, "{", "\xff", "[]", `{}{}`} {
			if got := s.post(filled(r.Path), bad); !refusedAs(r, got, "bad request") {
				t.Errorf("%s, %.40q: %d %s", r.Path, bad, got.status, got.body)
			}
		}
		if got := s.stranger().post(filled(r.Path), `{"x":"`+strings.Repeat("x", 17<<10)+`"}`); got.status != 413 {
			t.Errorf("%s, 17 KiB of a stranger: %d %s", r.Path, got.status, got.body)
		}
	}
	if info, err := s.store.Info(); err != nil || info.Seq != begun {
		t.Errorf("something was taken: %+v, %v", info, err)
	}
}

func TestNoRouteTakesAPostOfAnotherSite(t *testing.T) {
	s := startWith(t, func(s *store.Store) api.Store { return s }, func(c *api.Config) { c.Unhurried = true })
	s.client = s.enrol("Lead").signIn("anna")
	for _, r := range posts() {
		for _, headers := range [][]string{{"Sideport-Request", ""}, {"Content-Type", "text/plain"}, {"Content-Type", "application/x-www-form-urlencoded"},
			{"Origin", "https://example.org"}, {"Origin", "null"}, {"Origin", "https://" + strings.TrimPrefix(s.url, "http://")}, {"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "none"}, {"Host", "cards.example.org"}} {
			if got := s.post(filled(r.Path), "{}", headers...); got.status != 400 || got.code() != "bad request" || len(got.header["Set-Cookie"]) > 0 {
				t.Errorf("%s with %q: %d %s", r.Path, headers, got.status, got.body)
			}
		}
		if got := s.get(filled(r.Path)); got.status != 404 && r.Path != "/api/v1/edits" {
			t.Errorf("GET %s: %d %s", r.Path, got.status, got.body)
		}
		for _, method := range []string{http.MethodPut, http.MethodDelete, http.MethodPatch, http.MethodOptions, http.MethodTrace, "PROPFIND"} {
			got := s.do(method, filled(r.Path), "")
			if got.status < 400 || got.header.Get("Access-Control-Allow-Origin") != "" {
				t.Errorf("%s %s: %d %s %v", method, r.Path, got.status, got.body, got.header)
			}
		}
	}
	for _, r := range api.Rows() {
		if r.Method == http.MethodGet && strings.HasPrefix(r.Path, "/api") && r.Path != "/api/v1/edits/:id" {
			if got := s.post(filled(r.Path), "{}"); got.status < 400 {
				t.Errorf("POST %s: %d %s", r.Path, got.status, got.body)
			}
		}
	}
}
