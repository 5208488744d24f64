package main_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// docs/security-asvs.md answers every requirement of levels 1 and 2 of the OWASP
// ASVS 5.0.0, whose ids stand in testdata/asvs-5.0.0.txt. An answer that is
// missing, or that leans on a test that is gone, promises what nobody looks at.

const requirements = "docs/security-asvs.md"

// demanded reads the ids of the standard, each with its level.
func demanded(t *testing.T) []row {
	t.Helper()
	var list []row
	for line := range strings.Lines(read(t, "testdata/asvs-5.0.0.txt")) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		id, level, ok := strings.Cut(strings.TrimSpace(line), " ")
		if !ok {
			t.Fatalf("no level: %q", line)
		}
		list = append(list, row{"id": id, "level": level})
	}
	return list
}

func answers(t *testing.T) []row {
	t.Helper()
	return tablesOf(t, requirements, "id", "level", "how met, or why it does not apply, or that it is not met", "test")
}

// 70 requirements of level 1 and 183 of level 2: counted in the standard's own file.
func TestSecurityAnswersEveryRequirement(t *testing.T) {
	want, got := demanded(t), answers(t)
	levels := map[string]int{}
	for _, r := range want {
		levels[r["level"]]++
	}
	if levels["1"] != 70 || levels["2"] != 183 || len(levels) != 2 {
		t.Fatalf("the list of the standard holds %v", levels)
	}
	for n := range max(len(want), len(got)) {
		if n >= len(want) || n >= len(got) || got[n]["id"] != want[n]["id"] || got[n]["level"] != want[n]["level"] {
			t.Fatalf("row %d of %s: the page has %v, the standard %v", n+1, requirements, at(got, n), at(want, n))
		}
	}
}

func at(list []row, n int) string {
	if n >= len(list) {
		return "nothing"
	}
	return list[n]["id"] + " of level " + list[n]["level"]
}

// answerFits says why the words of an answer and its test do not go together.
func answerFits(r row) error {
	how, shown := r["how met, or why it does not apply, or that it is not met"], r["test"]
	without := strings.HasPrefix(how, "not met: ") || strings.HasPrefix(how, "does not apply: ")
	if without {
		if shown != "–" {
			return fmt.Errorf("a row that is not met or does not apply has no test, and this one has %s", shown)
		}
		return nil
	}
	for part := range strings.SplitSeq(shown, "; ") {
		if !slices.Equal(testRefs(part), []string{part}) {
			return fmt.Errorf("%q is no test: name one, or say “not met: …” or “does not apply: …”", part)
		}
	}
	return nil
}

func TestSecurityAnswersAreShown(t *testing.T) {
	for _, r := range answers(t) {
		if err := answerFits(r); err != nil {
			t.Errorf("%s: %v", r["id"], err)
		}
	}
	for _, bad := range []row{
		{"how met, or why it does not apply, or that it is not met": "By care", "test": "–"},
		{"how met, or why it does not apply, or that it is not met": "By care", "test": "see above"},
		{"how met, or why it does not apply, or that it is not met": "not met: nobody looked", "test": "`server.TestMain`"},
	} {
		if answerFits(bad) == nil {
			t.Errorf("%v passes", bad)
		}
	}
}

// The counts in the page's first lines are those of the table.
func TestSecurityCountsItsAnswers(t *testing.T) {
	met, not, other := 0, 0, 0
	for _, r := range answers(t) {
		switch how := r["how met, or why it does not apply, or that it is not met"]; {
		case strings.HasPrefix(how, "not met: "):
			not++
		case strings.HasPrefix(how, "does not apply: "):
			other++
		default:
			met++
		}
	}
	if words := fmt.Sprintf("%d are met, %d are **not met**, %d do not apply", met, not, other); !strings.Contains(read(t, requirements), words) {
		t.Errorf("%s does not say that %s", requirements, words)
	}
}

// bareTest is a test that docs/security.md names without its package.
var bareTest = regexp.MustCompile("`(Test[A-Za-z0-9]+)`")

// whereRulesAre are the packages whose tests docs/security.md names.
var whereRulesAre = []string{"server", "server/api", "server/people", "server/signin", "server/store", "web/e2e", "cards"}

func TestSecurityNamesOnlyTestsThatExist(t *testing.T) {
	packages := map[string]tested{}
	of := func(dir string) tested {
		if _, known := packages[dir]; !known {
			packages[dir] = testsOf(t, dir)
		}
		return packages[dir]
	}
	pages := read(t, requirements) + read(t, "docs/security.md")
	for _, m := range goRef.FindAllStringSubmatch(pages, -1) {
		if err := of(m[1]).has(m[2], m[3]); err != nil {
			t.Errorf("%s: %v", m[0], err)
		}
	}
	for _, m := range tsRef.FindAllStringSubmatch(pages, -1) {
		if !strings.Contains(read(t, m[1]), `test("`+m[2]+`"`) {
			t.Errorf("%s has no test %q", m[1], m[2])
		}
	}
	for _, m := range bareTest.FindAllStringSubmatch(pages, -1) {
		if !slices.ContainsFunc(whereRulesAre, func(dir string) bool { return of(dir).names[m[1]] }) {
			t.Errorf("there is no test %s in any of %v", m[1], whereRulesAre)
		}
	}
}
