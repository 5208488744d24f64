package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"sideport/cards"
	"sideport/checklist"
)

// vocabularyTS returns generated/vocabulary.ts: the tables of the domain, so
// that no label, unit or bound is typed a second time for the screens.
func vocabularyTS() ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("// Written by web/build from the Go tables. Do not edit.\n")
	b.WriteString("import type { Factor, FactorKind, Op, Parameter, PauseID, PersonRole } from \"./types\";\n")
	tables := []struct {
		name, typ string
		value     any
	}{
		{"parameters", "readonly Parameter[]", cards.Parameters},
		{"factors", "readonly Factor[]", cards.Factors},
		{"ops", "Readonly<Record<FactorKind, readonly Op[]>>", cards.Ops},
		{"pauseIDs", "readonly PauseID[]", checklist.PauseIDs},
		{"roles", "readonly string[]", checklist.Roles},
		{"personRoles", "readonly PersonRole[]", cards.PersonRoles},
		{"words", "", map[string]string{"yes": cards.Yes, "no": cards.No, "notKnown": cards.NotKnown, "none": cards.None}},
		{"choices", "", cards.Choices},
	}
	for _, t := range tables {
		if err := writeTable(&b, t.name, t.typ, t.value); err != nil {
			return nil, err
		}
	}
	return b.Bytes(), nil
}

// writeTable writes one table a line; without a type the literal keeps its own (as const).
func writeTable(b *bytes.Buffer, name, typ string, value any) error {
	text, err := plainJSON(value)
	if err != nil {
		return fmt.Errorf("write the table %s: %w", name, err)
	}
	if typ == "" {
		fmt.Fprintf(b, "\nexport const %s = %s as const;\n", name, text)
		return nil
	}
	fmt.Fprintf(b, "\nexport const %s: %s = %s;\n", name, typ, text)
	return nil
}

// plainJSON is JSON without the escapes meant for HTML.
func plainJSON(v any) (string, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return "", err
	}
	return strings.TrimSuffix(b.String(), "\n"), nil
}
