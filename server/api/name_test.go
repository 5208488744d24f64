package api_test

import (
	"testing"

	"sideport/server/api"
)

// The names are those of Microsoft's page "Naming Files, Paths, and Namespaces",
// as earthli.com/news/view_article.php?id=3605 quotes it: also with an extension.
func TestNotPortable(t *testing.T) {
	for _, name := range []string{"nul", "NUL.db", "con", "prn.txt", "aux", "com1", "com9.db", "lpt1", "nul .db", "monday.", "monday "} {
		if api.NotPortable(name) == "" {
			t.Errorf("%q is taken for portable", name)
		}
	}
	for _, name := range []string{"monday.db", "console", "null.db", "com.db", "com0", "com10", "lptx", "2027-03-31.db", "a.nul"} {
		if wrong := api.NotPortable(name); wrong != "" {
			t.Errorf("%q %s", name, wrong)
		}
	}
}
