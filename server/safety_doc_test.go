package main_test

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A safety file that names a test which is gone vouches for nothing. These
// tests read docs/safety.md and hold it against the tree.

const root = ".."

// row is one line of a table by the name of its column.
type row map[string]string

// tableOf returns the rows of the table whose first columns are these.
func tableOf(t *testing.T, columns ...string) []row {
	t.Helper()
	lines := strings.Split(read(t, "docs/safety.md"), "\n")
	start := slices.IndexFunc(lines, func(l string) bool { return slices.Equal(cells(l), columns) })
	if start < 0 {
		t.Fatalf("docs/safety.md has no table with the columns %q", columns)
	}
	var rows []row
	for _, line := range lines[start+2:] {
		if !strings.HasPrefix(line, "|") {
			break
		}
		found := cells(line)
		if len(found) != len(columns) {
			t.Fatalf("%d fields instead of %d: %s", len(found), len(columns), line)
		}
		r := row{}
		for n, name := range columns {
			r[name] = found[n]
			if found[n] == "" {
				t.Errorf("%s: no %s", found[0], name)
			}
		}
		rows = append(rows, r)
	}
	return rows
}

func cells(line string) []string {
	if !strings.HasPrefix(line, "| ") || !strings.HasSuffix(line, " |") {
		return nil
	}
	out := strings.Split(line[1:len(line)-1], "|")
	for n := range out {
		out[n] = strings.TrimSpace(out[n])
	}
	return out
}

func read(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(path)))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func hazards(t *testing.T) []row {
	t.Helper()
	return tableOf(t, "id", "hazard", "cause", "use scenario", "harm", "initial risk", "control", "evidence", "residual risk", "status")
}

func anomalies(t *testing.T) []row {
	t.Helper()
	return tableOf(t, "id", "what is missing or wrong", "hazards", "until it is mended")
}

func TestSafetyIDsFollowEachOther(t *testing.T) {
	list := hazards(t)
	if len(list) < 34 {
		t.Errorf("%d hazards, want at least 34", len(list))
	}
	for n, r := range list {
		if want := "H" + strconv.Itoa(n+1); r["id"] != want {
			t.Errorf("%s stands where %s should", r["id"], want)
		}
	}
	last := 0 // the number of an anomaly that was mended is not given again, so some are missing
	for _, r := range anomalies(t) {
		n, err := strconv.Atoi(strings.TrimPrefix(r["id"], "A"))
		if err != nil || n <= last {
			t.Errorf("%s stands after A%d", r["id"], last)
		}
		last = n
	}
}

// matrix is the risk by severity and likelihood, as the page prints it.
func matrix(t *testing.T) map[string]int {
	t.Helper()
	likelihoods := []string{"very low", "low", "medium", "high", "very high"}
	out := map[string]int{}
	for _, r := range tableOf(t, append([]string{"severity"}, likelihoods...)...) {
		for _, l := range likelihoods {
			n, err := strconv.Atoi(r[l])
			if err != nil {
				t.Fatalf("%s, %s: %v", r["severity"], l, err)
			}
			out[r["severity"]+" · "+l] = n
		}
	}
	return out
}

// risk takes "major · low · 3" apart and holds it against the matrix.
func risk(t *testing.T, known map[string]int, id, text string) int {
	t.Helper()
	where, figure := text, ""
	if n := strings.LastIndex(text, " · "); n > 0 {
		where, figure = text[:n], text[n+len(" · "):]
	}
	want, ok := known[where]
	if !ok || figure != strconv.Itoa(want) {
		t.Errorf("%s: %q is not what the matrix says (%s is %d)", id, text, where, want)
	}
	return want
}

// The risks are those of the matrix, no control makes one larger, severity
// does not fall because something is done, and a word of comfort has its reason.
func TestSafetyRisksFollowTheMatrix(t *testing.T) {
	known := matrix(t)
	for _, r := range hazards(t) {
		before, after := risk(t, known, r["id"], r["initial risk"]), risk(t, known, r["id"], r["residual risk"])
		if after > before || strings.Split(r["initial risk"], " · ")[0] != strings.Split(r["residual risk"], " · ")[0] {
			t.Errorf("%s: from %s to %s", r["id"], r["initial risk"], r["residual risk"])
		}
		if err := statusFits(r, after, anomalies(t)); err != nil {
			t.Errorf("%s: %v", r["id"], err)
		}
	}
}

