package main

import (
	"strings"
	"testing"
)

// The table of who may do what, as the screens read it. What it says is tested
// in server/people, against the rules of the unit written out one by one.
func TestWhoMayDoWhatIsWrittenForTheScreens(t *testing.T) {
	b, err := mayTS()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{
		`export type Action = | "own card" | "propose" | "case" | "rules" | "unit" | "person" | "record" | "office";`,
		`export const may: Readonly<Record<PersonRole, readonly Action[]>> = {"reader":["record"],`,
	} {
		if !strings.Contains(string(b), line) {
			t.Errorf("there is no line\n%s\nin\n%s", line, b)
		}
	}
}
