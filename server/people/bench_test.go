package people

import (
	"testing"
	"time"

	"sideport/server/edits"
)

// BenchmarkPIN is one look at a PIN: what a sign-in costs the server, and what one guess costs whoever has copied the file.
func BenchmarkPIN(b *testing.B) {
	d := &Doors{Config: Config{Now: time.Now, Random: func([]byte) {}}}
	row := d.hashPIN("123456", "")
	for b.Loop() {
		if row.is("000000") {
			b.Fatal("a wrong PIN fits")
		}
	}
}

// BenchmarkSignedBytes is what checking an edit costs besides the signature itself.
func BenchmarkSignedBytes(b *testing.B) {
	e := edits.Edit{ID: "0102030405060708090a0b0c0d0e0f10", Kind: edits.Card, Doc: "anna-chop", Author: "anna", Device: "0102030405060708090a0b0c0d0e0f10",
		Key: "0102030405060708090a0b0c0d0e0f10", Body: []byte(`{"id":"anna-chop"}`), Chain: &edits.Link{N: 1, Prev: firstPrev}}
	for b.Loop() {
		if _, err := SignedBytes(e); err != nil {
			b.Fatal(err)
		}
	}
}
