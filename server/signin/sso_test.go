package signin_test

import (
	"context"
	"crypto/rand"
	"errors"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/zitadel/oidc/v3/example/server/exampleop"
	"github.com/zitadel/oidc/v3/example/server/storage"

	"sideport/server/signin"
)

// The other side in these tests is a provider of OpenID Connect by another
// hand (github.com/zitadel/oidc, certified by the OpenID Foundation), with
// its own storage and sign-in page. What is asked of us: OpenID Connect Core 1.0,
// sections 3.1.2 and 3.1.3; RFC 7636 (PKCE); RFC 9207 (issuer in the answer).

const redirect = "https://unit.example/api/v1/sso/return"

// provider starts the other side. Its clients are one table of the whole process, so each test has a client of its own name.
func provider(t *testing.T, client string) *signin.SSO {
	t.Helper()
	var handler http.Handler
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { handler.ServeHTTP(w, r) }))
	t.Cleanup(server.Close)
	issuer := strings.Replace(server.URL, "127.0.0.1", "localhost", 1)
	storage.RegisterClients(storage.WebClient(client, "secret", redirect))
	handler = exampleop.SetupServer(issuer, storage.NewStorage(storage.NewUserStore(issuer)), nil, false)
	sso, err := signin.NewSSO(signin.SSOConfig{Issuer: issuer, ClientID: client, ClientSecret: "secret", Redirect: redirect, Now: time.Now, Random: random})
	if err != nil {
		t.Fatal(err)
	}
	return sso
}

func random(b []byte) { _, _ = rand.Read(b) }

var requestID = regexp.MustCompile(`name="id" value="([^"]*)"`)

// signsIn is a person at the provider's page: it returns the address that the browser is sent back to.
func signsIn(t *testing.T, address string) *url.URL {
	t.Helper()
	jar, _ := cookiejar.New(nil)
	var back *url.URL
	browser := &http.Client{Jar: jar, CheckRedirect: func(r *http.Request, _ []*http.Request) error {
		if strings.HasPrefix(r.URL.String(), redirect) {
			back = r.URL
			return http.ErrUseLastResponse
		}
		return nil
	}}
	page, err := browser.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	html, err := io.ReadAll(page.Body)
	_ = page.Body.Close()
	found := requestID.FindSubmatch(html)
	if err != nil || found == nil {
		t.Fatalf("the provider shows no sign-in page: %s %v", html, err)
	}
	done, err := browser.PostForm(page.Request.URL.Scheme+"://"+page.Request.URL.Host+"/login/username",
		url.Values{"id": {string(found[1])}, "username": {"test-user@localhost"}, "password": {"verysecure"}})
	if err != nil {
		t.Fatal(err)
	}
	_ = done.Body.Close()
	if back == nil {
		t.Fatalf("the provider did not send the browser back: %s", done.Status)
	}
	return back
}

func returned(u *url.URL) signin.Return {
	q := u.Query()
	return signin.Return{State: q.Get("state"), Code: q.Get("code"), Issuer: q.Get("iss"), Error: q.Get("error")}
}

func TestSSOSignsInThroughARealProvider(t *testing.T) {
	sso := provider(t, "whole-flow")
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
	// "id1" is the provider's own name for its test user (example/server/storage/user.go).
	if attempt != began || who.Subject != "id1" || !strings.HasPrefix(who.Issuer, "http://localhost:") {
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
			sso := provider(t, "mixed-"+strings.ReplaceAll(tt.why, " ", "-"))
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
	now := time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)
	server := httptest.NewServer(nil)
	t.Cleanup(server.Close)
	issuer := strings.Replace(server.URL, "127.0.0.1", "localhost", 1)
	server.Config.Handler = exampleop.SetupServer(issuer, storage.NewStorage(storage.NewUserStore(issuer)), nil, false)
	sso, err := signin.NewSSO(signin.SSOConfig{Issuer: issuer, ClientID: "slow", ClientSecret: "secret", Redirect: redirect, Now: func() time.Time { return now }, Random: random})
	if err != nil {
		t.Fatal(err)
	}
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
