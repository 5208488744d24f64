package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"sideport/cards"
	"sideport/server/api"
	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

// who asks the server who it takes the browser for.
func (c *client) who() string {
	c.s.t.Helper()
	var h struct {
		Device *struct{ ID string }
		Person *string
	}
	c.get("/api/v1/health").into(c.s.t, &h)
	switch {
	case h.Device == nil:
		return "nobody's device"
	case h.Person == nil:
		return "nobody"
	}
	return *h.Person
}

func TestCookiesKeepToTheirServer(t *testing.T) {
	s := start(t)
	c := s.enrol("Tablet").signIn("ben")
	for _, a := range c.answers {
		for _, line := range a.header.Values("Set-Cookie") {
			lower := strings.ToLower(line)
			for _, part := range []string{"; path=/", "; httponly", "; samesite=strict"} {
				if !strings.Contains(lower, part) {
					t.Errorf("%q lacks %s", line, part)
				}
			}
			if strings.Contains(lower, "domain=") || strings.Contains(lower, "; secure") {
				t.Errorf("on plain http of this machine: %q", line)
			}
		}
	}
	device := c.answers[0].header.Values("Set-Cookie")[0]
	if want := fmt.Sprintf("max-age=%d", 400*24*3600); !strings.Contains(device, want) {
		t.Errorf("%q lacks %s", device, want)
	}
	person := c.answers[len(c.answers)-1].header.Get("Set-Cookie")
	if want := fmt.Sprintf("max-age=%d", 12*3600); !strings.HasPrefix(person, "sideport-person=") || !strings.Contains(person, want) {
		t.Errorf("%q lacks %s", person, want)
	}
	if len(c.cookies["sideport-device"]) < 43 || len(c.cookies["sideport-person"]) < 43 { // 32 bytes in base64
		t.Errorf("the cookies are guessed too easily: %v", c.cookies)
	}
}

// The server behind a proxy is asked as the proxy asks it.
func behindProxy(t *testing.T) *server {
	t.Helper()
	return startWith(t, func(s *store.Store) api.Store { return s }, func(c *api.Config) {
		c.Origin, c.Proxies = "https://cards.example.org", loopbackAlone
	})
}

func TestBehindAProxy(t *testing.T) {
	s := behindProxy(t)
	code, err := s.doors.NewCode(operator, "Tablet", true)
	if err != nil {
		t.Fatal(err)
	}
	via := []string{"Host", "cards.example.org", "X-Forwarded-For", "192.0.2.7", "X-Forwarded-Proto", "https"}
	c := s.stranger()
	got := c.post("/api/v1/enrol", `{"code":"`+code.Text+`"}`, append(via, "Origin", "https://cards.example.org")...)
	line := strings.ToLower(strings.Join(got.header.Values("Set-Cookie"), "\n"))
	if got.status != 200 || !strings.HasPrefix(line, "__host-sideport-device=") || strings.Count(line, "; secure") != 2 || strings.Contains(line, "domain=") {
		t.Fatalf("enrolled: %d %s %q", got.status, got.body, line)
	}
	if got.header.Get("Strict-Transport-Security") != "max-age=63072000" {
		t.Errorf("HSTS: %v", got.header)
	}
	if got := c.get("/api/v1/snapshot", via...); got.status != 200 {
		t.Errorf("reading: %d %s", got.status, got.body)
	}
	c.cookies = map[string]string{"sideport-device": c.cookies["__Host-sideport-device"]}
	if got := c.get("/api/v1/snapshot", via...); got.code() != "not enrolled" {
		t.Errorf("a cookie without its prefix: %d %s", got.status, got.body)
	}
	for name, headers := range map[string][]string{
		"another name":         {"Host", "127.0.0.1", "X-Forwarded-For", "192.0.2.7", "X-Forwarded-Proto", "https"},
		"another name still":   {"Host", "cards.example.org.evil.example", "X-Forwarded-For", "192.0.2.7"},
		"asked without TLS":    {"Host", "cards.example.org", "X-Forwarded-For", "192.0.2.7", "X-Forwarded-Proto", "http"},
		"a port that is not":   {"Host", "cards.example.org:8443", "X-Forwarded-For", "192.0.2.7"},
		"the header of a page": {"Host", "evil.example", "X-Forwarded-For", "192.0.2.7", "X-Forwarded-Host", "cards.example.org"},
	} {
		if got := c.get("/api/v1/health", headers...); got.code() != "bad request" {
			t.Errorf("%s: %d %s", name, got.status, got.body)
		}
	}
	for _, origin := range []string{"http://cards.example.org", "https://cards.example.org:8443", "https://evil.example", "null"} {
		if got := c.post("/api/v1/enrol", `{"code":"XXXX-XXXX"}`, append(via, "Origin", origin)...); got.code() != "bad request" {
			t.Errorf("from %s: %d %s", origin, got.status, got.body)
		}
	}
	if got := s.stranger().get("/api/v1/health"); got.status != 200 {
		t.Errorf("the health command of this machine: %d %s", got.status, got.body)
	}
	// The operator's word counts for a program of this machine, not for whoever the proxy lets through.
	if got := s.stranger().post("/api/v1/backup", `{"name":"a.db"}`, append(via, "Sideport-Operator", "word of the operator")...); got.code() != "not enrolled" {
		t.Errorf("the operator's word from outside: %d %s", got.status, got.body)
	}
}

