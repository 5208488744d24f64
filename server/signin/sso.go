package signin

import (
	"context"
	"crypto/subtle"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"sync"
	"time"

	"github.com/coreos/go-oidc/v3/oidc"
	"golang.org/x/oauth2"
)

// Errors of single sign-on and of passkeys.
var (
	// ErrUnreached: the other side did not answer, or not as it should.
	ErrUnreached = errors.New("the single sign-on did not answer")
	// ErrNoAttempt: nothing that was begun has this name, or it took too long, or it was ended before.
	ErrNoAttempt = errors.New("no sign-in of this name is under way")
	// ErrRefused: what came back does not prove anything.
	ErrRefused = errors.New("the proof was refused")
)

// SSOConfig names the provider. All of it comes from whoever runs the server.
type SSOConfig struct {
	Issuer       string // an address; the provider describes itself below it
	ClientID     string
	ClientSecret string
	Redirect     string // where the provider sends the browser back to
	HTTP         *http.Client
	Now          func() time.Time
	Random       func([]byte)
}

// Identity is somebody as the provider names them. The pair is never given to
// somebody else (OpenID Connect Core 1.0, section 5.7); a name or a mail address may be.
type Identity struct {
	Issuer  string `json:"issuer"`
	Subject string `json:"subject"`
}

// SSO signs people in through one provider, by the authorization code flow with PKCE. Safe for concurrent use.
type SSO struct {
	config   SSOConfig
	attempts *attempts[ssoAttempt]

	mu       sync.Mutex
	provider *oidc.Provider
}

type ssoAttempt struct {
	Attempt
	nonce, verifier string
}

// NewSSO does not ask the provider anything yet: the unit must be able to start without it.
func NewSSO(c SSOConfig) (*SSO, error) {
	issuer, err := url.Parse(c.Issuer)
	switch {
	case err != nil || issuer.Host == "" || issuer.RawQuery != "" || issuer.Fragment != "":
		return nil, fmt.Errorf("the issuer %q is not an address such as https://login.example.org/realm", c.Issuer)
	case issuer.Scheme != "https" && !loopback(issuer.Hostname()):
		return nil, fmt.Errorf("the issuer %q is not reached over https: anybody on the way could sign in as anybody", c.Issuer)
	case c.ClientID == "" || c.ClientSecret == "":
		return nil, errors.New("single sign-on needs the client's id and its secret, as the provider registered them")
	}
	if c.HTTP == nil {
		c.HTTP = &http.Client{Timeout: 10 * time.Second, CheckRedirect: stay}
	}
	return &SSO{config: c, attempts: newAttempts[ssoAttempt](c.Now, c.Random)}, nil
}

// stay keeps the program to the address it was given: the secret goes nowhere else.
func stay(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }

func loopback(host string) bool { return host == "localhost" || host == "127.0.0.1" || host == "::1" }

// Begin returns the attempt's name, which has to come back from the same browser, and the address to send that browser to.
func (s *SSO) Begin(ctx context.Context, a Attempt) (name, address string, err error) {
	flow, _, err := s.flow(ctx)
	if err != nil {
		return "", "", err
	}
	attempt := ssoAttempt{Attempt: a, nonce: randomText(s.config.Random), verifier: oauth2.GenerateVerifier()}
	name = s.attempts.begin(attempt)
	return name, flow.AuthCodeURL(name, oidc.Nonce(attempt.nonce), oauth2.S256ChallengeOption(attempt.verifier)), nil
}

// Return is what the provider sends the browser back with.
type Return struct {
	State, Code string
	Issuer      string // RFC 9207; empty where the provider does not say it
	Error       string
}

// Finish ends an attempt: the code is exchanged, and the provider's signed statement checked.
func (s *SSO) Finish(ctx context.Context, r Return) (Attempt, Identity, error) {
	attempt, ok := s.attempts.end(r.State)
	switch {
	case !ok:
		return Attempt{}, Identity{}, ErrNoAttempt
	case r.Error != "" || r.Code == "":
		return attempt.Attempt, Identity{}, fmt.Errorf("%w: the provider did not sign anybody in", ErrRefused)
	case r.Issuer != "" && r.Issuer != s.config.Issuer:
		return attempt.Attempt, Identity{}, fmt.Errorf("%w: it is another provider's answer", ErrRefused)
	}
	flow, provider, err := s.flow(ctx)
	if err != nil {
		return attempt.Attempt, Identity{}, err
	}
	token, err := flow.Exchange(s.client(ctx), r.Code, oauth2.VerifierOption(attempt.verifier))
	if err != nil {
		return attempt.Attempt, Identity{}, notTaken(err)
	}
	identity, err := s.statement(ctx, provider, token, attempt.nonce)
	return attempt.Attempt, identity, err
}

// notTaken tells a provider that refuses the code from one that does not answer.
func notTaken(err error) error {
	var refused *oauth2.RetrieveError
	if errors.As(err, &refused) && refused.Response != nil && refused.Response.StatusCode < http.StatusInternalServerError {
		return fmt.Errorf("%w: the provider does not know the code: %s", ErrRefused, refused.ErrorCode)
	}
	return fmt.Errorf("%w: exchange the code: %w", ErrUnreached, err)
}

// statement checks the ID token: signature, issuer, audience and time (package oidc), and that it answers this very attempt.
func (s *SSO) statement(ctx context.Context, provider *oidc.Provider, token *oauth2.Token, nonce string) (Identity, error) {
	raw, ok := token.Extra("id_token").(string)
	if !ok {
		return Identity{}, fmt.Errorf("%w: the provider sent no ID token", ErrRefused)
	}
	verified, err := provider.Verifier(&oidc.Config{ClientID: s.config.ClientID, Now: s.config.Now}).Verify(s.client(ctx), raw)
	if err != nil {
		return Identity{}, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	if subtle.ConstantTimeCompare([]byte(verified.Nonce), []byte(nonce)) != 1 {
		return Identity{}, fmt.Errorf("%w: the ID token answers another sign-in", ErrRefused)
	}
	return Identity{Issuer: verified.Issuer, Subject: verified.Subject}, nil
}

// flow asks the provider to describe itself, until it has done so once.
func (s *SSO) flow(ctx context.Context) (*oauth2.Config, *oidc.Provider, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.provider == nil {
		p, err := oidc.NewProvider(s.client(ctx), s.config.Issuer)
		if err != nil {
			return nil, nil, fmt.Errorf("%w: %w", ErrUnreached, err)
		}
		s.provider = p
	}
	return &oauth2.Config{ClientID: s.config.ClientID, ClientSecret: s.config.ClientSecret, RedirectURL: s.config.Redirect,
		Endpoint: s.provider.Endpoint(), Scopes: []string{oidc.ScopeOpenID}}, s.provider, nil
}

func (s *SSO) client(ctx context.Context) context.Context {
	return oidc.ClientContext(ctx, s.config.HTTP)
}
