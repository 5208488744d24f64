package cards

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// Canonical writes the one JSON form of a value of this package: fields in
// the order of their declaration, nothing escaped for HTML, no spaces, one
// newline at the end. Revisions are compared and hashed by these bytes.
func Canonical(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, fmt.Errorf("write the canonical form: %w", err)
	}
	return b.Bytes(), nil
}

// Decode reads the JSON form of v strictly: an unknown field, a second value
// or anything after the end is an error, because a misspelt field would
// otherwise be lost without a word.
func Decode(b []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return err
	}
	if rest := bytes.TrimSpace(b[d.InputOffset():]); len(rest) > 0 {
		return fmt.Errorf("something stands after the end: %.20q", rest)
	}
	return nil
}

// same reports whether two values have the same canonical form. An empty list and no list are the same.
func same(a, b any) bool { return bytes.Equal(raw(a), raw(b)) }

// raw is the canonical form without the newline. The types of this package always have one.
func raw(v any) json.RawMessage {
	b, err := Canonical(v)
	if err != nil {
		panic("cards: a value of this package has no JSON form: " + err.Error())
	}
	return bytes.TrimSuffix(b, []byte("\n"))
}
