package api_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"sideport/server/api"
	"sideport/server/people"
	"sideport/server/signin"
	"sideport/server/signin/signintest"
	"sideport/server/store"
)

// Signing in by what somebody else vouches for. The provider and the
// authenticator are by other hands (package signintest).

const (
	phoneOrigin = "https://cards.example.org"
	comesBack   = "https://cards.example.org/api/v1/sso/return"
)

func startWithProofs(t *testing.T) *server {
	t.Helper()
	name := strings.ReplaceAll(t.Name(), "/", "-")
	return startWith(t, func(s *store.Store) api.Store { return s }, func(c *api.Config) {
		var err error
		if c.Passkeys, err = signin.NewPasskeys(phoneOrigin, "Unit", c.Now, store.Random); err != nil {
			t.Fatal(err)
		}
		// The provider's statements are dated by the real clock.
		c.SSO, err = signin.NewSSO(signin.SSOConfig{Issuer: signintest.Provider(t, name, comesBack), ClientID: name, ClientSecret: signintest.Secret,
			Redirect: comesBack, Now: time.Now, Random: store.Random})
		if err != nil {
			t.Fatal(err)
		}
	})
}

// begun is what a ceremony begins with.
type ceremonyBegun struct {
	Attempt string          `json:"attempt"`
	Ask     json.RawMessage `json:"ask"`
}

type in struct {
	Person string `json:"person"`
	Secret string `json:"secret"`
}

// addsPasskey introduces a phone of the person who is signed in.
func (c *client) addsPasskey(phone *signintest.Phone) {
	c.s.t.Helper()
	var asked ceremonyBegun
	c.post("/api/v1/passkeys/begin", "{}").into(c.s.t, &asked)
	if got := c.post("/api/v1/passkeys", map[string]any{"attempt": asked.Attempt, "answer": phone.Add(c.s.t, asked.Ask)}); got.status != http.StatusOK {
		c.s.t.Fatalf("the passkey is not taken: %d %s", got.status, got.body)
	}
	phone.Authenticator.AddCredential(phone.Credential)
}

func (c *client) asks(person string) ceremonyBegun {
	c.s.t.Helper()
	var asked ceremonyBegun
	c.post("/api/v1/passkeys/ask", map[string]string{"person": person}).into(c.s.t, &asked)
	return asked
}

func (c *client) signsInByPasskey(person string, asked ceremonyBegun, phone *signintest.Phone) answer {
	c.s.t.Helper()
	return c.post("/api/v1/passkeys/sign-in", map[string]any{"attempt": asked.Attempt, "person": person, "answer": phone.Sign(c.s.t, asked.Ask)})
}

func TestPasskeySignsInLikeAPIN(t *testing.T) {
	s := startWithProofs(t)
	phone := signintest.NewPhone(phoneOrigin, "cards.example.org")
	c := s.enrol("Ben's phone").signIn("ben")
	c.addsPasskey(phone)
	var first, second in
	c.post("/api/v1/sign-in", map[string]string{"person": "ben", "pin": s.pinOf("ben")}).into(t, &first)
	c.post("/api/v1/sign-out", "{}")
	c.signsInByPasskey("ben", c.asks("ben"), phone).into(t, &second)
	if second.Person != "ben" || second.Secret == "" || second.Secret != first.Secret {
		t.Errorf("by passkey %+v, by PIN %+v: the same key must open", second, first)
	}
	if got := c.get("/api/v1/me"); !strings.Contains(string(got.body), `"person":"ben"`) {
		t.Errorf("signed in: %s", got.body)
	}
}