// statusFits says why the status of a hazard is not borne out by its row.
func statusFits(r row, after int, open []row) error {
	word, names, _ := strings.Cut(r["status"], ": ")
	tested := len(testRefs(r["evidence"])) > 0
	switch {
	case !slices.Contains([]string{"controlled", "reduced", "open", "unit's process", "not offered"}, word):
		return fmt.Errorf("no such status: %q", r["status"])
	case after >= 4 && word != "open":
		return fmt.Errorf("a risk of %d is %s", after, word)
	case word == "controlled" && (after > 2 || !tested):
		return fmt.Errorf("controlled needs a risk of 2 at most and a test")
	case (word == "unit's process") != strings.HasPrefix(r["control"], "No control in the program"):
		return fmt.Errorf("where the program has no control, the status is “unit's process” and the control says so")
	case (word == "open") != (names != ""):
		return fmt.Errorf("open names an anomaly, nothing else does: %q", r["status"])
	}
	for _, name := range strings.Split(names, ", ") {
		n := slices.IndexFunc(open, func(a row) bool { return a["id"] == name })
		if name != "" && (n < 0 || !slices.Contains(strings.Split(open[n]["hazards"], ", "), r["id"])) {
			return fmt.Errorf("the anomaly %s does not name it", name)
		}
	}
	return nil
}

var owned = regexp.MustCompile(`\((design|test|training|process), (program|unit)\)$`)

// Each control says its kind and its owner; what the program does is shown by a test or a screen.
func TestSafetyControlsHaveKindAndOwner(t *testing.T) {
	for _, r := range hazards(t) {
		program := false
		for _, c := range strings.Split(r["control"], "; ") {
			m := owned.FindStringSubmatch(c)
			if m == nil {
				t.Errorf("%s: no kind and owner: %q", r["id"], c)
				continue
			}
			program = program || m[2] == "program"
			if (m[1] == "training" || m[1] == "process") != (m[2] == "unit") {
				t.Errorf("%s: training and process are the unit's, design and test the program's: %q", r["id"], c)
			}
		}
		if shown := len(testRefs(r["evidence"]))+len(keyRef.FindAllString(r["evidence"], -1)) > 0; shown != program {
			t.Errorf("%s: the program does something (%v), and it is shown (%v)", r["id"], program, shown)
		}
	}
}

var (
	goRef  = regexp.MustCompile("`([a-z][a-z0-9/]*)\\.((?:Test|Fuzz)[A-Za-z0-9]+)(?:/([^`]+))?`")
	tsRef  = regexp.MustCompile("`(web/[a-z/]+\\.test\\.ts) \"([^`]+)\"`")
	keyRef = regexp.MustCompile("`(text|textCase|textDevice|textPin|textProposals|textUnit)((?:\\.[A-Za-z]+)+)`")
)

// testRefs lists every test a text names.
func testRefs(text string) []string {
	return append(goRef.FindAllString(text, -1), tsRef.FindAllString(text, -1)...)
}

// Whatever looks like a name of a test must be read as one, so that a slip of the pen is no evidence.
func TestSafetyNamesOnlyWhatExists(t *testing.T) {
	page := read(t, "docs/safety.md")
	packages := map[string]tested{}
	for _, m := range goRef.FindAllStringSubmatch(page, -1) {
		if _, known := packages[m[1]]; !known {
			packages[m[1]] = testsOf(t, m[1])
		}
		if err := packages[m[1]].has(m[2], m[3]); err != nil {
			t.Errorf("%s: %v", m[0], err)
		}
	}
	for _, m := range tsRef.FindAllStringSubmatch(page, -1) {
		if !strings.Contains(read(t, m[1]), `test("`+m[2]+`"`) {
			t.Errorf("%s has no test %q", m[1], m[2])
		}
	}
	for _, quoted := range regexp.MustCompile("`[^`]*(?:Test|Fuzz|\\.test\\.)[^`]*`").FindAllString(page, -1) {
		if quoted != "`server/safety_doc_test.go`" && !goRef.MatchString(quoted) && !tsRef.MatchString(quoted) {
			t.Errorf("%s is not written as a test is named", quoted)
		}
	}
}

// Words that no screen shows warn nobody.
func TestSafetyNamesOnlyWordsThatAreShown(t *testing.T) {
	screens := client(t)
	for _, m := range keyRef.FindAllStringSubmatch(read(t, "docs/safety.md"), -1) {
		if err := wordsShown(screens, catalogues[m[1]], strings.Split(m[2][1:], ".")); err != nil {
			t.Errorf("%s: %v", m[0], err)
		}
	}
}

// tested is what the tests of one package are called and what their tables say.
type tested struct{ names, texts map[string]bool }

// testsOf reads the tests of a package, with the stories they tell.
func testsOf(t *testing.T, dir string) tested {
	t.Helper()
	found := tested{map[string]bool{}, map[string]bool{}}
	for _, file := range parsed(t, filepath.Join(root, dir, "*_test.go")) {
		for _, d := range file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Recv == nil {
				found.names[f.Name.Name] = true
			}
		}
		collect(file, found.texts)
		for _, spec := range file.Imports {
			if imported := strings.Trim(spec.Path.Value, `"`); strings.HasSuffix(imported, "/storetest") {
				for _, story := range parsed(t, filepath.Join(root, strings.TrimPrefix(imported, "sideport/"), "*.go")) {
					collect(story, found.texts)
				}
			}
		}
	}
	return found
}

