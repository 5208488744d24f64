package cards

import (
	"bytes"
	"path/filepath"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// roundTrip holds the first law: what Format writes, Parse reads back, equal in every field.
func roundTrip(t *rapid.T) {
	c := storableCard().Draw(t, "card")
	md := Format(c)
	got, problems := Parse(md)
	if len(problems.Errors()) > 0 {
		t.Fatalf("the written card has problems:\n%v\n%s", problems.Errors(), md)
	}
	if !reflect.DeepEqual(got, c) {
		t.Fatalf("not the same card:\nwant %+v\ngot  %+v\n%s", c, got, md)
	}
}

func TestFormatThenParse(t *testing.T) { rapid.Check(t, roundTrip) }

func FuzzFormat(f *testing.F) { f.Fuzz(rapid.MakeFuzz(roundTrip)) }

// FuzzParse (seeded with small files, which go further in the same time) holds the second law for whatever is read without errors: writing
// and reading it again changes nothing. All else must be refused, with a line.
func FuzzParse(f *testing.F) {
	f.Add(Format(plain()))
	for _, c := range acceptedFiles {
		f.Add([]byte(c.md))
	}
	for _, c := range reportedFiles {
		if len(c.md) < 1000 {
			f.Add([]byte(c.md))
		}
	}
	f.Fuzz(func(t *testing.T, md []byte) { fixedPoint(t, md) })
}

func fixedPoint(t testing.TB, md []byte) {
	c, problems := Parse(md)
	for _, p := range problems {
		if p.Line < 1 || p.Line > 1+bytes.Count(md, []byte("\n"))+bytes.Count(md, []byte("\r")) || p.Code == "" || p.Text == "" {
			t.Fatalf("a problem without its line, code or sentence: %+v", p)
		}
	}
	first := Format(c)
	if len(problems.Errors()) > 0 {
		return
	}
	again, problems := Parse(first)
	if len(problems.Errors()) > 0 {
		t.Fatalf("the written card has problems:\n%v\n%s", problems.Errors(), first)
	}
	if second := Format(again); !bytes.Equal(first, second) {
		t.Fatalf("not a fixed point:\n%s\nthen:\n%s", first, second)
	}
}

// glob finds the files of a pattern and fails when there are none, so that a moved folder cannot empty a test.
func glob(t testing.TB, pattern string) []string {
	t.Helper()
	names, err := filepath.Glob(pattern)
	if err != nil || len(names) == 0 {
		t.Fatalf("no file matches %s (%v)", pattern, err)
	}
	return names
}
