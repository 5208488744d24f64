package main

import (
	"bytes"
	"encoding/json"
	"fmt"

	"sideport/cards"
	"sideport/server/people"
)

// mayTS returns generated/may.ts: who may do what, so that a screen offers
// only what the server takes.
func mayTS() ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("// Written by web/build from the table in server/people. Do not edit.\n")
	b.WriteString("import type { PersonRole } from \"./types\";\n\n")
	b.WriteString("export type Action =")
	for _, a := range people.Actions {
		text, err := json.Marshal(a)
		if err != nil {
			return nil, fmt.Errorf("write the actions: %w", err)
		}
		fmt.Fprintf(&b, " | %s", text)
	}
	b.WriteString(";\n")
	may := people.May()
	for _, role := range cards.PersonRoles {
		if len(may[role]) == 0 {
			return nil, fmt.Errorf("the table in server/people says nothing about the role %q", role)
		}
	}
	err := writeTable(&b, "may", "Readonly<Record<PersonRole, readonly Action[]>>", may)
	return b.Bytes(), err
}
