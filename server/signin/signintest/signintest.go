// Package signintest is the other side for tests of sign-in: a provider of
// OpenID Connect and an authenticator, both by other hands
// (github.com/zitadel/oidc, certified by the OpenID Foundation;
// github.com/descope/virtualwebauthn).
package signintest

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/descope/virtualwebauthn"
	"github.com/zitadel/oidc/v3/example/server/exampleop"
	"github.com/zitadel/oidc/v3/example/server/storage"
)

// Secret is that of every client of the provider.
const Secret = "secret"

// Subjects of the provider's own test users (example/server/storage/user.go), by their names.
var Subjects = map[string]string{"test-user@localhost": "id1", "test-user2": "id2"}

// Provider starts a provider that knows one client and returns its address. The
// clients are one table of the whole process, so each test names one of its own.
func Provider(t *testing.T, client, redirect string) (issuer string) {
	t.Helper()
	var handler http.Handler
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { handler.ServeHTTP(w, r) }))
	t.Cleanup(server.Close)
	issuer = strings.Replace(server.URL, "127.0.0.1", "localhost", 1)
	storage.RegisterClients(storage.WebClient(client, Secret, redirect))
	handler = exampleop.SetupServer(issuer, storage.NewStorage(storage.NewUserStore(issuer)), nil, false)
	return issuer
}

var requestID = regexp.MustCompile(`name="id" value="([^"]*)"`)

// SignIn is a person at the provider's page, which address leads to: it returns the address that the browser is sent back to.
func SignIn(t *testing.T, address, redirect, user string) *url.URL {
	t.Helper()
	back, err := signIn(address, redirect, user)
	if err != nil {
		t.Fatal(err)
	}
	return back
}

func signIn(address, redirect, user string) (*url.URL, error) {
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
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
		return nil, err
	}
	html, err := io.ReadAll(page.Body)
	_ = page.Body.Close()
	found := requestID.FindSubmatch(html)
	if err != nil || found == nil {
		return nil, fmt.Errorf("the provider shows no sign-in page: %s %v", html, err)
	}
	done, err := browser.PostForm(page.Request.URL.Scheme+"://"+page.Request.URL.Host+"/login/username",
		url.Values{"id": {string(found[1])}, "username": {user}, "password": {"verysecure"}})
	if err != nil {
		return nil, err
	}
	_ = done.Body.Close()
	if back == nil {
		return nil, fmt.Errorf("the provider did not send the browser back: %s", done.Status)
	}
	return back, nil
}

// Phone is an authenticator with one credential. Its fields may be changed to make it lie.
type Phone struct {
	Authenticator virtualwebauthn.Authenticator
	Credential    virtualwebauthn.Credential
	Party         virtualwebauthn.RelyingParty
}

// NewPhone is a phone whose owner looks at the page of this address.
func NewPhone(origin, host string) *Phone {
	return &Phone{Authenticator: virtualwebauthn.NewAuthenticator(), Credential: NewCredential(),
		Party: virtualwebauthn.RelyingParty{ID: host, Name: "Unit", Origin: origin}}
}

// NewCredential is a fresh key. The library writes a coordinate that begins
// with a zero byte too short, so a key without one is taken.
func NewCredential() virtualwebauthn.Credential {
	for {
		key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		if err != nil {
			panic("signintest: the system gives no random bytes: " + err.Error())
		}
		point, err := key.PublicKey.Bytes()
		if err != nil || point[1] == 0 || point[33] == 0 {
			continue
		}
		der, err := x509.MarshalPKCS8PrivateKey(key)
		if err != nil {
			panic("signintest: a key cannot be written: " + err.Error())
		}
		return virtualwebauthn.NewCredentialWithImportedKey(virtualwebauthn.KeyTypeEC2, der)
	}
}

// Add answers what a page asks to introduce the phone.
func (p *Phone) Add(t *testing.T, ask json.RawMessage) json.RawMessage {
	t.Helper()
	options, err := virtualwebauthn.ParseAttestationOptions(wrap(ask))
	if err != nil {
		t.Fatal(err)
	}
	return json.RawMessage(virtualwebauthn.CreateAttestationResponse(p.Party, p.Authenticator, p.Credential, *options))
}

// Sign answers what a page asks to sign in.
func (p *Phone) Sign(t *testing.T, ask json.RawMessage) json.RawMessage {
	t.Helper()
	options, err := virtualwebauthn.ParseAssertionOptions(wrap(ask))
	if err != nil {
		t.Fatal(err)
	}
	return json.RawMessage(virtualwebauthn.CreateAssertionResponse(p.Party, p.Authenticator, p.Credential, *options))
}

// wrap puts the options where the authenticator's library wants them.
func wrap(ask json.RawMessage) string { return `{"publicKey":` + string(ask) + `}` }
