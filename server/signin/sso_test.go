package signin_test

import (
	"context"
	"crypto/rand"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"sideport/server/signin"
	"sideport/server/signin/signintest"
)

// The other side in these tests is a provider of OpenID Connect by another
// hand (package signintest), with its own storage and sign-in page. What is
// asked of us: OpenID Connect Core 1.0, sections 3.1.2 and 3.1.3; RFC 7636
// (PKCE); RFC 9207 (issuer in the answer).

const redirect = "https://unit.example/api/v1/sso/return"

// provider starts the other side, which knows us as the client of this name.
func provider(t *testing.T, client string, now func() time.Time) *signin.SSO {
	t.Helper()
	sso, err := signin.NewSSO(signin.SSOConfig{Issuer: signintest.Provider(t, client, redirect), ClientID: client, ClientSecret: signintest.Secret,
		Redirect: redirect, Now: now, Random: random})
	if err != nil {
		t.Fatal(err)
	}
	return sso
}

func random(b []byte) { _, _ = rand.Read(b) }

func signsIn(t *testing.T, address string) *url.URL {
	t.Helper()
	return signintest.SignIn(t, address, redirect, "test-user@localhost")
}

func returned(u *url.URL) signin.Return {
	q := u.Query()
	return signin.Return{State: q.Get("state"), Code: q.Get("code"), Issuer: q.Get("iss"), Error: q.Get("error")}
}

func TestSSOSignsInThroughARealProvider(t *testing.T) {
	sso := provider(t, "whole-flow", time.Now)
	began := signin.Attempt{Device: strings.Repeat("a", 32)}
	name, address, err := sso.Begin(context.Background(), began)
	if err != nil {
		t.Fatal(err)
	}
	asked, _ := url.Parse(address)
	for key, want := range map[string]string{"response_type": "code", "scope": "openid", "code_challenge_method": "S256", "state": name} {
		if got := asked.Query().Get(key); got != want {
			t.Errorf("%s is %q, want %q", key, got, want)
		}
	}
	back := returned(signsIn(t, address))
	attempt, who, err := sso.Finish(context.Background(), back)
	if err != nil {
		t.Fatal(err)
	}
	if attempt != began || who.Subject != signintest.Subjects["test-user@localhost"] || !strings.HasPrefix(who.Issuer, "http://localhost:") {
		t.Errorf("signed in %+v as %+v", attempt, who)
	}
	if _, _, err := sso.Finish(context.Background(), back); !errors.Is(err, signin.ErrNoAttempt) {
		t.Errorf("the same answer once more: %v", err)
	}
}

func TestSSORefusesWhatBelongsToAnotherAttempt(t *testing.T) {
	tests := []struct {
		why  string
		turn func(mine, other signin.Return) signin.Return
		want error
	}{
		{"a state nobody gave", func(mine, _ signin.Return) signin.Return { mine.State = "guessed"; return mine }, signin.ErrNoAttempt},
		{"no state", func(mine, _ signin.Return) signin.Return { mine.State = ""; return mine }, signin.ErrNoAttempt},
		// The code belongs to the other attempt's verifier (RFC 7636, section 4.6).
		{"another attempt's code", func(mine, other signin.Return) signin.Return { mine.Code = other.Code; return mine }, signin.ErrRefused},
		{"a code nobody gave", func(mine, _ signin.Return) signin.Return { mine.Code = "guessed"; return mine }, signin.ErrRefused},
		{"no code", func(mine, _ signin.Return) signin.Return { mine.Code = ""; return mine }, signin.ErrRefused},
		// RFC 9207, section 2.4.
		{"another issuer's answer", func(mine, _ signin.Return) signin.Return { mine.Issuer = "https://other.example"; return mine }, signin.ErrRefused},
		{"the provider's own refusal", func(mine, _ signin.Return) signin.Return { mine.Error = "access_denied"; return mine }, signin.ErrRefused},
	}
	for _, tt := range tests {
		t.Run(tt.why, func(t *testing.T) {
			sso := provider(t, "mixed-"+strings.ReplaceAll(tt.why, " ", "-"), time.Now)
			var back [2]signin.Return
			for i := range back {
				_, address, err := sso.Begin(context.Background(), signin.Attempt{Device: "d"})
				if err != nil {
					t.Fatal(err)
				}
				back[i] = returned(signsIn(t, address))
			}
			if _, who, err := sso.Finish(context.Background(), tt.turn(back[0], back[1])); !errors.Is(err, tt.want) || who != (signin.Identity{}) {
				t.Errorf("got %+v, %v; want %v", who, err, tt.want)
			}
		})
	}
}

func TestSSOThatTookTooLong(t *testing.T) {
	now := time.Now()
	sso := provider(t, "slow", func() time.Time { return now })
	name, _, err := sso.Begin(context.Background(), signin.Attempt{Device: "d"})
	if err != nil {
		t.Fatal(err)
	}
	now = now.Add(10 * time.Minute)
	if _, _, err := sso.Finish(context.Background(), signin.Return{State: name, Code: "any"}); !errors.Is(err, signin.ErrNoAttempt) {
		t.Errorf("after ten minutes: %v", err)
	}
}

func TestSSOIsAskedForOnlyWhenItIsNeeded(t *testing.T) {
	gone := httptest.NewServer(http.NotFoundHandler())
	gone.Close()
	sso, err := signin.NewSSO(signin.SSOConfig{Issuer: gone.URL, ClientID: "c", ClientSecret: "s", Redirect: redirect, Now: time.Now, Random: random})
	if err != nil {
		t.Fatalf("a provider that is away keeps the unit from starting: %v", err)
	}
	if _, _, err := sso.Begin(context.Background(), signin.Attempt{Device: "d"}); !errors.Is(err, signin.ErrUnreached) {
		t.Errorf("got %v", err)
	}
}

// Whoever can answer for the provider's address must not send the program, and the secret with it, anywhere else.
func TestSSOFollowsNobodyElsewhere(t *testing.T) {
	asked := false
	elsewhere := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { asked = true }))
	t.Cleanup(elsewhere.Close)
	server := httptest.NewServer(http.RedirectHandler(elsewhere.URL, http.StatusTemporaryRedirect))
	t.Cleanup(server.Close)
	sso, err := signin.NewSSO(signin.SSOConfig{Issuer: server.URL, ClientID: "c", ClientSecret: "s", Redirect: redirect, Now: time.Now, Random: random})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := sso.Begin(context.Background(), signin.Attempt{Device: "d"}); !errors.Is(err, signin.ErrUnreached) || asked {
		t.Errorf("sent elsewhere: asked %t, %v", asked, err)
	}
}

func TestSSOSettings(t *testing.T) {
	for why, c := range map[string]signin.SSOConfig{
		"plain http":     {Issuer: "http://login.example.org", ClientID: "c", ClientSecret: "s"},
		"no address":     {Issuer: "login", ClientID: "c", ClientSecret: "s"},
		"no client":      {Issuer: "https://login.example.org", ClientSecret: "s"},
		"no secret":      {Issuer: "https://login.example.org", ClientID: "c"},
		"with a query":   {Issuer: "https://login.example.org?a=b", ClientID: "c", ClientSecret: "s"},
		"with a section": {Issuer: "https://login.example.org#a", ClientID: "c", ClientSecret: "s"},
	} {
		if _, err := signin.NewSSO(c); err == nil {
			t.Errorf("%s: taken", why)
		}
	}
}
