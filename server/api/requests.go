package api

import (
	"encoding/base64"
	"fmt"
	"strings"
	"unicode/utf8"

	"sideport/cards"
	"sideport/server/people"
)

// What requests at the doors hold. Each has one decoder, which refuses what no
// handler could do anything with; whether it is allowed is asked afterwards.

const (
	maxName   = 100 // bytes of a name of a person, a device or the unit
	maxReason = 500
	maxCode   = 40 // bytes of a code or PIN as it is typed, gaps included
)

// oneLine refuses text that is not fit to be shown in one line.
func oneLine(what, text string, most int, needed bool) error {
	trimmed := strings.TrimSpace(text)
	switch {
	case needed && trimmed == "":
		return badRequest("The request holds no " + what + ".")
	case len(text) > most:
		return badRequest(fmt.Sprintf("The %s is longer than %d bytes.", what, most))
	case strings.ContainsFunc(text, isControl):
		return badRequest("The " + what + " holds a character that cannot be shown.")
	}
	return nil
}

func isControl(r rune) bool { return r < ' ' || r >= 0x7f && r <= 0x9f || r == utf8.RuneError }

// all returns the first error.
func all(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func decodeSetUp(b []byte) (people.SetUp, error) {
	var r struct {
		Code       string `json:"code"`
		Unit       string `json:"unit"`
		Name       string `json:"name"`
		DeviceName string `json:"device_name"`
		Shared     bool   `json:"shared"`
	}
	if err := decodeBody(b, &r); err != nil {
		return people.SetUp{}, err
	}
	err := all(oneLine("code", r.Code, maxCode, true), oneLine("name of the unit", r.Unit, maxName, true),
		oneLine("name of the person", r.Name, maxName, true), oneLine("name of the device", r.DeviceName, maxName, true))
	return people.SetUp{Code: r.Code, Unit: strings.TrimSpace(r.Unit), Name: strings.TrimSpace(r.Name),
		Device: people.DeviceName{Name: strings.TrimSpace(r.DeviceName), Shared: r.Shared}}, err
}

func decodeEnrol(b []byte) (code string, err error) {
	var r struct {
		Code string `json:"code"`
	}
	if err := decodeBody(b, &r); err != nil {
		return "", err
	}
	return r.Code, oneLine("code", r.Code, maxCode, true)
}

// proof is what a person types to sign in.
type proof struct {
	Person cards.PersonID `json:"person"`
	PIN    string         `json:"pin"`
}

func decodeSignIn(b []byte) (proof, error) {
	var r proof
	if err := decodeBody(b, &r); err != nil {
		return proof{}, err
	}
	return r, all(oneLine("person", string(r.Person), maxName, true), oneLine("PIN", r.PIN, maxCode, true))
}

// publicKey is the half of a person's key on a device that may be known.
type publicKey struct {
	alg   string
	bytes []byte
}

func decodeKey(b []byte) (publicKey, error) {
	var r struct {
		Alg    string `json:"alg"`
		Public string `json:"public"`
	}
	if err := decodeBody(b, &r); err != nil {
		return publicKey{}, err
	}
	want, known := map[string]int{"ed25519": 32, "p256": 65}[r.Alg]
	if !known {
		return publicKey{}, badRequest("The key's alg is neither ed25519 nor p256.")
	}
	raw, err := base64.RawURLEncoding.Strict().DecodeString(r.Public)
	if err != nil || len(raw) != want {
		return publicKey{}, badRequest(fmt.Sprintf("The key is not %d bytes in base64url without padding.", want))
	}
	return publicKey{r.Alg, raw}, nil
}

func decodeNewCode(b []byte) (people.DeviceName, error) {
	var r struct {
		Name   string `json:"name"`
		Shared bool   `json:"shared"`
	}
	if err := decodeBody(b, &r); err != nil {
		return people.DeviceName{}, err
	}
	return people.DeviceName{Name: strings.TrimSpace(r.Name), Shared: r.Shared}, oneLine("name of the device", r.Name, maxName, true)
}

func decodeReason(b []byte) (string, error) {
	var r struct {
		Reason string `json:"reason"`
	}
	if err := decodeBody(b, &r); err != nil {
		return "", err
	}
	return strings.TrimSpace(r.Reason), oneLine("reason", r.Reason, maxReason, true)
}

// barring says whether a person may come in.
type barring struct {
	Barred bool   `json:"barred"`
	Reason string `json:"reason"`
}

func decodeBar(b []byte) (barring, error) {
	var r barring
	if err := decodeBody(b, &r); err != nil {
		return barring{}, err
	}
	r.Reason = strings.TrimSpace(r.Reason)
	return r, oneLine("reason", r.Reason, maxReason, r.Barred)
}

// decodeNothing is for calls that say everything in their address.
func decodeNothing(b []byte) error {
	var r struct{}
	return decodeBody(b, &r)
}