func TestPasskeyIsRefused(t *testing.T) {
	s := startWithProofs(t)
	phone := signintest.NewPhone(phoneOrigin, "cards.example.org")
	mine := s.enrol("Ben's phone").signIn("ben")
	mine.addsPasskey(phone)
	mine.post("/api/v1/sign-out", "{}")
	other := s.enrol("Theatre tablet")

	if got := other.signsInByPasskey("ben", mine.asks("ben"), phone); got.status != http.StatusForbidden {
		t.Errorf("begun on another device: %d %s", got.status, got.body)
	}
	if got := mine.signsInByPasskey("nora", mine.asks("ben"), phone); got.status != http.StatusForbidden {
		t.Errorf("in somebody else's name: %d %s", got.status, got.body)
	}
	events, _, err := s.doors.Events(people.EventsAsked{Limit: 1})
	if err != nil || len(events) != 1 || events[0].What != people.SignInRefused || events[0].About != "nora" || events[0].Detail != string(people.ByPasskey) {
		t.Errorf("it is not written down: %+v, %v", events, err)
	}
	asked := mine.asks("ben")
	if got := mine.signsInByPasskey("ben", asked, phone); got.status != http.StatusOK {
		t.Fatalf("%d %s", got.status, got.body)
	}
	if got := mine.signsInByPasskey("ben", asked, phone); got.status != http.StatusForbidden {
		t.Errorf("the same answer once more: %d %s", got.status, got.body)
	}
	if got := mine.post("/api/v1/passkeys/ask", map[string]string{"person": "nora"}); got.status != http.StatusForbidden {
		t.Errorf("somebody without a passkey: %d %s", got.status, got.body)
	}
	if err := s.doors.Bar(operator, "ben", true, "left the unit"); err != nil {
		t.Fatal(err)
	}
	if got := mine.post("/api/v1/passkeys/ask", map[string]string{"person": "ben"}); got.status != http.StatusForbidden {
		t.Errorf("barred: %d %s", got.status, got.body)
	}
}

func TestPasskeysAreTakenAway(t *testing.T) {
	s := startWithProofs(t)
	phone := signintest.NewPhone(phoneOrigin, "cards.example.org")
	ben := s.enrol("Ben's phone").signIn("ben")
	ben.addsPasskey(phone)
	ben.signsInByPasskey("ben", ben.asks("ben"), phone)
	asked := ben.asks("ben")
	anna := s.enrol("Office").signIn("anna")
	if got := anna.post("/api/v1/accounts/ben/proofs", "{}"); got.status != http.StatusOK {
		t.Fatalf("%d %s", got.status, got.body)
	}
	if got := ben.get("/api/v1/me"); !strings.Contains(string(got.body), `"person":null`) {
		t.Errorf("still signed in by it: %s", got.body)
	}
	if got := ben.signsInByPasskey("ben", asked, phone); got.status == http.StatusOK {
		t.Error("a passkey that was taken away signs in")
	}
}

// What makes another way in wants a sign-in of the last minutes; one that is older is good for everything else.
func TestAnOldSignInIntroducesNothing(t *testing.T) {
	s := startWithProofs(t)
	phone := signintest.NewPhone(phoneOrigin, "cards.example.org")
	ben := s.enrol("Ben's phone").signIn("ben")
	s.passed.Store(int64(6 * time.Minute))
	for path, body := range map[string]string{"/api/v1/passkeys/begin": "{}", "/api/v1/sso": `{"link": true}`} {
		if got := ben.post(path, body); got.status != http.StatusForbidden || !strings.Contains(string(got.body), `"sign in again"`) {
			t.Errorf("%s six minutes after the sign-in: %d %s", path, got.status, got.body)
		}
	}
	if got := ben.post("/api/v1/sso", `{"link": false}`); got.status != http.StatusOK {
		t.Errorf("signing in again by the provider: %d %s", got.status, got.body)
	}
	if got := ben.get("/api/v1/me"); !strings.Contains(string(got.body), `"person":"ben"`) {
		t.Errorf("no longer signed in: %s", got.body)
	}
	ben.signIn("ben").addsPasskey(phone)
}

// goesToProvider begins a single sign-on and comes back from the provider's page as user.
func (c *client) goesToProvider(user string, link bool) *url.URL {
	c.s.t.Helper()
	var begun struct {
		Address string `json:"address"`
	}
	c.post("/api/v1/sso", map[string]bool{"link": link}).into(c.s.t, &begun)
	return signintest.SignIn(c.s.t, begun.Address, comesBack, user)
}

// returns is the browser on its way back from another site: of our cookies it brings the Lax one alone.
func (c *client) returns(back *url.URL) string {
	c.s.t.Helper()
	a := c.s.send(http.MethodGet, back.RequestURI(), "", "Cookie", "sideport-sign-on="+c.cookies["sideport-sign-on"])
	c.keep(a)
	return a.header.Get("Location")
}

