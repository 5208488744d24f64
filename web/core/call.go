// Command core is the bridge between the browser and the rules: compiled to
// WebAssembly it is what the client checks, generates and merges with; run
// natively it answers one request a line, for looking at an answer by hand:
//
//	echo 'check {"kind":"card","body":{…}}' | go run ./web/core
//
// It holds no rule of its own.
//
// # The bridge
//
// Twin of web/app/core/protocol.ts: a change here is a change there.
//
// One call: a name and bytes go in, bytes come out. Both are JSON. The answer
// is {"ok": …} or {"error": {"code", "text", "problems"}}.
//
//	check     {kind, body}                                       → {problems, view?, body}
//	generate  {card, card_revision, rules, rules_revision, case} → sheet
//	merge     {kind, base, head, mine}                           → {body, questions}
//	diff      {kind, from, to}                                   → {changes}
//	format    {card}                                             → {markdown}
//	parse     {markdown}                                         → {card, problems}
//	reckon    {name, in}                                         → {working, problems}
//	calculations {parts}                                         → {calculations, recipes}
//	risk      {parts, case, given}                               → assessment; refused while the unit has the part off
//	risk_tables {}                                               → {purpose, inputs, tables}
//	trial     {from, to, cases: [{card, case}]}                  → {trials}
//	reading   {pauses: [[text]]}                                 → {pauses: [{words, seconds, long, most}]}
//	rank      {cards, case}                                      → {ranked}
//	big_changes {kind, from, to}                                 → {changes: [{path, label, from, to, factor}]}
//	identity  {label, text}                                      → {problems}
//
// Calls are synchronous and depend on nothing but their bytes. A panic becomes
// an error: the caller must then take it that nothing was kept.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"runtime/debug"
	"slices"
	"strings"

	"sideport/cards"
	"sideport/checklist"
)

// failure is the error side of an answer.
type failure struct {
	Code     string         `json:"code"` // "bad request" or "internal"
	Text     string         `json:"text"`
	Problems cards.Problems `json:"problems,omitempty"`
}

func (f failure) Error() string { return f.Text }

func refuse(format string, args ...any) error {
	return failure{Code: "bad request", Text: fmt.Sprintf(format, args...)}
}

// calls is the table of everything the browser may ask. Each returns JSON.
var calls = map[string]func(in []byte) ([]byte, error){
	"check":        check,
	"generate":     generate,
	"merge":        merge,
	"diff":         diff,
	"format":       format,
	"parse":        parse,
	"reckon":       reckon,
	"calculations": calculations,
	"risk":         assess,
	"risk_tables":  riskTables,
	"trial":        trial,
	"reading":      reading,
	"rank":         rank,
	"big_changes":  bigChanges,
	"identity":     identity,
}

// Call answers one request by name.
func Call(name string, in []byte) (out []byte) {
	defer func() {
		if r := recover(); r != nil {
			fmt.Fprintf(os.Stderr, "core: %s: %v\n%s", name, r, debug.Stack())
			out = failed(failure{Code: "internal", Text: "The check stopped unexpectedly. Nothing was kept."})
		}
	}()
	call, ok := calls[name]
	if !ok {
		return failed(refuse("There is no call %q. The calls are %s.", name, strings.Join(callNames(), ", ")))
	}
	answer, err := call(in)
	if err != nil {
		return failed(err)
	}
	// Joined by hand: an encoder would rewrite the answer's canonical bytes.
	return slices.Concat([]byte(`{"ok":`), bytes.TrimSuffix(answer, []byte("\n")), []byte(`}`))
}

func callNames() []string {
	names := make([]string, 0, len(calls))
	for name := range calls {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func failed(err error) []byte {
	f, ok := err.(failure)
	if !ok {
		f = failure{Code: "internal", Text: err.Error()}
	}
	b, err := cards.Canonical(map[string]failure{"error": f})
	if err != nil {
		panic(err) // strings always have a JSON form
	}
	return bytes.TrimSuffix(b, []byte("\n"))
}

// read decodes a request strictly.
func read(in []byte, request any) error {
	if err := cards.Decode(in, request); err != nil {
		return refuse("The request cannot be read: %v.", err)
	}
	return nil
}

func generate(in []byte) ([]byte, error) {
	var r struct {
		Card          cards.Card      `json:"card"`
		CardRevision  int             `json:"card_revision"`
		Rules         json.RawMessage `json:"rules"`
		RulesRevision int             `json:"rules_revision"`
		Case          checklist.Case  `json:"case"`
	}
	if err := read(in, &r); err != nil {
		return nil, err
	}
	rules, err := books.read(r.Rules)
	if err != nil {
		return nil, err
	}
	sheet, problems := checklist.Generate(checklist.Input{Card: r.Card, CardRevision: r.CardRevision, Rules: rules, RulesRevision: r.RulesRevision, Case: r.Case})
	if errs := problems.Errors(); len(errs) > 0 {
		return nil, failure{Code: "bad request", Text: "The sheet cannot be made yet. This needs mending first.", Problems: errs}
	}
	return checklist.Canonical(sheet)
}

// lastBook remembers the rule book read last. Sheet after sheet is made from the
// same book, and reading it takes longer than making the sheet. The answer
// still depends on the bytes of the call alone.
type lastBook struct {
	bytes []byte
	book  checklist.RuleBook
}

var books lastBook

func (l *lastBook) read(in []byte) (checklist.RuleBook, error) {
	if len(in) > 0 && bytes.Equal(in, l.bytes) {
		return l.book, nil
	}
	var book checklist.RuleBook
	if len(in) > 0 {
		if err := read(in, &book); err != nil {
			return book, err
		}
	}
	*l = lastBook{bytes.Clone(in), book}
	return book, nil
}

func format(in []byte) ([]byte, error) {
	var r struct {
		Card cards.Card `json:"card"`
	}
	if err := read(in, &r); err != nil {
		return nil, err
	}
	return cards.Canonical(struct {
		Markdown string `json:"markdown"`
	}{string(cards.Format(r.Card))})
}

func parse(in []byte) ([]byte, error) {
	var r struct {
		Markdown string `json:"markdown"`
	}
	if err := read(in, &r); err != nil {
		return nil, err
	}
	card, problems := cards.Parse([]byte(r.Markdown))
	return cards.Canonical(struct {
		Card     cards.Card     `json:"card"`
		Problems cards.Problems `json:"problems"`
	}{card, listed(problems)})
}

// rank sets the surgeon's own cards against the facts of a case, which may still be in the writing.
func rank(in []byte) ([]byte, error) {
	var r struct {
		Cards []cards.Card   `json:"cards"`
		Case  checklist.Case `json:"case"`
	}
	if err := read(in, &r); err != nil {
		return nil, err
	}
	return cards.Canonical(struct {
		Ranked []checklist.Ranked `json:"ranked"`
	}{checklist.RankCards(r.Cards, r.Case)})
}

// identity looks at a text that is no part of a document, such as the reason of an edit.
func identity(in []byte) ([]byte, error) {
	var r struct {
		Label string `json:"label"`
		Text  string `json:"text"`
	}
	if err := read(in, &r); err != nil {
		return nil, err
	}
	return cards.Canonical(struct {
		Problems cards.Problems `json:"problems"`
	}{listed(cards.Identity("", r.Label, r.Text))})
}

// listed makes an empty list of no list, so that the browser always gets an array.
func listed[T any, S ~[]T](s S) S {
	if s == nil {
		return S{}
	}
	return s
}

// document is the request about one body of a kind.
type document struct {
	Kind string          `json:"kind"`
	Body json.RawMessage `json:"body"`
}
