package signin

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"net/url"
	"time"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"
)

// Passkeys signs people in with an authenticator of their own: the phone that
// is unlocked by its owner's finger or face. Safe for concurrent use.
type Passkeys struct {
	web      *webauthn.WebAuthn
	attempts *attempts[passkeyAttempt]
}

type passkeyAttempt struct {
	Attempt
	purpose purpose
	session webauthn.SessionData
}

type purpose int

const (
	introducing purpose = iota
	signing
)

// PasskeyUser is a person with the passkeys introduced so far, each as FinishAdd or FinishSignIn returned it.
type PasskeyUser struct {
	Person string
	Name   string
	Kept   []json.RawMessage
}

// Passkey is one authenticator's credential, to be kept as it is.
type Passkey struct {
	ID   []byte          // names it among all passkeys
	Kept json.RawMessage // everything that later sign-ins are checked against
}

// NewPasskeys takes the public address of the unit, as browsers see it. A passkey
// belongs to its host name for ever, so an address of bare numbers has none (WebAuthn Level 2, section 5.1.2).
func NewPasskeys(origin, unit string, now func() time.Time, random func([]byte)) (*Passkeys, error) {
	u, err := url.Parse(origin)
	if err != nil || u.Hostname() == "" {
		return nil, fmt.Errorf("%q is not the address of a unit, such as https://cards.example.org", origin)
	}
	web, err := webauthn.New(&webauthn.Config{
		RPID: u.Hostname(), RPDisplayName: unit, RPOrigins: []string{origin},
		AttestationPreference: protocol.PreferNoAttestation, // which maker's key it is decides nothing here
		AuthenticatorSelection: protocol.AuthenticatorSelection{
			ResidentKey: protocol.ResidentKeyRequirementPreferred,
			// The phone must ask for its owner: a lost one in somebody's hand must prove nothing.
			UserVerification: protocol.VerificationRequired,
		},
	})
	if err != nil {
		return nil, fmt.Errorf("passkeys for %s: %w", origin, err)
	}
	return &Passkeys{web: web, attempts: newAttempts[passkeyAttempt](now, random)}, nil
}

// BeginAdd begins to introduce a passkey of the attempt's person. It returns the attempt's name and what the browser is to be asked.
func (p *Passkeys) BeginAdd(a Attempt, u PasskeyUser) (name string, ask json.RawMessage, err error) {
	user, err := u.read()
	if err != nil {
		return "", nil, err
	}
	ceremony, session, err := p.web.BeginRegistration(user, webauthn.WithExclusions(webauthn.Credentials(user.kept).CredentialDescriptors()))
	if err != nil {
		return "", nil, fmt.Errorf("begin to add a passkey: %w", err)
	}
	return p.begin(passkeyAttempt{a, introducing, *session}, ceremony.Response)
}

// FinishAdd ends BeginAdd with the browser's answer. ErrNoAttempt, ErrRefused.
func (p *Passkeys) FinishAdd(name string, u PasskeyUser, answer []byte) (Attempt, Passkey, error) {
	attempt, user, err := p.end(name, introducing, u)
	if err != nil {
		return Attempt{}, Passkey{}, err
	}
	parsed, err := protocol.ParseCredentialCreationResponseBytes(answer)
	if err != nil {
		return Attempt{}, Passkey{}, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	credential, err := p.web.CreateCredential(user, attempt.session, parsed)
	if err != nil {
		return Attempt{}, Passkey{}, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	key, err := keep(credential)
	return attempt.Attempt, key, err
}

// BeginSignIn begins to sign a person in who has at least one passkey; ErrRefused where there is none.
func (p *Passkeys) BeginSignIn(a Attempt, u PasskeyUser) (name string, ask json.RawMessage, err error) {
	user, err := u.read()
	if err != nil {
		return "", nil, err
	}
	if len(user.kept) == 0 {
		return "", nil, fmt.Errorf("%w: there is no passkey", ErrRefused)
	}
	ceremony, session, err := p.web.BeginLogin(user)
	if err != nil {
		return "", nil, fmt.Errorf("begin to sign in by passkey: %w", err)
	}
	return p.begin(passkeyAttempt{a, signing, *session}, ceremony.Response)
}

// FinishSignIn ends BeginSignIn with the browser's answer. The passkey it
// returns takes the place of the one with the same id: it counts the sign-ins,
// by which a copied authenticator is noticed. ErrNoAttempt, ErrRefused.
func (p *Passkeys) FinishSignIn(name string, u PasskeyUser, answer []byte) (Attempt, Passkey, error) {
	attempt, user, err := p.end(name, signing, u)
	if err != nil {
		return Attempt{}, Passkey{}, err
	}
	parsed, err := protocol.ParseCredentialRequestResponseBytes(answer)
	if err != nil {
		return Attempt{}, Passkey{}, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	credential, err := p.web.ValidateLogin(user, attempt.session, parsed)
	switch {
	case err != nil:
		return Attempt{}, Passkey{}, fmt.Errorf("%w: %w", ErrRefused, err)
	case credential.Authenticator.CloneWarning:
		return Attempt{}, Passkey{}, fmt.Errorf("%w: the authenticator counts fewer sign-ins than it made, as a copy of it would", ErrRefused)
	}
	key, err := keep(credential)
	return attempt.Attempt, key, err
}

func (p *Passkeys) begin(a passkeyAttempt, ask any) (string, json.RawMessage, error) {
	b, err := json.Marshal(ask)
	if err != nil {
		return "", nil, fmt.Errorf("write what the browser is asked: %w", err)
	}
	return p.attempts.begin(a), b, nil
}

func (p *Passkeys) end(name string, want purpose, u PasskeyUser) (passkeyAttempt, passkeyUser, error) {
	attempt, ok := p.attempts.end(name)
	if !ok || attempt.purpose != want {
		return passkeyAttempt{}, passkeyUser{}, ErrNoAttempt
	}
	user, err := u.read()
	return attempt, user, err
}

func keep(c *webauthn.Credential) (Passkey, error) {
	kept, err := json.Marshal(c)
	if err != nil {
		return Passkey{}, fmt.Errorf("write a passkey: %w", err)
	}
	return Passkey{ID: bytes.Clone(c.ID), Kept: kept}, nil
}

// passkeyUser is a person as the library wants one.
type passkeyUser struct {
	handle []byte
	name   string
	kept   []webauthn.Credential
}

// read makes the handle from the person's id by a hash: it is stored on the authenticator, where the id would tell whoever finds it (WebAuthn Level 2, section 14.6.1).
func (u PasskeyUser) read() (passkeyUser, error) {
	sum := sha256.Sum256([]byte("sideport passkey " + u.Person))
	user := passkeyUser{handle: sum[:], name: u.Name}
	for _, raw := range u.Kept {
		var c webauthn.Credential
		if err := json.Unmarshal(raw, &c); err != nil {
			return passkeyUser{}, fmt.Errorf("read a passkey of %s: %w", u.Person, err)
		}
		user.kept = append(user.kept, c)
	}
	return user, nil
}

// WebAuthnID implements webauthn.User.
func (u passkeyUser) WebAuthnID() []byte { return u.handle }

// WebAuthnName implements webauthn.User.
func (u passkeyUser) WebAuthnName() string { return u.name }

// WebAuthnDisplayName implements webauthn.User.
func (u passkeyUser) WebAuthnDisplayName() string { return u.name }

// WebAuthnCredentials implements webauthn.User.
func (u passkeyUser) WebAuthnCredentials() []webauthn.Credential { return u.kept }