func TestSingleSignOn(t *testing.T) {
	s := startWithProofs(t)
	c := s.enrol("Ben's phone")
	if got := c.returns(c.goesToProvider("test-user2", false)); got != "/person?came=not-linked" {
		t.Errorf("before anybody is linked: %s", got)
	}
	c.signIn("ben")
	if got := c.returns(c.goesToProvider("test-user2", true)); got != "/person?came=linked" {
		t.Fatalf("linking: %s", got)
	}
	c.post("/api/v1/sign-out", "{}")
	if got := c.returns(c.goesToProvider("test-user2", false)); got != "/person?came=signed-in" {
		t.Fatalf("signing in: %s", got)
	}
	var opened in
	c.post("/api/v1/sso/opened", "{}").into(t, &opened)
	if opened.Person != "ben" || opened.Secret == "" {
		t.Errorf("opened %+v", opened)
	}
	// Somebody else of the unit cannot take the same name at the provider.
	nora := s.enrol("Nora's phone").signIn("nora")
	if got := nora.returns(nora.goesToProvider("test-user2", true)); got != "/person?came=not-linked" {
		t.Errorf("linked twice: %s", got)
	}
}

func TestSingleSignOnIsRefused(t *testing.T) {
	s := startWithProofs(t)
	ben := s.enrol("Ben's phone").signIn("ben")
	ben.returns(ben.goesToProvider("test-user2", true))
	ben.post("/api/v1/sign-out", "{}")
	thief := s.enrol("Theatre tablet")

	// Ben is made to follow the thief's link: the answer lands in a browser that did not ask (RFC 6819, section 4.4.1.8).
	back := thief.goesToProvider("test-user2", false)
	if got := ben.returns(back); got != "/person?came=not-signed-in" {
		t.Errorf("another browser's answer: %s", got)
	}
	back = ben.goesToProvider("test-user2", false)
	if got := ben.returns(back); got != "/person?came=signed-in" {
		t.Fatal(got)
	}
	if got := ben.returns(back); got != "/person?came=not-signed-in" {
		t.Errorf("the same answer once more: %s", got)
	}
	if got := thief.post("/api/v1/sso/opened", "{}"); got.status != http.StatusUnauthorized {
		t.Errorf("another device asks for what was opened: %d %s", got.status, got.body)
	}
	ben.signIn("ben")
	if got := ben.post("/api/v1/sso/opened", "{}"); got.status != http.StatusUnauthorized {
		t.Errorf("a sign-in by PIN is not opened a second time: %d %s", got.status, got.body)
	}
	if got := thief.post("/api/v1/sso", map[string]bool{"link": true}); got.status != http.StatusUnauthorized {
		t.Errorf("linking without being signed in: %d %s", got.status, got.body)
	}
	back = ben.goesToProvider("test-user2", false)
	if err := s.doors.Revoke(operator, ben.id, "lost"); err != nil {
		t.Fatal(err)
	}
	if got := ben.returns(back); got != "/person?came=not-signed-in" {
		t.Errorf("a device that was revoked meanwhile: %s", got)
	}
}

// Nothing of what a proof is made of may stand in the log or the events.
func TestProofsAreInNoLog(t *testing.T) {
	s := startWithProofs(t)
	c := s.enrol("Ben's phone").signIn("ben")
	back := c.goesToProvider("test-user2", true)
	c.returns(back)
	events, _, err := s.doors.Events(people.EventsAsked{Limit: 100})
	if err != nil {
		t.Fatal(err)
	}
	written, err := json.Marshal(events)
	if err != nil {
		t.Fatal(err)
	}
	for what, secret := range map[string]string{"state": back.Query().Get("state"), "code": back.Query().Get("code")} {
		if secret == "" || strings.Contains(s.log.String()+string(written), secret) {
			t.Errorf("the %s %q is written down", what, secret)
		}
	}
	if !strings.Contains(string(written), string(people.SignOnLinked)) {
		t.Errorf("no event of linking: %s", written)
	}
}

// A return that no attempt belongs to can be sent by anybody: it must cost the log nothing.
func TestAStrangersReturnWritesNothing(t *testing.T) {
	s := startWithProofs(t)
	before, err := s.doors.Heads()
	if err != nil {
		t.Fatal(err)
	}
	for range 8 {
		s.send(http.MethodGet, "/api/v1/sso/return?state=x&code=y", "", "Cookie", "sideport-sign-on=x")
	}
	if after, err := s.doors.Heads(); err != nil || after.EventSeq != before.EventSeq {
		t.Errorf("%d events, %v", after.EventSeq-before.EventSeq, err)
	}
}
