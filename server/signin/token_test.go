package signin_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	"sideport/server/signin"
	"sideport/server/signin/signintest"
)

// between stands on the way to the provider and changes what it answers.
type between struct {
	path string // the end of the address whose answer is changed
	turn func(map[string]any)
}

func (b between) RoundTrip(r *http.Request) (*http.Response, error) {
	res, err := http.DefaultTransport.RoundTrip(r)
	if err != nil || !strings.HasSuffix(r.URL.Path, b.path) {
		return res, err
	}
	defer res.Body.Close()
	var answer map[string]any
	if err := json.NewDecoder(res.Body).Decode(&answer); err != nil {
		return nil, err
	}
	b.turn(answer)
	changed, err := json.Marshal(answer)
	res.Body, res.ContentLength = io.NopCloser(bytes.NewReader(changed)), int64(len(changed))
	res.Header.Set("Content-Length", strconv.Itoa(len(changed)))
	return res, err
}

// statement changes a part of the provider's ID token (RFC 7515, section 3.1: header, payload, signature).
func statement(part int, turn func(string) string) between {
	return between{"/oauth/token", func(answer map[string]any) {
		token, _ := answer["id_token"].(string)
		parts := strings.Split(token, ".")
		parts[part] = turn(parts[part])
		answer["id_token"] = strings.Join(parts, ".")
	}}
}

// OpenID Connect Core 1.0, section 3.1.3.7; OpenID Connect Discovery 1.0,
// section 4.3 (the issuer); RFC 8725, sections 3.1 and 3.2 (algorithms).
func TestSSORefusesATokenThatProvesNothing(t *testing.T) {
	same := func(part string) string { return part }
	// inside changes a text in a part that is JSON in base64url.
	inside := func(old, fresh string) func(string) string {
		return func(part string) string {
			raw, err := base64.RawURLEncoding.DecodeString(part)
			if err != nil || !bytes.Contains(raw, []byte(old)) {
				t.Errorf("%s holds no %s: %v", raw, old, err)
			}
			return base64.RawURLEncoding.EncodeToString(bytes.Replace(raw, []byte(old), []byte(fresh), 1))
		}
	}
	for _, c := range []struct {
		why   string
		way   between
		ahead time.Duration // of the provider's clock is ours
		want  error
	}{
		{"as the provider sent it", statement(1, same), 0, nil},
		{"in somebody else's name", statement(1, inside(`"sub":"id1"`, `"sub":"id2"`)), 0, signin.ErrRefused},
		{"for another client", statement(1, inside(`"aud":["`, `"aud":["x`)), 0, signin.ErrRefused},
		{"for another attempt", statement(1, inside(`"nonce":"`, `"nonce":"x`)), 0, signin.ErrRefused},
		{"with no signature", statement(2, func(string) string { return "" }), 0, signin.ErrRefused},
		{"with another's signature", statement(2, func(s string) string { return "AAAA" + s[4:] }), 0, signin.ErrRefused},
		{"that says it needs none", statement(0, func(string) string { return base64.RawURLEncoding.EncodeToString([]byte(`{"alg":"none"}`)) }), 0, signin.ErrRefused},
		{"signed with a shared secret", statement(0, inside(`"alg":"RS256"`, `"alg":"HS256"`)), 0, signin.ErrRefused},
		{"out of date", statement(1, same), 48 * time.Hour, signin.ErrRefused},
		{"not at all", between{"/oauth/token", func(a map[string]any) { delete(a, "id_token") }}, 0, signin.ErrRefused},
		{"of a provider that describes itself as another", between{"/.well-known/openid-configuration", func(a map[string]any) { a["issuer"] = "https://other.example" }}, 0, signin.ErrUnreached},
	} {
		t.Run(c.why, func(t *testing.T) {
			client := "token-" + strings.ReplaceAll(c.why, " ", "-")
			sso, err := signin.NewSSO(signin.SSOConfig{Issuer: signintest.Provider(t, client, redirect), ClientID: client, ClientSecret: signintest.Secret,
				Redirect: redirect, HTTP: &http.Client{Transport: c.way}, Now: func() time.Time { return time.Now().Add(c.ahead) }, Random: random})
			if err != nil {
				t.Fatal(err)
			}
			who, err := throughProvider(t, sso)
			if !errors.Is(err, c.want) || (c.want == nil) != (err == nil) || (c.want != nil) != (who == signin.Identity{}) {
				t.Errorf("got %+v, %v; want %v", who, err, c.want)
			}
		})
	}
}

// throughProvider is a person at the provider's page, and what came of it here.
func throughProvider(t *testing.T, sso *signin.SSO) (signin.Identity, error) {
	t.Helper()
	_, address, err := sso.Begin(context.Background(), signin.Attempt{Device: "d"})
	if err != nil {
		return signin.Identity{}, err
	}
	back := returned(signsIn(t, address))
	_, who, err := sso.Finish(context.Background(), back)
	return who, err
}
