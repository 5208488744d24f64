package checklist

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
	"unicode/utf8"

	"sideport/cards"
)

// The standard decoder takes the last of two fields with one name, and "ID"
// for "id". In a file that people write by hand both hide a mistake, so the
// text is walked once before it is decoded.

// jsonDepth is far deeper than any case or rule book and keeps hostile nesting cheap.
const jsonDepth = 64

// jsonLines gives the line on which each list element and each group begins, by its path: "rules/3/do/0".
type jsonLines map[string]int

// at returns the line of the path, or of the nearest thing around it.
func (l jsonLines) at(path string) int {
	for {
		if line, ok := l[path]; ok {
			return line
		}
		cut := strings.LastIndexByte(path, '/')
		if cut < 0 {
			return l[""]
		}
		path = path[:cut]
	}
}

// decodeStrict reads exactly one JSON value into v. noun names it in problems.
func decodeStrict(b []byte, noun string, v any) (jsonLines, cards.Problems) {
	if !utf8.Valid(b) {
		return nil, jsonProblem("encoding", 0, noun+" is not text in UTF-8. Save it as UTF-8.")
	}
	if len(bytes.TrimSpace(b)) == 0 {
		return nil, jsonProblem("syntax", 0, noun+" is empty. Write it as JSON.")
	}
	w := &jsonWalk{b: b, noun: noun, lines: jsonLines{}, line: 1, dec: json.NewDecoder(bytes.NewReader(b))}
	w.dec.UseNumber()
	if problems := w.value("", 0); problems != nil {
		return nil, problems
	}
	if _, err := w.dec.Token(); !errors.Is(err, io.EOF) {
		return nil, jsonProblem("syntax", w.lineAt(w.dec.InputOffset()), noun+" has something after its end. Remove it.")
	}
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		return nil, w.decodeProblem(err)
	}
	return w.lines, nil
}

func jsonProblem(code string, line int, text string) cards.Problems {
	if line > 0 {
		text = "Line " + strconv.Itoa(line) + ": " + text
	}
	return cards.Problems{{Level: cards.LevelError, Code: code, Text: text, Line: line}}
}

// jsonWalk reads the tokens once, notes the lines and finds fields written twice.
type jsonWalk struct {
	b     []byte
	noun  string
	lines jsonLines
	dec   *json.Decoder
	read  int64 // how far lines are counted
	line  int
}

// lineAt counts on from the last place asked for; earlier places are counted anew.
func (w *jsonWalk) lineAt(offset int64) int {
	offset = min(max(offset, 0), int64(len(w.b)))
	if offset < w.read {
		w.read, w.line = 0, 1
	}
	w.line += bytes.Count(w.b[w.read:offset], []byte{'\n'})
	w.read = offset
	return w.line
}

func (w *jsonWalk) value(path string, depth int) cards.Problems {
	token, err := w.dec.Token()
	if err != nil {
		return w.syntaxProblem(err)
	}
	open, nested := token.(json.Delim)
	if !nested {
		return nil
	}
	if depth >= jsonDepth {
		return jsonProblem("syntax", w.lineAt(w.dec.InputOffset()), w.noun+" is nested too deeply. Write it flatter.")
	}
	w.lines[path] = w.lineAt(w.dec.InputOffset())
	inside := w.list
	if open == '{' {
		inside = w.group
	}
	if problems := inside(path, depth); problems != nil {
		return problems
	}
	if _, err := w.dec.Token(); err != nil {
		return w.syntaxProblem(err)
	}
	return nil
}

func (w *jsonWalk) list(path string, depth int) cards.Problems {
	for n := 0; w.dec.More(); n++ {
		if problems := w.value(join(path, strconv.Itoa(n)), depth+1); problems != nil {
			return problems
		}
	}
	return nil
}

func (w *jsonWalk) group(path string, depth int) cards.Problems {
	seen := map[string]bool{}
	for w.dec.More() {
		token, err := w.dec.Token()
		if err != nil {
			return w.syntaxProblem(err)
		}
		name, _ := token.(string) // the decoder allows nothing else here
		if name != strings.ToLower(name) {
			return jsonProblem("unknown field", w.lineAt(w.dec.InputOffset()), "the name "+quote(name)+" has a capital letter. Names are written in small letters.")
		}
		if seen[name] {
			return jsonProblem("twice", w.lineAt(w.dec.InputOffset()), quote(name)+" stands twice in one group. Keep one.")
		}
		seen[name] = true
		if problems := w.value(join(path, name), depth+1); problems != nil {
			return problems
		}
	}
	return nil
}

func join(path, name string) string {
	if path == "" || name == "" {
		return path + name
	}
	return path + "/" + name
}

func (w *jsonWalk) syntaxProblem(err error) cards.Problems {
	var syntax *json.SyntaxError
	offset := w.dec.InputOffset()
	if errors.As(err, &syntax) {
		offset = max(offset, syntax.Offset)
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return jsonProblem("syntax", w.lineAt(int64(len(w.b))), w.noun+" ends too early. A bracket or a quotation mark is missing.")
	}
	return jsonProblem("syntax", w.lineAt(offset), w.noun+" cannot be read as JSON here. Look for a missing comma, quotation mark or bracket.")
}

func (w *jsonWalk) decodeProblem(err error) cards.Problems {
	var wrong *json.UnmarshalTypeError
	if errors.As(err, &wrong) {
		return jsonProblem("type", w.lineAt(wrong.Offset), fmt.Sprintf("%s is %s, but must be %s.", quote(fieldOr(wrong.Field, w.noun)), jsonArticle(wrong.Value), wanted(wrong.Type)))
	}
	if name, ok := strings.CutPrefix(err.Error(), "json: unknown field "); ok {
		name = strings.Trim(name, `"`)
		return jsonProblem("unknown field", w.lineOfName(name), w.noun+" has no field "+quote(name)+". Check the spelling or remove it.")
	}
	return jsonProblem("type", 0, w.noun+" cannot be read: "+err.Error()+".")
}

func fieldOr(field, noun string) string {
	if field == "" {
		return noun
	}
	return field
}

// lineOfName finds where a field stands that the decoder refused by name alone.
func (w *jsonWalk) lineOfName(name string) int {
	quoted := []byte(strconv.Quote(name))
	for from := 0; ; {
		at := bytes.Index(w.b[from:], quoted)
		if at < 0 {
			return 0
		}
		from += at + len(quoted)
		if rest := bytes.TrimSpace(w.b[from:]); len(rest) > 0 && rest[0] == ':' {
			return w.lineAt(int64(from))
		}
	}
}

func jsonArticle(value string) string {
	switch name, _, _ := strings.Cut(value, " "); name {
	case "string":
		return "a text"
	case "object":
		return "a group in { }"
	case "array":
		return "a list in [ ]"
	case "bool":
		return "true or false"
	}
	return "a number"
}

func wanted(t reflect.Type) string {
	switch t.Kind() {
	case reflect.String:
		return "a text in quotation marks"
	case reflect.Bool:
		return "true or false"
	case reflect.Slice:
		return "a list in [ ]"
	case reflect.Struct, reflect.Map:
		return "a group in { }"
	}
	return "a whole number without quotation marks"
}