// has looks for the function, and for the row among the texts of its package's tests or the files they read.
func (f tested) has(name, part string) error {
	if !f.names[name] {
		return fmt.Errorf("there is no such test")
	}
	if data, _ := filepath.Glob(filepath.Join(root, "testdata", "*", part+".txt*")); part != "" && !f.texts[part] && len(data) == 0 {
		return fmt.Errorf("the test has no row %q", part)
	}
	return nil
}

func parsed(t *testing.T, pattern string) []*ast.File {
	t.Helper()
	paths, err := filepath.Glob(pattern)
	if err != nil {
		t.Fatal(err)
	}
	files := make([]*ast.File, len(paths))
	for n, path := range paths {
		if files[n], err = parser.ParseFile(token.NewFileSet(), path, nil, 0); err != nil {
			t.Fatal(err)
		}
	}
	return files
}

func collect(file *ast.File, texts map[string]bool) {
	ast.Inspect(file, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			if s, err := strconv.Unquote(lit.Value); err == nil {
				texts[s] = true
			}
		}
		return true
	})
}

// catalogues are where the words of the screens stand.
var catalogues = map[string]string{"text": "text.ts", "textCase": "text-case.ts", "textDevice": "text-device.ts",
	"textPin": "text-pin.ts", "textProposals": "text-proposals.ts", "textUnit": "text-unit.ts"}

// wordsShown finds a key in its catalogue and the place of the client that shows it.
func wordsShown(screens map[string]string, catalogue string, path []string) error {
	part, key := screens[catalogue], path[len(path)-1]
	for depth, name := range path {
		at := regexp.MustCompile(`(?m)^` + strings.Repeat("  ", depth+1) + name + `:`).FindStringIndex(part)
		if at == nil {
			return fmt.Errorf("the catalogue %s has no %s", catalogue, name)
		}
		part = part[at[1]:]
		if depth < len(path)-1 {
			part, _, _ = strings.Cut(part, "\n"+strings.Repeat("  ", depth+1)+"}")
		}
	}
	used := regexp.MustCompile(`\b(?:text|textCase|textDevice|textPin|textProposals|textUnit|words)(?:\.[a-z]+)*\.` + key + `\b`)
	for name, source := range screens {
		if !strings.HasPrefix(name, "text") && strings.Contains(source, "."+key) && used.MatchString(source) {
			return nil
		}
	}
	return fmt.Errorf("no screen shows it")
}

// client is every source file of the page by its name; files of one name in two folders are joined.
func client(t *testing.T) map[string]string {
	t.Helper()
	sources := map[string]string{}
	err := filepath.WalkDir(filepath.Join(root, "web", "app"), func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasPrefix(filepath.Ext(path), ".ts") {
			return err
		}
		b, err := os.ReadFile(path)
		sources[filepath.Base(path)] += string(b)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return sources
}

// Everything of others is in the list, in the version that is used.
func TestSafetyListsWhatOthersWrote(t *testing.T) {
	listed := map[string]row{}
	for _, r := range tableOf(t, "name", "version", "licence", "part of", "purpose", "known faults", "if it fails") {
		if listed[r["name"]] != nil {
			t.Errorf("%s stands twice", r["name"])
		}
		listed[r["name"]] = r
	}
	requirement := regexp.MustCompile(`(?m)^\s*(?:require )?([a-z][^\s]*\.[^\s]+) (v\S+)( // indirect)?$`)
	modules := requirement.FindAllStringSubmatch(read(t, "go.mod"), -1)
	if len(modules) < 10 {
		t.Fatalf("%d modules read from go.mod", len(modules))
	}
	for _, m := range modules {
		if r := listed[m[1]]; r == nil && m[3] == "" || r != nil && r["version"] != m[2] {
			t.Errorf("the list has %s %s, go.mod %s", m[1], r["version"], m[2])
		}
	}
	var vendored []struct{ Name, Version, Licence string }
	if err := json.Unmarshal([]byte(read(t, "web/vendor/vendor.json")), &vendored); err != nil || len(vendored) == 0 {
		t.Fatalf("vendor.json: %d parts, %v", len(vendored), err)
	}
	for _, v := range vendored {
		name, _, _ := strings.Cut(v.Name, ",") // what follows says which cut of a typeface it is
		if r := listed[name]; r["version"] != v.Version || r["licence"] != v.Licence {
			t.Errorf("the list has %s %s %s, vendor.json %s %s", name, r["version"], r["licence"], v.Version, v.Licence)
		}
	}
}

// Each of the nine cautions has words that some screen shows.
func TestSafetyCautionsHaveWords(t *testing.T) {
	rows := tableOf(t, "no", "what has to be said", "words", "where", "what is missing")
	if len(rows) != 9 {
		t.Errorf("%d cautions, want 9", len(rows))
	}
	for n, r := range rows {
		if r["no"] != strconv.Itoa(n+1) || !keyRef.MatchString(r["words"]) {
			t.Errorf("caution %s: number or words are missing: %q", r["no"], r["words"])
		}
	}
}
