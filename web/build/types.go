package main

import (
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"sideport/cards"
	"sideport/checklist"
	"sideport/checklist/risk"
)

// roots are the Go types whose JSON the screens handle. Everything they refer
// to is written as well, so a field added in Go is a field in TypeScript.
var roots = []reflect.Type{
	reflect.TypeFor[cards.Card](),
	reflect.TypeFor[cards.View](),
	reflect.TypeFor[cards.Problem](),
	reflect.TypeFor[cards.Question](),
	reflect.TypeFor[cards.Parameter](),
	reflect.TypeFor[cards.Factor](),
	reflect.TypeFor[cards.Person](),
	reflect.TypeFor[cards.EyeUnit](),
	reflect.TypeFor[checklist.Case](),
	reflect.TypeFor[checklist.RuleBook](),
	reflect.TypeFor[checklist.Sheet](),
	reflect.TypeFor[checklist.Trial](),
	reflect.TypeFor[cards.Calculation](),
	reflect.TypeFor[cards.Working](),
	reflect.TypeFor[risk.Assessment](),
	reflect.TypeFor[risk.Input](),
	reflect.TypeFor[risk.Table](),
	reflect.TypeFor[checklist.Ranked](),
	reflect.TypeFor[cards.LargeChange](),
}

// choicesOf says which closed choices a Go type holds, where the name alone does not tell.
var choicesOf = map[string][]cards.ChoiceName{
	"IncisionAt": {"incision"},
	"Unit":       {"strength", "dose"},
}

// typeWriter turns Go types into TypeScript declarations.
type typeWriter struct {
	constants map[string][]string // values of the typed constants in the sources
	done      map[string]reflect.Type
	out       map[string]string
	err       error
}

// typesTS returns generated/types.ts. constants holds the values of typed string constants by type name.
func typesTS(constants map[string][]string) ([]byte, error) {
	w := &typeWriter{constants: constants, done: map[string]reflect.Type{}, out: map[string]string{}}
	for _, t := range roots {
		w.ref(t)
	}
	if w.err != nil {
		return nil, w.err
	}
	names := make([]string, 0, len(w.out))
	for name := range w.out {
		names = append(names, name)
	}
	slices.Sort(names)
	var b strings.Builder
	b.WriteString("// Written by web/build from the Go types. Do not edit.\n")
	for _, name := range names {
		b.WriteString("\n" + w.out[name])
	}
	return []byte(b.String()), nil
}

var (
	textMarshaler = reflect.TypeFor[encoding.TextMarshaler]()
	jsonMarshaler = reflect.TypeFor[json.Marshaler]()
	rawMessage    = reflect.TypeFor[json.RawMessage]()
	caseValue     = reflect.TypeFor[checklist.Value]()
)

// ref returns how TypeScript names the type, and declares it when it has a name of its own.
func (w *typeWriter) ref(t reflect.Type) string {
	switch {
	case t == rawMessage:
		return "unknown"
	case t == caseValue:
		return "string | string[]"
	case t.Implements(textMarshaler):
		return w.declare(t, func() string { return "string" })
	case t.Implements(jsonMarshaler):
		w.fail(t, "has its own JSON form: say in web/build/types.go what it is in TypeScript")
		return "unknown"
	}
	switch t.Kind() {
	case reflect.Pointer:
		return w.ref(t.Elem())
	case reflect.Slice, reflect.Array:
		return array(w.ref(t.Elem()))
	case reflect.Map:
		return "Record<string, " + w.ref(t.Elem()) + ">"
	case reflect.Bool:
		return "boolean"
	case reflect.String:
		if t.PkgPath() == "" {
			return "string"
		}
		return w.declare(t, func() string { return w.union(t.Name()) })
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64, reflect.Uint, reflect.Uint64:
		return "number"
	case reflect.Struct:
		return w.declareStruct(t)
	}
	w.fail(t, "cannot be sent to the screens: give it a JSON form")
	return "unknown"
}

func array(element string) string {
	if strings.Contains(element, "|") {
		return "(" + element + ")[]"
	}
	return element + "[]"
}

// fresh notes the name and reports whether it still has to be declared.
func (w *typeWriter) fresh(t reflect.Type) bool {
	seen, ok := w.done[t.Name()]
	if ok && seen != t {
		w.fail(t, "has the name of another type that the screens see: rename one of them")
	}
	w.done[t.Name()] = t
	return !ok
}

func (w *typeWriter) declare(t reflect.Type, body func() string) string {
	if w.fresh(t) {
		w.out[t.Name()] = "export type " + t.Name() + " = " + body() + ";\n"
	}
	return t.Name()
}

func (w *typeWriter) declareStruct(t reflect.Type) string {
	if w.fresh(t) {
		w.out[t.Name()] = "export interface " + t.Name() + " {\n" + w.fields(t) + "}\n"
	}
	return t.Name()
}

func (w *typeWriter) fields(t reflect.Type) string {
	var b strings.Builder
	for i := range t.NumField() {
		f := t.Field(i)
		tag, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case tag == "-" || !f.IsExported() && !f.Anonymous:
			continue
		case f.Anonymous && tag == "":
			b.WriteString(w.fields(f.Type))
			continue
		case tag == "":
			w.fail(t, "field "+f.Name+" has no json name: give it one")
		}
		optional := ""
		if strings.Contains(options, "omit") {
			optional = "?"
		}
		fmt.Fprintf(&b, "  %s%s: %s;\n", tag, optional, w.ref(f.Type))
	}
	return b.String()
}

// union lists the words a closed choice may be; a type without a list is any text.
func (w *typeWriter) union(name string) string {
	values := w.constants[name]
	if choices := choiceValues(name); choices != nil {
		values = choices
	}
	if len(values) < 2 { // one constant names a special value, not a closed choice
		return "string"
	}
	quoted := make([]string, len(values))
	for i, v := range values {
		quoted[i] = quote(v)
	}
	return strings.Join(quoted, " | ")
}

func choiceValues(typeName string) []string {
	names := choicesOf[typeName]
	if names == nil {
		names = []cards.ChoiceName{cards.ChoiceName(spaced(typeName))}
	}
	var values []string
	for _, name := range names {
		for _, v := range cards.Choices[name] {
			if !slices.Contains(values, v) {
				values = append(values, v)
			}
		}
	}
	return values
}

// spaced turns PhaseKind into "phase kind".
func spaced(name string) string {
	var b strings.Builder
	for i, r := range name {
		if i > 0 && r >= 'A' && r <= 'Z' {
			b.WriteByte(' ')
		}
		b.WriteString(strings.ToLower(string(r)))
	}
	return b.String()
}

func quote(s string) string {
	b, err := json.Marshal(s)
	if err != nil {
		panic(err) // a Go string always has a JSON form
	}
	return string(b)
}

func (w *typeWriter) fail(t reflect.Type, what string) {
	if w.err == nil {
		w.err = fmt.Errorf("the type %s %s", t, what)
	}
}
