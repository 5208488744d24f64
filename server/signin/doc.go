// Package signin proves who a person is by something that is not the unit's
// own: the hospital's single sign-on (OpenID Connect) or a passkey (WebAuthn).
//
// It ends with a name that somebody else vouches for: an issuer and its subject,
// or the credential of an authenticator. Which person of the unit that is, and
// what the person may do, is for package people. Nothing here is
// kept on disk: a sign-in that is under way when the program stops is begun anew.
//
// A sign-in under way is an attempt: named by 16 random bytes, bound to the device that began
// it, good once and for ten minutes. What the other side sends back is believed
// only for the attempt it belongs to.
package signin
