package people

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/ed25519"
	"crypto/elliptic"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"sideport/server/edits"
)

// What is signed is text that anybody can write again from the edit without
// knowing how this program writes JSON: one value a line, free text as its hash.

// signedForm is the first line. Another form gets another one.
const signedForm = "sideport edit 1"

// here is the word for a PIN that the device alone had checked.
const here = "here"

// SignedBytes are the bytes that the author of an edit signs. An error says
// which part is of a form that would make two different edits look alike.
func SignedBytes(e edits.Edit) ([]byte, error) {
	if !sameAnswers(e) {
		return nil, errors.New("it answers other proposals than it did when it was signed")
	}
	said := asSigned(e)
	if err := plainNames(said); err != nil {
		return nil, err
	}
	var body bytes.Buffer
	if err := json.Compact(&body, said.Body); err != nil {
		return nil, fmt.Errorf("the body is no JSON: %w", err)
	}
	lines := []string{
		signedForm, string(said.ID), hashed(string(said.Kind)), hashed(said.Doc), strconv.Itoa(said.Parent), orDash(string(said.After)),
		hashed(string(said.Author)), string(said.Device), hashed(said.Made), hashed(said.Reason), hashed(body.String()),
		joined(said.Decides), joined(said.Takes), declined(said.Declines), link(said.Chain), said.Key, orDash(said.Checked),
	}
	return []byte(strings.Join(lines, "\n")), nil
}

// asSigned puts back what the edit said when it was signed.
func asSigned(e edits.Edit) edits.Edit {
	if e.Was == nil {
		return e
	}
	e.ID, e.Parent, e.After, e.Takes = e.Was.ID, e.Was.Parent, e.Was.After, e.Was.Takes
	declines := slices.Clone(e.Declines)
	for i := range declines {
		declines[i].Proposal = e.Was.Declines[i]
	}
	e.Declines = declines
	return e
}

// sameAnswers reports whether an edit that is offered anew answers as many proposals as its author did.
func sameAnswers(e edits.Edit) bool {
	return e.Was == nil || len(e.Was.Takes) == len(e.Takes) && len(e.Was.Declines) == len(e.Declines)
}

// plainNames refuses names that hold a comma, a line break or a dash of their own.
func plainNames(e edits.Edit) error {
	names := []string{string(e.ID), string(e.Device), e.Key}
	if e.After != "" {
		names = append(names, string(e.After))
	}
	for _, id := range e.Decides {
		names = append(names, string(id))
	}
	for _, id := range e.Takes {
		names = append(names, string(id))
	}
	for _, d := range e.Declines {
		names = append(names, string(d.Proposal))
	}
	for _, name := range names {
		if !edits.IsHex32(name) {
			return errors.New("a name in it is not 32 hex digits")
		}
	}
	switch {
	case e.Chain == nil || e.Chain.N < 1 || !isHash(e.Chain.Prev):
		return errors.New("it does not say its place in the chain of its device")
	case e.Checked != "" && e.Checked != here:
		return errors.New("it does not say who had checked the author")
	}
	return nil
}

func isHash(s string) bool {
	return len(s) == 2*sha256.Size && edits.IsHex32(s[:32]) && edits.IsHex32(s[32:])
}

func hashed(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

func joined[T ~string](ids []T) string {
	all := make([]string, len(ids))
	for i, id := range ids {
		all[i] = string(id)
	}
	return orDash(strings.Join(all, ","))
}

func declined(all []edits.Decline) string {
	out := make([]string, len(all))
	for i, d := range all {
		out[i] = string(d.Proposal) + ":" + hashed(d.Reason)
	}
	return orDash(strings.Join(out, ","))
}

func link(l *edits.Link) string { return strconv.Itoa(l.N) + " " + l.Prev }

// The kinds of keys, as a page names them. Persisted: append only, never rename.
const (
	Ed25519 = "ed25519" // RFC 8032; 32 bytes
	P256    = "p256"    // ECDSA with SHA-256 (FIPS 186-5); the uncompressed point, 65 bytes
)

// NameKey is the name of a public key.
func NameKey(public []byte) KeyID {
	sum := sha256.Sum256(public)
	return KeyID(hex.EncodeToString(sum[:16]))
}

// usable says whether the bytes are a public key of the kind.
func usable(alg string, public []byte) error {
	switch alg {
	case Ed25519:
		if len(public) != ed25519.PublicKeySize {
			return fmt.Errorf("an Ed25519 key has %d bytes, this one %d", ed25519.PublicKeySize, len(public))
		}
		return nil
	case P256:
		_, err := ecdsa.ParseUncompressedPublicKey(elliptic.P256(), public)
		return err
	}
	return fmt.Errorf("%q is neither %s nor %s", alg, Ed25519, P256)
}

// fits reports whether a signature, in base64url without padding, is the key's over these bytes.
func fits(alg string, public, signed []byte, sig string) bool {
	raw, err := base64.RawURLEncoding.Strict().DecodeString(sig)
	if err != nil || len(raw) != 64 || usable(alg, public) != nil {
		return false
	}
	if alg == Ed25519 {
		return ed25519.Verify(public, signed, raw)
	}
	key, err := ecdsa.ParseUncompressedPublicKey(elliptic.P256(), public)
	if err != nil {
		return false
	}
	sum := sha256.Sum256(signed)
	return ecdsa.Verify(key, sum[:], new(big.Int).SetBytes(raw[:32]), new(big.Int).SetBytes(raw[32:]))
}
