package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// speaking are the packages whose texts reach a screen of the client.
var speaking = []string{"cards", "checklist", "checklist/risk", "web/core", "server/api", "server/people", "server/edits", "server/signin"}

// Every text of the core and every answer of the server has its German.
func TestEveryTextOfTheCoreHasItsGerman(t *testing.T) {
	g := readToldGerman(t)
	for _, dir := range speaking {
		t.Run(strings.ReplaceAll(dir, "/", "-"), func(t *testing.T) {
			for _, text := range textsOfPackage(t, filepath.Join("..", "..", dir)) {
				if notToldBecause(text.where, text.words) == "" && !g.toldInAnyWay(text.words) {
					t.Errorf("%s: no German: %s", text.where, text.words)
				}
			}
		})
	}
}

// An exemption that fits no text any more is taken away.
func TestEveryExemptionFromGermanIsNeeded(t *testing.T) {
	var all []string
	for _, dir := range speaking {
		for _, text := range textsOfPackage(t, filepath.Join("..", "..", dir)) {
			all = append(all, text.words)
		}
	}
	for _, e := range notTold {
		for _, words := range e.texts {
			if !slices.Contains(all, words) {
				t.Errorf("no text of the source is %q (%s)", words, e.because)
			}
		}
	}
}

// toldInAnyWay tries a text as it stands, and behind what the checkers put before it.
func (g *toldGerman) toldInAnyWay(text string) bool {
	for _, way := range []string{"%s", "§ %s", "§: %s", "“§” of the record %s", "This line %s.", "§: “§” %s", "§: line § %s", "%s.", "%s§", "§%s"} {
		if len(g.left(fmt.Sprintf(way, strings.TrimSpace(text)))) == 0 {
			return true
		}
	}
	whole, there := composed[text]
	return there && len(whole) > 0 && !slices.ContainsFunc(whole, func(w string) bool { return len(g.left(w)) > 0 })
}

type sourceText struct{ where, words string }

// textsOfPackage gathers the texts that look like words for people: literals,
// format strings and what is joined with +, each expression as a place §.
func textsOfPackage(t *testing.T, dir string) []sourceText {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no source in %s: %v", dir, err)
	}
	fset := token.NewFileSet()
	w := &sourceWalker{constants: map[string]string{}}
	var files []*ast.File
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
		w.constantsOf(f)
	}
	for _, f := range files {
		w.name = filepath.Base(fset.Position(f.Pos()).Filename)
		ast.Inspect(f, w.visit)
	}
	return w.out
}

type sourceWalker struct {
	constants map[string]string
	name      string
	out       []sourceText
}

func (w *sourceWalker) constantsOf(f *ast.File) {
	ast.Inspect(f, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		for i, value := range spec.Values {
			if text, ok := literal(value); ok && i < len(spec.Names) {
				w.constants[spec.Names[i].Name] = text
			}
		}
		return true
	})
}

func literal(e ast.Expr) (string, bool) {
	lit, ok := e.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return "", false
	}
	text, err := strconv.Unquote(lit.Value)
	return text, err == nil
}

func (w *sourceWalker) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.ImportSpec:
		return false
	case *ast.Field:
		n.Tag = nil
	case *ast.CallExpr:
		return !forProgrammers(n)
	case *ast.BinaryExpr:
		if n.Op == token.ADD && hasLiteral(n) {
			w.take(n)
			return false
		}
	case *ast.BasicLit:
		w.take(n)
	}
	return true
}

// forProgrammers says that a call words something nobody at a screen reads: a panic, a wrapped error, a log.
func forProgrammers(call *ast.CallExpr) bool {
	if name, ok := call.Fun.(*ast.Ident); ok {
		return name.Name == "panic"
	}
	fun, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		return false
	}
	if x, ok := fun.X.(*ast.Ident); ok && (x.Name == "slog" || x.Name == "log") {
		return true
	}
	if fun.Sel.Name != "Errorf" || len(call.Args) == 0 {
		return false
	}
	format, _ := literal(call.Args[0])
	return strings.Contains(format, "%w")
}

func hasLiteral(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.BinaryExpr:
		return e.Op == token.ADD && (hasLiteral(e.X) || hasLiteral(e.Y))
	case *ast.ParenExpr:
		return hasLiteral(e.X)
	}
	_, ok := literal(e)
	return ok
}

var (
	verbs      = regexp.MustCompile(`%[-+#0-9.*\[\]]*[a-zA-Z]`)
	forPeople  = regexp.MustCompile(`\pL\S* \S|\S \S*\pL|^\p{Lu}\p{Ll}`)
	onlySymbol = regexp.MustCompile(`^[a-z0-9_\-/§.{}:]*$`)
)

// take keeps the text of an expression, and looks for others inside its places.
func (w *sourceWalker) take(e ast.Expr) {
	var places []ast.Expr
	words := w.joined(e, &places)
	if bare := strings.ReplaceAll(words, "§", ""); forPeople.MatchString(bare) && !onlySymbol.MatchString(words) {
		w.out = append(w.out, sourceText{w.name, words})
	}
	for _, p := range places {
		ast.Inspect(p, w.visit)
	}
}

func (w *sourceWalker) joined(e ast.Expr, places *[]ast.Expr) string {
	switch e := e.(type) {
	case *ast.BinaryExpr:
		return w.joined(e.X, places) + w.joined(e.Y, places)
	case *ast.ParenExpr:
		return w.joined(e.X, places)
	case *ast.BasicLit:
		text, _ := literal(e)
		text = strings.ReplaceAll(text, "%q", "\"§\"")
		return strings.ReplaceAll(verbs.ReplaceAllString(text, "§"), "%%", "%")
	case *ast.Ident:
		if text, ok := w.constants[e.Name]; ok {
			return text
		}
	case *ast.CallExpr:
		if name, ok := e.Fun.(*ast.Ident); ok && name.Name == "quote" {
			*places = append(*places, e)
			return "“§”"
		}
	}
	*places = append(*places, e)
	return "§"
}
