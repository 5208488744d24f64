package api

import (
	"testing"
	"time"

	"sideport/server/edits"
)

// FuzzDecodePush looks for a request that passes and could not be answered with one receipt an edit.
func FuzzDecodePush(f *testing.F) {
	for _, seed := range []string{
		`{"protocol":1,"device":"00000000000000000000000000000001","edits":[{"id":"00000000000000000000000000000002","kind":"card","doc":"a","parent":0,"author":"anna","device":"00000000000000000000000000000001","made":"","reason":"","body":{}}]}`,
		`{"protocol":1,"device":"00000000000000000000000000000001","edits":[]}`,
		`{"protocol":1,"edits":[{"id":"x"}]}`,
		`{"protocol":1,"edits":[{"body":[[[[["\\\"[[["]]]]]}]}`,
		`[[[[[[`, `""`, `null`, `{"protocol":1}{}`, "\xff",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := decodePush(b)
		if err != nil {
			if public(err).Code != BadRequest {
				t.Fatalf("refused with %v", err)
			}
			return
		}
		if len(p.Edits) == 0 || len(p.Edits) > maxEdits {
			t.Fatalf("%d edits passed", len(p.Edits))
		}
		for _, e := range p.Edits {
			if e.Malformed() != nil || !edits.IsHex32(string(e.ID)) {
				t.Fatalf("passed malformed: %+v", e)
			}
			if _, err := edits.Encode(e); err != nil {
				t.Fatalf("passed what cannot be kept: %v", err)
			}
			log := &edits.Memory{}
			if r, err := edits.Accept(log, time.Time{}, e); err != nil || r.Outcome == "" {
				t.Fatalf("no receipt: %+v, %v", r, err)
			}
		}
	})
}
