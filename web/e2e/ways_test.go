package e2e

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"

	"sideport/server/signin/signintest"
	"sideport/web/e2e/harness"
)

// Signing in by something else than the PIN. The phone's authenticator is the
// browser's own virtual one, the provider a real one by another hand (package signintest).

// byName is the demonstration under this machine's name: passkeys belong to a name, never to bare numbers (WebAuthn Level 2, section 5.1.2).
func byName(t *testing.T) *server {
	t.Helper()
	return &server{t: t, addr: strings.Replace(harness.FreeAddress(t), "127.0.0.1", "localhost", 1), data: filepath.Join(t.TempDir(), "data"), args: []string{"-demo"}}
}

func (s *server) runs() *server {
	s.t.Helper()
	s.start()
	s.t.Cleanup(s.kill)
	return s
}

// holdsPhone gives the tablet an authenticator whose owner always agrees.
func (b *tablet) holdsPhone() {
	b.t.Helper()
	b.do("add an authenticator", func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		if _, err := chromedp.Call(ctx, webauthn.Enable, webauthn.EnableParams{}); err != nil {
			return chromedp.Void{}, err
		}
		_, err := chromedp.Call(ctx, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{Options: &webauthn.VirtualAuthenticatorOptions{
			Protocol: webauthn.AuthenticatorProtocolCtap2, Transport: webauthn.AuthenticatorTransportInternal, HasResidentKey: true,
			HasUserVerification: true, AutomaticPresenceSimulation: true, IsUserVerified: true}})
		return chromedp.Void{}, err
	})
}

func TestPasskeyOnAPhone(t *testing.T) {
	s := byName(t).runs()
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.holdsPhone()
	b.tap("Make a passkey on this phone")
	b.sees("The passkey is kept")
	b.tap("Sign out")
	b.sees("Nobody is signed in now")
	b.tapIn(".names", chopSurgeon)
	b.tap("Sign in with this phone's passkey")
	b.sees("Editing as " + chopSurgeon)
}

// longAgo stands in for a sign-in that is older than five minutes: the server's own answer to that, until somebody signs in.
const longAgo = `(() => { const real = globalThis.fetch; let old = true;
	globalThis.fetch = async (to, ...how) => {
		if (old && String(to).endsWith("/passkeys/begin")) return new Response(JSON.stringify({code: "sign in again",
			text: "This needs a sign-in of the last five minutes, by PIN or passkey. Sign in once more, then go on."}), {status: 403, headers: {"Content-Type": "application/json"}});
		const answer = await real(to, ...how);
		if (String(to).endsWith("/api/v1/sign-in") && answer.ok) old = false;
		return answer;
	}; })()`

// Who signed in a while ago types the PIN once more, on the way to the passkey and not in the office.
func TestPasskeyAfterAWhile(t *testing.T) {
	s := byName(t).runs()
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.holdsPhone()
	b.does(longAgo)
	b.tap("Make a passkey on this phone")
	b.sees("This needs a sign-in of the last five minutes")
	b.fits("passkey-again")
	b.screenshot("passkey-again")
	b.tap("Sign in again")
	b.types(chopSurgeon, b.s.pin(chopSurgeon))
	b.sees("Editing as " + chopSurgeon)
	b.tap("Make a passkey on this phone")
	b.sees("The passkey is kept")
}

func TestSingleSignOnAndBack(t *testing.T) {
	s := byName(t)
	back := "http://" + s.addr + "/api/v1/sso/return"
	secret := filepath.Join(t.TempDir(), "secret")
	if err := os.WriteFile(secret, []byte(signintest.Secret+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	s.args = append(s.args, "-sso-issuer", signintest.Provider(t, "unit-e2e", back), "-sso-client", "unit-e2e", "-sso-secret", secret)
	s.runs()
	for _, kind := range []string{"personal", "shared"} {
		t.Run(kind, func(t *testing.T) {
			b := bareTablet(t, s, phone).enrols(kind)
			b.becomes(chopSurgeon)
			b.leavesBy("Link the hospital's single sign-on")
			b.provesAtProvider()
			b.sees("Linked.")
			b.open("/person")
			b.signsOutIfIn()
			b.tapIn(".names", chopSurgeon)
			b.leavesBy("Sign in at the hospital's single sign-on")
			b.provesAtProvider()
			b.sees("Editing as " + chopSurgeon)
		})
	}
}

// signsOutIfIn: a shared tablet has locked itself with the load of the page, and asks for the PIN of whoever was there.
func (b *tablet) signsOutIfIn() {
	b.t.Helper()
	b.tap("Sign out")
	b.sees("Nobody is signed in now")
}

// leavesBy presses what leads to another site, once: a press that is made again after the way back would leave again.
func (b *tablet) leavesBy(words string) {
	b.t.Helper()
	b.sees(words)
	script := fmt.Sprintf(`([...document.querySelectorAll("button")].find(e => e.innerText.includes(%s)).click(), "pressed")`, quoted(words))
	if _, err := eval[string](b, script); err != nil {
		b.t.Fatal(err)
	}
}

// provesAtProvider fills in the provider's own page.
func (b *tablet) provesAtProvider() {
	b.t.Helper()
	b.sees("Username:")
	script := fmt.Sprintf(`(username.value = %s, password.value = "verysecure", document.querySelector("form").submit(), "sent")`, quoted("test-user2"))
	if _, err := eval[string](b, script); err != nil {
		b.t.Fatal(err)
	}
}