// Only what the proxy itself has added counts: the rest anybody can write.
func TestRatesBehindAProxyAreOfTheRealAddress(t *testing.T) {
	s := behindProxy(t)
	guess := func(forwarded string) string {
		return s.stranger().post("/api/v1/enrol", `{"code":"AAAA-AAAA"}`, "Host", "cards.example.org", "X-Forwarded-For", forwarded).code()
	}
	busy := 0
	for n := range 80 {
		if guess(fmt.Sprintf("10.9.8.%d, 192.0.2.7", n)) == "busy" {
			busy++
		}
	}
	if busy == 0 || busy > 20 {
		t.Errorf("of 80 guesses of one address %d were sent away, want those above 60", busy)
	}
	if got := guess("192.0.2.8"); got != "wrong code" {
		t.Errorf("another address: %s", got)
	}
	// A proxy may put its own into a line of its own: the lines are one list (RFC 9110, section 5.3).
	r, err := http.NewRequest(http.MethodPost, s.url+"/api/v1/enrol", strings.NewReader(`{"code":"AAAA-AAAA"}`))
	if err != nil {
		t.Fatal(err)
	}
	r.Host = "cards.example.org"
	r.Header = http.Header{"Content-Type": {"application/json"}, "Sideport-Request": {"1"}, "X-Forwarded-For": {"10.9.8.200", "192.0.2.7"}}
	answer, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		t.Fatal(err)
	}
	_ = answer.Body.Close()
	if answer.StatusCode != http.StatusTooManyRequests {
		t.Errorf("in two lines: %s", answer.Status)
	}
}

// A device that nobody is signed in on, or that was taken off the list, must not fill the disk of the unit.
func TestWhatNobodySignedIsRationed(t *testing.T) {
	s := start(t)
	tablet := s.enrol("Theatre tablet")
	record := func(n int) edits.Edit {
		e := tablet.edit(n, edits.Record, "rec", 0, map[string]any{})
		e.Author = edits.Theatre
		return e
	}
	pushes, took := 0, 0
	for pushes < 8 {
		batch := make([]edits.Edit, 50)
		for i := range batch {
			batch[i] = record(1000*(pushes+1) + i)
		}
		got := tablet.post("/api/v1/edits", tablet.pushBody(batch...))
		pushes++
		switch {
		case got.status == http.StatusOK:
			took++
		case got.code() != "busy" || got.header.Get("Retry-After") == "":
			t.Fatalf("%d %s", got.status, got.body)
		}
	}
	if took != 6 {
		t.Errorf("%d of 8 pushes of 50 were taken, want the 6 that make 300", took)
	}
	if err := s.doors.Revoke(operator, tablet.id, "lost"); err != nil {
		t.Fatal(err)
	}
	late := 0
	for n := range 40 {
		if got := tablet.post("/api/v1/edits", tablet.pushBody(tablet.edit(900_000+n, edits.Card, "anna-chop", 0, storetest.Card()))); got.status == http.StatusOK {
			late++
		}
	}
	if late != 30 {
		t.Errorf("%d late pushes of a revoked device were taken, want 30 at once", late)
	}
}

