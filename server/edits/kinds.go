package edits

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"

	"sideport/cards"
	"sideport/checklist"
)

// body is a parsed document of any kind. Only the rules of its own kind look inside.
type body any

// rules is what judging needs to know about one kind of document.
type rules struct {
	// name is what people call it: "card", "rule book".
	name string
	// single is true when both sides cannot have made it independently without meaning the same thing.
	single bool
	// whole is true when people decide all of it at once: devices foresee no merge of it.
	whole bool
	// once is true when a document never has a second revision.
	once   bool
	parse  func([]byte) (body, cards.Problems) // every error; cautions do not count
	decode func([]byte) (body, error)          // the form alone, for what was checked when it was kept
	id     func(body) string
	// owner is whose document it is; nil: everybody's. What others change of it is a proposal.
	owner func(body) cards.PersonID
	merge func(base, head, mine body) (body, []cards.Question)
	diff  func(from, to body) []string
}

// kinds is the table of everything that can be edited.
var kinds = map[Kind]rules{
	Card: {name: "card", parse: as(parseCard), decode: decoding[cards.Card], merge: mergeCards, diff: diffing(cards.Diff),
		id: naming(func(c cards.Card) string { return string(c.ID) }), owner: func(v body) cards.PersonID { return v.(cards.Card).Owner }},
	Case: {name: "case", parse: as(parseCase), decode: decoding[checklist.Case], merge: merging(checklist.MergeCases), diff: diffing(checklist.DiffCases),
		id: naming(func(c checklist.Case) string { return string(c.ID) })},
	Rules: {name: "rule book", single: true, parse: as(checklist.ParseRuleBook), decode: decoding[checklist.RuleBook], merge: merging(checklist.MergeRuleBooks), diff: diffing(checklist.DiffRuleBooks),
		id: naming(func(checklist.RuleBook) string { return HouseRules })},
	Person: {name: "person", single: true, whole: true, parse: as(strictly(cards.CheckPerson)), decode: decoding[cards.Person], merge: whole("person", personText), diff: diffing(diffPeople),
		id: naming(func(p cards.Person) string { return string(p.ID) })},
	Unit: {name: "unit", single: true, whole: true, parse: as(strictly(cards.CheckEyeUnit)), decode: decoding[cards.EyeUnit], merge: whole("unit", unitText), diff: diffing(diffUnits),
		id: naming(func(cards.EyeUnit) string { return TheUnit })},
	Record: {name: "record", whole: true, once: true, parse: as(strictly(CheckRecord)), decode: decoding[RecordBody],
		id: naming(func(r RecordBody) string { return r.ID })},
}

// KindNames lists the kinds, for messages.
const KindNames = "card, case, rules, person, unit, record"

// Check parses a body of a kind and returns its canonical form, and every error in it.
func Check(kind Kind, raw []byte) ([]byte, cards.Problems) {
	r, ok := kinds[kind]
	if !ok {
		return nil, problem("kind", "", "“"+clip(string(kind))+"” is not a kind of document. The kinds are "+KindNames+".")
	}
	parsed, problems := r.parse(raw)
	if len(problems) > 0 {
		return nil, problems
	}
	b, err := canonical(parsed)
	if err != nil {
		return nil, problem("body", "", "The "+r.name+" cannot be written: "+err.Error()+".")
	}
	return b, nil
}

func problem(code, path, text string) cards.Problems {
	return cards.Problems{{Level: cards.LevelError, Code: code, Path: path, Text: text}}
}

func canonical(v body) ([]byte, error) {
	b, err := cards.Canonical(v)
	return bytes.TrimSuffix(b, []byte("\n")), err
}

func parseCard(raw []byte) (cards.Card, cards.Problems) { return strictly(cards.Check)(raw) }

func parseCase(raw []byte) (checklist.Case, cards.Problems) { return checklist.ParseCase(raw) }

// strictly reads one JSON value with no unknown fields and runs its check.
func strictly[T any](check func(T) cards.Problems) func([]byte) (T, cards.Problems) {
	return func(raw []byte) (T, cards.Problems) {
		var v T
		if err := cards.Decode(raw, &v); err != nil {
			return v, problem("json", "", jsonWords(err))
		}
		return v, check(v)
	}
}

// jsonWords says a decoding error without the language's own names.
func jsonWords(err error) string {
	var kind *json.UnmarshalTypeError
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &kind):
		return "The value of “" + kind.Field + "” is of the wrong kind: a " + kind.Value + " does not belong there."
	case errors.As(err, &syntax):
		return "This is not valid JSON: " + syntax.Error() + "."
	}
	return "This cannot be read: " + strings.TrimPrefix(err.Error(), "json: ") + "."
}

// The adapters below let the functions of the kinds keep their own types.

func as[T any](parse func([]byte) (T, cards.Problems)) func([]byte) (body, cards.Problems) {
	return func(raw []byte) (body, cards.Problems) {
		v, problems := parse(raw)
		return v, problems.Errors()
	}
}

func decoding[T any](raw []byte) (body, error) {
	var v T
	err := cards.Decode(raw, &v)
	return v, err
}

func naming[T any](id func(T) string) func(body) string {
	return func(v body) string { return id(v.(T)) }
}

func merging[T any](merge func(base, head, mine T) (T, []cards.Question)) func(base, head, mine body) (body, []cards.Question) {
	return func(base, head, mine body) (body, []cards.Question) {
		var from T // without a base both sides made it: then everything in which they differ is asked
		if base != nil {
			from = base.(T)
		}
		return merge(from, head.(T), mine.(T))
	}
}

func diffing[T any](diff func(from, to T) []string) func(from, to body) []string {
	return func(from, to body) []string { return diff(from.(T), to.(T)) }
}

// whole merges documents that people decide as a whole: one side's change, or a question.
func whole[T any](name string, text func(T) string) func(base, head, mine body) (body, []cards.Question) {
	return func(base, head, mine body) (body, []cards.Question) {
		b, h, m := mustCanonical(base), mustCanonical(head), mustCanonical(mine)
		switch {
		case bytes.Equal(h, m), bytes.Equal(b, m):
			return head, nil
		case bytes.Equal(b, h):
			return mine, nil
		}
		q := cards.Question{Unit: WholeDocument, Label: "The whole " + name, Base: b, Head: h, Mine: m,
			HeadText: text(head.(T)), MineText: text(mine.(T))}
		if base == nil {
			q.Base = json.RawMessage("null")
		} else {
			q.BaseText = text(base.(T))
		}
		return head, []cards.Question{q}
	}
}

// WholeDocument is the unit of a question about everything in a document.
const WholeDocument = "document"

// mustCanonical writes a body that was parsed a moment ago, so it has a canonical form.
func mustCanonical(v body) []byte {
	if v == nil {
		return nil
	}
	b, err := canonical(v)
	if err != nil {
		panic("edits: a parsed body has no canonical form: " + err.Error())
	}
	return b
}
