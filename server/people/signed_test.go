package people_test

import (
	"crypto/ed25519"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sideport/server/edits"
	"sideport/server/people"
)

// vector is a signed edit made with openssl and sha256sum alone (testdata/signed/make.sh).
type vector struct {
	About  string
	Alg    string
	Public string
	Signed string
	Hash   string
	Edit   edits.Edit
}

func vectors(t testing.TB) map[string]vector {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "signed", "*.json"))
	if err != nil || len(files) == 0 {
		t.Fatalf("there are no vectors: %v", err)
	}
	all := map[string]vector{}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var v vector
		if err := json.Unmarshal(b, &v); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		all[strings.TrimSuffix(filepath.Base(file), ".json")] = v
	}
	return all
}

func unhex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestSignedBytes(t *testing.T) {
	for name, v := range vectors(t) {
		t.Run(name, func(t *testing.T) {
			signed, err := people.SignedBytes(v.Edit)
			if err != nil || string(signed) != v.Signed {
				t.Fatalf("%s: signed bytes are\n%s\nand should be\n%s\n%v", v.About, signed, v.Signed, err)
			}
			public := unhex(t, v.Public)
			if id := people.NameKey(public); string(id) != v.Edit.Key {
				t.Errorf("the key is named %s, want %s", id, v.Edit.Key)
			}
			if !people.Fits(v.Alg, public, signed, v.Edit.Sig) {
				t.Error("the signature that openssl made is not taken for one")
			}
			if people.Fits(v.Alg, public, append(signed, '\n'), v.Edit.Sig) {
				t.Error("the signature fits other bytes")
			}
			if people.Fits(v.Alg, public, signed, v.Edit.Sig+"==") || people.Fits(v.Alg, public, signed, flipped(v.Edit.Sig)) {
				t.Error("another signature fits")
			}
		})
	}
}

// flipped changes one bit of a signature.
func flipped(sig string) string {
	b, _ := base64.RawURLEncoding.DecodeString(sig)
	b[10] ^= 1
	return base64.RawURLEncoding.EncodeToString(b)
}

// The log keeps an edit as JSON; what was signed must come out of it again.
func TestSignedBytesSurviveTheLog(t *testing.T) {
	for name, v := range vectors(t) {
		kept, err := edits.Encode(edits.Entry{Seq: 1, Edit: v.Edit})
		if err != nil {
			t.Fatal(err)
		}
		var entry edits.Entry
		if err := json.Unmarshal(kept, &entry); err != nil {
			t.Fatal(err)
		}
		if signed, err := people.SignedBytes(entry.Edit); err != nil || string(signed) != v.Signed {
			t.Errorf("%s: out of the log come\n%s\nand were signed\n%s\n%v", name, signed, v.Signed, err)
		}
	}
}

// RFC 8032, section 7.1, tests 1 to 3.
func TestEd25519(t *testing.T) {
	for _, v := range []struct{ public, message, sig string }{
		{"d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
			"e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"},
		{"3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
			"92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"},
		{"fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
			"6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"},
	} {
		public, message := unhex(t, v.public), unhex(t, v.message)
		sig := base64.RawURLEncoding.EncodeToString(unhex(t, v.sig))
		if !people.Fits(people.Ed25519, public, message, sig) {
			t.Errorf("the signature of %q does not fit", v.message)
		}
		if people.Fits(people.Ed25519, public, append(message, 1), sig) || people.Fits(people.P256, public, message, sig) {
			t.Errorf("the signature of %q fits too much", v.message)
		}
	}
}

// Two edits must never give the same bytes, so nothing is signed whose names could run together.
func TestNothingThatCouldReadTwoWaysIsSigned(t *testing.T) {
	good := vectors(t)["was-ed25519"].Edit
	for name, alter := range map[string]func(*edits.Edit){
		"two names in one":          func(e *edits.Edit) { e.Was.Takes[0] += "," + e.Was.Takes[0] },
		"a line break in a name":    func(e *edits.Edit) { e.Decides = []edits.QuestionID{"0102030405060708090a0b0c0d0e0f1\n"} },
		"a dash for a name":         func(e *edits.Edit) { e.Was.After = "-" },
		"a proposal that is none":   func(e *edits.Edit) { e.Was.Declines[0] = "x" },
		"a key that is none":        func(e *edits.Edit) { e.Key = "x" },
		"no chain":                  func(e *edits.Edit) { e.Chain = nil },
		"a chain from nought":       func(e *edits.Edit) { e.Chain.N = 0 },
		"a chain of another form":   func(e *edits.Edit) { e.Chain.Prev = "0" },
		"checked by somebody else":  func(e *edits.Edit) { e.Checked = "there" },
		"fewer answers than signed": func(e *edits.Edit) { e.Takes = nil },
		"more answers than signed":  func(e *edits.Edit) { e.Declines = append(e.Declines, e.Declines[0]) },
		"a body that is no JSON":    func(e *edits.Edit) { e.Body = json.RawMessage("{") },
	} {
		e := copied(t, good)
		alter(&e)
		if b, err := people.SignedBytes(e); err == nil {
			t.Errorf("%s: signed bytes are made\n%s", name, b)
		}
	}
}

func copied(t testing.TB, e edits.Edit) edits.Edit {
	t.Helper()
	b, err := edits.Encode(e)
	if err != nil {
		t.Fatal(err)
	}
	var out edits.Edit
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// FuzzSignedBytes: whatever comes, the bytes are one value a line, or none are made.
func FuzzSignedBytes(f *testing.F) {
	for _, v := range vectors(f) {
		b, err := edits.Encode(v.Edit)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b, []byte(v.Edit.Sig), unhex(f, v.Public))
	}
	f.Fuzz(func(t *testing.T, raw, sig, public []byte) {
		var e edits.Edit
		if json.Unmarshal(raw, &e) != nil {
			return
		}
		signed, err := people.SignedBytes(e)
		if err != nil {
			return
		}
		if n := strings.Count(string(signed), "\n"); n != 16 {
			t.Errorf("%d lines: %s", n+1, signed)
		}
		for _, alg := range []string{people.Ed25519, people.P256, ""} {
			if people.Fits(alg, public, signed, string(sig)) && !(alg == people.Ed25519 && len(public) == ed25519.PublicKeySize) && len(public) != 65 {
				t.Errorf("a signature fits a key of %d bytes", len(public))
			}
		}
	})
}