func TestNobodyBringsASessionAlong(t *testing.T) {
	s := start(t)
	c := s.enrol("Tablet")
	planted := strings.Repeat("p", 43)
	c.cookies["sideport-person"] = planted
	if got := c.who(); got != "nobody" {
		t.Errorf("a planted session is %s", got)
	}
	c.signIn("ben")
	first := c.cookies["sideport-person"]
	if first == planted || c.who() != "ben" {
		t.Fatalf("signed in with %q as %s", first, c.who())
	}
	c.signIn("nora")
	if c.cookies["sideport-person"] == first || c.who() != "nora" {
		t.Fatalf("the next person has the session of the one before, as %s", c.who())
	}
	c.cookies["sideport-person"] = first
	if got := c.who(); got != "nobody" {
		t.Errorf("the session before still counts, for %s", got)
	}
	// Two cookies of one name: one of them was put there by somebody else.
	c.signIn("nora")
	twice := c.get("/api/v1/health", "Cookie", c.cookieHeader()+"; sideport-person="+planted)
	if strings.Contains(string(twice.body), `"person":"nora"`) {
		t.Errorf("two sessions at once: %s", twice.body)
	}
	// Enrolling again makes another device of it, on which nobody is.
	code, err := s.doors.NewCode(operator, "Again", true)
	if err != nil {
		t.Fatal(err)
	}
	kept := c.cookies["sideport-person"]
	c.post("/api/v1/enrol", map[string]string{"code": code.Text})
	if c.cookies["sideport-person"] = kept; c.who() != "nobody" {
		t.Errorf("the session of the device before counts on the new one, for %s", c.who())
	}
}

func TestSessionIsOfOneDevice(t *testing.T) {
	s := start(t)
	a, b := s.enrol("One").signIn("ben"), s.enrol("Other")
	b.cookies["sideport-person"] = a.cookies["sideport-person"]
	if got := b.who(); got != "nobody" {
		t.Errorf("a session carried to another device is %s's", got)
	}
	if got := b.post("/api/v1/sign-out", "{}"); got.code() != "not signed in" {
		t.Errorf("signing out somebody elsewhere: %d %s", got.status, got.body)
	}
	if got := a.who(); got != "ben" {
		t.Errorf("the first device is left with %s", got)
	}
}

// TestSessionEnds replays a cookie after everything that ends it.
func TestSessionEnds(t *testing.T) {
	for name, end := range map[string]func(s *server, c *client){
		"signing out": func(s *server, c *client) { c.post("/api/v1/sign-out", "{}") },
		"another PIN": func(s *server, c *client) { s.post("/api/v1/accounts/ben/pin", "{}") },
		"barring": func(s *server, c *client) {
			s.post("/api/v1/accounts/ben/bar", `{"barred":true,"reason":"left the unit"}`)
		},
		"revoking": func(s *server, c *client) {
			s.post("/api/v1/devices/"+string(c.id)+"/revoke", `{"reason":"lost"}`)
		},
		"revoking again": func(s *server, c *client) {
			s.post("/api/v1/devices/"+string(c.id)+"/revoke", `{"reason":"lost"}`)
			s.post("/api/v1/devices/"+string(c.id)+"/revoke", `{"reason":"lost"}`)
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := start(t)
			c := s.enrol("Phone").signIn("ben")
			kept := map[string]string{}
			for k, v := range c.cookies {
				kept[k] = v
			}
			if c.who() != "ben" {
				t.Fatalf("before: %s", c.who())
			}
			end(s, c)
			c.cookies = kept
			if got := c.who(); got != "nobody" {
				t.Errorf("afterwards: %s", got)
			}
			if got := c.post("/api/v1/keys", `{"alg":"ed25519","public":"`+strings.Repeat("A", 43)+`"}`); got.status/100 != 4 {
				t.Errorf("what needs a session: %d %s", got.status, got.body)
			}
			e := c.edit(1, edits.Card, "ben-chop", 0, storetest.Card())
			got := c.push(e)
			if len(got.Receipts) != 1 || got.Receipts[0].Outcome != edits.SetAside || got.Receipts[0].Reason == "" {
				t.Errorf("an edit of the replayed session: %+v", got)
			}
		})
	}
}

