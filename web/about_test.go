package web_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
)

// Everything of others that is shipped is named, with its licence, on the page that says what the program is made with.
func TestAboutNamesEveryVendoredPart(t *testing.T) {
	list, err := os.ReadFile("vendor/vendor.json")
	if err != nil {
		t.Fatal(err)
	}
	var vendored []struct{ Name, Licence string }
	if err := json.Unmarshal(list, &vendored); err != nil {
		t.Fatalf("vendor.json: %v", err)
	}
	if len(vendored) == 0 {
		t.Fatal("vendor.json names nothing")
	}
	page, err := os.ReadFile("app/views/madewith.ts")
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range vendored {
		name, _, _ := strings.Cut(v.Name, ",") // what follows says which cut of a font it is
		line := `{ name: "` + name + `", licence: "` + v.Licence + `" }`
		if !strings.Contains(string(page), line) {
			t.Errorf("app/views/madewith.ts lacks the line %s, as vendor.json has it", line)
		}
	}
}
