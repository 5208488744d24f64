// Package people decides who comes in and what each may do. It knows neither
// HTTP nor the database: rows, events and the log come in as a Vault, the time
// and random bytes as functions.
//
// The person document (cards.Person) is the one home of who has which role,
// and roles.go the one table of what a role may do. This package keeps what a
// document must not hold: hashes of PINs, devices, public keys, codes,
// sessions, and the events at the doors, chained as the log is.
//
// # What happens to an edit
//
// Push asks, in this order: is the device known and not revoked; is the author
// one of the unit's people and not barred; does the signature fit a key of
// that author on that device; is it offered under another id only where the
// log has never had it; may the author's roles do it. A no sets the edit
// aside with the reason in plain words: it stays in the log as it came, and a
// person can do it again. A yes hands it to edits.AcceptAs.
//
// # Secrets
//
// Credentials and codes are kept as SHA-256 hashes, since they are random and
// long; PINs as argon2id, since they are not. The one secret that is kept as
// it is, is the second key to a person's signing key on one device: without
// the bytes on that device it opens nothing.
package people