func TestRevokedDeviceSendsAndReadsNothing(t *testing.T) {
	s := start(t)
	c := s.enrol("Phone").signIn("ben")
	lines, closed := listen(t, c)
	waitFor(t, lines, `"seq"`)
	if got := s.post("/api/v1/devices/"+string(c.id)+"/revoke", `{"reason":"lost"}`); got.status != 200 {
		t.Fatalf("%d %s", got.status, got.body)
	}
	select {
	case <-closed:
	case <-time.After(5 * time.Second):
		t.Error("its live stream goes on")
	}
	var h struct {
		Revoked bool
		Epoch   *string
		Seq     *int
		Head    *string
	}
	c.get("/api/v1/health").into(t, &h)
	if !h.Revoked || h.Epoch != nil || h.Seq != nil || h.Head != nil {
		t.Errorf("health: %+v", h)
	}
	card := storetest.Card()
	card.Owner = "ben"
	got := c.push(c.edit(1, edits.Card, "ben-chop", 0, card))
	if len(got.Receipts) != 1 || got.Receipts[0].Outcome != edits.SetAside {
		t.Errorf("pushed: %+v", got)
	}
	var aside struct{ Edits []struct{ Edit edits.Edit } }
	s.get("/api/v1/set-aside").into(t, &aside)
	if len(aside.Edits) != 1 || len(aside.Edits[0].Edit.Body) == 0 {
		t.Errorf("what it sent is lost: %+v", aside)
	}
}

func TestLeadCannotRevokeTheDeviceInHand(t *testing.T) {
	s := start(t)
	if got := s.post("/api/v1/devices/"+string(s.id)+"/revoke", `{"reason":"tidying"}`); got.code() != "bad request" {
		t.Errorf("%d %s", got.status, got.body)
	}
}

func TestStrangerLearnsNothingOfTheUnit(t *testing.T) {
	s := start(t)
	got := s.stranger().get("/api/v1/health?nonce=n")
	for _, word := range []string{"epoch", "seq", "head", "Anna", "anna"} {
		if strings.Contains(string(got.body), `"`+word) {
			t.Errorf("health tells a stranger %s: %s", word, got.body)
		}
	}
	for _, path := range []string{"/", "/cards/anna-chop", "/office/devices"} {
		if got := s.stranger().get(path); got.status != 200 || string(got.body) != "<!doctype html>page" {
			t.Errorf("%s: %d %s", path, got.status, got.body)
		}
	}
}

func TestPushNamesTheDeviceItComesFrom(t *testing.T) {
	s := start(t)
	other := s.enrol("Other")
	other.person = "ben"
	got := other.post("/api/v1/edits", s.pushBody(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card())))
	if got.code() != "bad request" {
		t.Errorf("under another device's id: %d %s", got.status, got.body)
	}
	// Its own envelope around an edit of another device and person, without a signature.
	stolen := s.edit(2, edits.Card, "anna-chop", 0, storetest.Card())
	if p := other.push(stolen); len(p.Receipts) != 1 || p.Receipts[0].Outcome != edits.SetAside {
		t.Errorf("an edit in Anna's name: %+v", p)
	}
	if got := s.get("/api/v1/docs/card/anna-chop/revisions/1"); got.code() != "not found" {
		t.Errorf("it was taken: %d %s", got.status, got.body)
	}
}

