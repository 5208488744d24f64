package api

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"sideport/checklist"
)

// fuzzDecoder looks for a request that is refused with something else than a
// plain refusal, or that passes with what no handler expects.
func fuzzDecoder(f *testing.F, decode func(t *testing.T, b []byte) error, seeds ...string) {
	for _, seed := range append(seeds, "", "null", "{}", "[]", "\xff", `{"x":`+strings.Repeat("[", 70), `{"code":"\u0000"}`, `{"name":"\ud800"}`, `{} {}`) {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if err := decode(t, b); err != nil && public(err).Code != BadRequest {
			t.Fatalf("refused with %v", err)
		}
	})
}

// wantLine fails on text that a screen cannot show in one line.
func wantLine(t *testing.T, text string, most int, needed bool) {
	t.Helper()
	if !utf8.ValidString(text) || len(text) > most || strings.ContainsAny(text, "\r\n\x00\x7f") || needed && strings.TrimSpace(text) == "" {
		t.Fatalf("passed: %q", text)
	}
}

func FuzzDecodeSetUp(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		s, err := decodeSetUp(b)
		if err == nil {
			wantLine(t, s.Code, maxCode, true)
			wantLine(t, s.Unit, maxName, true)
			wantLine(t, s.Name, maxName, true)
			wantLine(t, s.Device.Name, maxName, true)
		}
		return err
	}, `{"code":"ABCD-EFGH","unit":"Unit","name":"Lena","device_name":"Desk","shared":true}`)
}

func FuzzDecodeEnrol(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		code, err := decodeEnrol(b)
		if err == nil {
			wantLine(t, code, maxCode, true)
		}
		return err
	}, `{"code":"ABCD-EFGH"}`)
}

func FuzzDecodeSignIn(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		p, err := decodeSignIn(b)
		if err == nil {
			wantLine(t, string(p.Person), maxName, true)
			wantLine(t, p.PIN, maxCode, true)
		}
		return err
	}, `{"person":"anna","pin":"123456"}`, `{"person":"anna","pin":123456}`)
}

func FuzzDecodeKey(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		k, err := decodeKey(b)
		if err == nil && !(k.alg == "ed25519" && len(k.bytes) == 32 || k.alg == "p256" && len(k.bytes) == 65) {
			t.Fatalf("passed: %+v", k)
		}
		return err
	}, `{"alg":"ed25519","public":"`+strings.Repeat("A", 43)+`"}`, `{"alg":"p256","public":"`+strings.Repeat("A", 87)+`"}`)
}

func FuzzDecodeNewCode(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		n, err := decodeNewCode(b)
		if err == nil {
			wantLine(t, n.Name, maxName, true)
		}
		return err
	}, `{"name":"Theatre 2","shared":true}`)
}

func FuzzDecodeReason(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		reason, err := decodeReason(b)
		if err == nil {
			wantLine(t, reason, maxReason, true)
		}
		return err
	}, `{"reason":"lost"}`)
}

func FuzzDecodeBar(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		bar, err := decodeBar(b)
		if err == nil {
			wantLine(t, bar.Reason, maxReason, bar.Barred)
		}
		return err
	}, `{"barred":true,"reason":"left"}`, `{"barred":false,"reason":""}`)
}

func FuzzDecodePerformed(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		did, err := decodePerformed(b)
		if err == nil {
			wantLine(t, did.Attempt, maxName, true)
			wantLine(t, string(did.Person), maxName, false)
			if !json.Valid(did.Answer) {
				t.Fatalf("passed: %q", did.Answer)
			}
		}
		return err
	}, `{"attempt":"a","answer":{"id":"x","rawId":"eA","type":"public-key","response":{}}}`, `{"attempt":"a","person":"anna","answer":null}`, `{"attempt":"a","person":"anna"}`)
}

func FuzzDecodeAsked(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		person, err := decodeAsked(b)
		if err == nil {
			wantLine(t, string(person), maxName, true)
		}
		return err
	}, `{"person":"anna"}`, `{"person":["anna"]}`)
}

func FuzzDecodeSignOn(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		link, err := decodeSignOn(b)
		if err == nil && link && !bytes.Contains(bytes.ToLower(b), []byte("true")) {
			t.Fatal("links without being asked to")
		}
		return err
	}, `{"link":true}`, `{"link":false}`, `{"link":"true"}`)
}

func FuzzDecodeBackup(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		name, err := decodeBackup(b)
		if err == nil && (!plainName(name) || NotPortable(name) != "") {
			t.Fatalf("passed: %q", name)
		}
		return err
	}, `{"name":"monday.db"}`, `{"name":"../x"}`)
}

func FuzzDecodeNothing(f *testing.F) {
	fuzzDecoder(f, func(_ *testing.T, b []byte) error { return decodeNothing(b) })
}

func FuzzDecodeWanted(f *testing.F) {
	fuzzDecoder(f, func(t *testing.T, b []byte) error {
		_, parsed, err := decodeWanted(b)
		if errs := checklist.CheckCase(parsed).Errors(); err == nil && len(errs) > 0 {
			t.Fatalf("passed: %v", errs)
		}
		return err
	}, `{"case":{}}`, `{"case":{"id":"x","list":"2027-03-31","position":1,"surgeon":"anna","card":"anna-chop","facts":{"eye":["right eye"]}}}`, `{"case":null,"card":null}`)
}
