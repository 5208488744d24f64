package main

import (
	"fmt"
	"net/url"
	"os"
	"strings"

	"sideport/server/api"
	"sideport/server/signin"
)

// SignOn names the hospital's single sign-on; all of it or nothing.
type SignOn struct {
	Issuer, Client string
	Secret         string // a file: a secret on a command line can be read by everybody on the machine
}

// returnPath is where the provider sends the browser back to.
const returnPath = "/api/v1/sso/return"

// openSignIn adds the ways to sign in that hang on the address: passkeys, where
// the address has a name, and single sign-on, where it is set up.
func (p *Program) openSignIn(c *api.Config) error {
	origin := p.Origin
	if origin == "" {
		origin = byName(p.URL)
	}
	var err error
	if c.Passkeys, err = signin.NewPasskeys(origin, "Sideport", p.now, p.Random); err != nil {
		return err
	}
	if p.SignOn == (SignOn{}) {
		return nil
	}
	if p.SignOn.Issuer == "" || p.SignOn.Client == "" || p.SignOn.Secret == "" {
		return misused("single sign-on needs all of -sso-issuer, -sso-client and -sso-secret")
	}
	secret, err := os.ReadFile(p.SignOn.Secret)
	if err != nil {
		return fmt.Errorf("cannot read the secret of the single sign-on: %w", err)
	}
	c.SSO, err = signin.NewSSO(signin.SSOConfig{Issuer: p.SignOn.Issuer, ClientID: p.SignOn.Client, ClientSecret: strings.TrimSpace(string(secret)),
		Redirect: origin + returnPath, Now: p.Now, Random: p.Random})
	if err != nil {
		return misused("%s", err)
	}
	return nil
}

// byName is this machine's own address as a browser must write it for passkeys, which need a name.
func byName(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return address
	}
	return u.Scheme + "://localhost:" + u.Port()
}