// TestGuessingAPIN counts what the rule of people says: five tries, then a wait that grows.
func TestGuessingAPIN(t *testing.T) {
	s := start(t)
	pin := s.pinOf("ben")
	wrong := "000000"
	if pin == wrong {
		wrong = "111111"
	}
	c := s.enrol("Tablet")
	guess := func(person, pin string) answer {
		return c.post("/api/v1/sign-in", map[string]string{"person": person, "pin": pin})
	}
	var last answer
	for range 5 {
		last = guess("ben", wrong)
		if last.status != 403 || last.code() != "wrong pin" {
			t.Fatalf("a wrong PIN: %d %s", last.status, last.body)
		}
	}
	locked := guess("ben", pin)
	var e api.Error
	if locked.status == 200 || locked.header.Get("Retry-After") == "" {
		t.Fatalf("the sixth, with the right PIN: %d %s", locked.status, locked.body)
	}
	if locked.code() != "wrong pin" || !strings.Contains(string(locked.body), `"wait":`) {
		t.Errorf("locked: %s, %+v", locked.body, e)
	}
	if got := guess("nora", s.pinOf("nora")); got.status != 200 {
		t.Errorf("somebody else on the same tablet: %d %s", got.status, got.body)
	}
	nobody, somebody := guess("nobody-here", wrong), s.enrol("Third").post("/api/v1/sign-in", map[string]string{"person": "rita", "pin": wrong})
	if nobody.code() != "wrong pin" || string(nobody.body) != string(somebody.body) {
		t.Errorf("an unknown person is told from a wrong PIN: %s, %s", nobody.body, somebody.body)
	}
}

func TestSignInsAreCounted(t *testing.T) {
	s := start(t)
	c := s.enrol("Tablet")
	busy := 0
	for range 40 {
		got := c.post("/api/v1/sign-in", `{"person":""}`)
		if got.code() == "busy" {
			busy++
			if got.status != 429 || got.header.Get("Retry-After") == "" || got.header.Get("Retry-After") == "0" {
				t.Fatalf("%d %v %s", got.status, got.header, got.body)
			}
		}
	}
	if busy == 0 {
		t.Error("40 tries at once, and nobody was sent away")
	}
	if got := c.get("/api/v1/snapshot"); got.status != 200 {
		t.Errorf("reading suffers from it: %d %s", got.status, got.body)
	}
	if got := s.enrol("Other").post("/api/v1/sign-in", `{"person":""}`); got.code() != "bad request" {
		t.Errorf("another tablet suffers from it: %d %s", got.status, got.body)
	}
}

func TestEverythingWaitsForTheSetUp(t *testing.T) {
	s := startUnset(t)
	for _, r := range api.Rows() {
		if r.Method == "USE" {
			continue
		}
		got := s.stranger().do(r.Method, filled(r.Path), bodyFor(r.Method))
		before := r.Path == "/healthz" || r.Path == "/api/v1/health" || r.Path == "/*" || r.Path == "/api/v1/setup"
		if before == (got.code() == "needs set-up") {
			t.Errorf("%s %s: %d %s", r.Method, r.Path, got.status, got.body)
		}
	}
	var h struct {
		SetUp bool `json:"setup"`
	}
	s.stranger().get("/api/v1/health").into(t, &h)
	if !h.SetUp {
		t.Error("health does not say that the unit is not set up")
	}
	body := map[string]any{"code": "WRON-GONE", "unit": "Unit", "name": "Lena Lead", "device_name": "Desk", "shared": false}
	c := s.stranger()
	if got := c.post("/api/v1/setup", body); got.status != 403 || got.code() != "wrong code" {
		t.Errorf("a wrong code: %d %s", got.status, got.body)
	}
	body["code"] = s.doors.SetUpCode()
	var done struct {
		Device struct {
			ID     edits.DeviceID
			Name   string
			Shared bool
		}
		Person cards.PersonID
		PIN    string
	}
	c.post("/api/v1/setup", body).into(t, &done)
	if c.id = done.Device.ID; done.Device.Name != "Desk" || done.Device.Shared || len(done.PIN) != 6 || c.who() != string(done.Person) {
		t.Errorf("set up: %+v as %s", done, c.who())
	}
	if got := c.get("/api/v1/accounts"); got.status != 200 {
		t.Errorf("the first lead: %d %s", got.status, got.body)
	}
	for range 2 {
		if got := s.stranger().post("/api/v1/setup", body); got.status != 403 {
			t.Errorf("the same code again: %d %s", got.status, got.body)
		}
	}
	if got := s.stranger().get("/api/v1/snapshot"); got.code() != "not enrolled" {
		t.Errorf("a stranger afterwards: %d %s", got.status, got.body)
	}
}
