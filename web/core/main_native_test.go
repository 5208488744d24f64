//go:build !js

package main

import (
	"strings"
	"testing"
)

func TestOneRequestALine(t *testing.T) {
	var out strings.Builder
	in := `diff {"kind":"unit","from":{},"to":{}}` + "\nunknown {}\n"
	if err := serve(strings.NewReader(in), &out); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	if len(lines) != 2 || lines[0] != `{"ok":{"changes":[]}}` || !strings.Contains(lines[1], "unknown") {
		t.Errorf("got %q", lines)
	}
}
