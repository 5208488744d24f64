package main

import (
	"encoding/json"
	"slices"
	"strings"

	"sideport/cards"
	"sideport/checklist"
)

// kind is what the core can do with one kind of document.
type kind struct {
	check func(body []byte) (checked, error)
	// merge and diff are nil where people decide the document as a whole: then there is nothing to join.
	merge func(base, head, mine []byte) (any, []cards.Question, error)
	diff  func(from, to []byte) ([]string, error)
	// large is nil where no number of the document is asked about.
	large func(from, to []byte) ([]cards.LargeChange, error)
}

// kinds is the table of the kinds of document (docs/api.md).
var kinds = map[string]kind{
	"card":   {check: checkCard, merge: merging(cards.Merge), diff: diffing(cards.Diff), large: diffing(cards.LargeChanges)},
	"case":   {check: checking(checklist.CheckCase), merge: merging(checklist.MergeCases), diff: diffing(checklist.DiffCases), large: diffing(checklist.LargeChanges)},
	"rules":  {check: checking(checklist.CheckRuleBook), merge: merging(checklist.MergeRuleBooks), diff: diffing(checklist.DiffRuleBooks)},
	"person": {check: checking(cards.CheckPerson)},
	"unit":   {check: checking(cards.CheckEyeUnit)},
}

// checked is the answer of check: Body is what is kept and sent.
type checked struct {
	Problems cards.Problems `json:"problems"`
	View     *cards.View    `json:"view,omitempty"`
	Body     any            `json:"body"`
}

func check(in []byte) ([]byte, error) {
	var r document
	if err := read(in, &r); err != nil {
		return nil, err
	}
	k, err := kindOf(r.Kind)
	if err != nil {
		return nil, err
	}
	answer, err := k.check(r.Body)
	if err != nil {
		return nil, err
	}
	return cards.Canonical(answer)
}

func merge(in []byte) ([]byte, error) {
	var r struct {
		Kind string          `json:"kind"`
		Base json.RawMessage `json:"base"`
		Head json.RawMessage `json:"head"`
		Mine json.RawMessage `json:"mine"`
	}
	if err := read(in, &r); err != nil {
		return nil, err
	}
	k, err := kindOf(r.Kind)
	if err != nil {
		return nil, err
	}
	if k.merge == nil {
		return nil, refuse("Documents of the kind %q are decided as a whole and cannot be merged.", r.Kind)
	}
	body, questions, err := k.merge(r.Base, r.Head, r.Mine)
	if err != nil {
		return nil, err
	}
	return cards.Canonical(struct {
		Body      any              `json:"body"`
		Questions []cards.Question `json:"questions"`
	}{body, listed(questions)})
}

// change is the request about two states of one document.
type change struct {
	Kind string          `json:"kind"`
	From json.RawMessage `json:"from"`
	To   json.RawMessage `json:"to"`
}

func diff(in []byte) ([]byte, error) {
	return changesBy(in, func(k kind) func(from, to []byte) ([]string, error) { return k.diff })
}

func bigChanges(in []byte) ([]byte, error) {
	return changesBy(in, func(k kind) func(from, to []byte) ([]cards.LargeChange, error) { return k.large })
}

// changesBy answers what one way of comparing finds; nothing where the kind has none.
func changesBy[C any](in []byte, way func(kind) func(from, to []byte) ([]C, error)) ([]byte, error) {
	var r change
	if err := read(in, &r); err != nil {
		return nil, err
	}
	k, err := kindOf(r.Kind)
	if err != nil {
		return nil, err
	}
	var changes []C
	if compare := way(k); compare != nil {
		if changes, err = compare(r.From, r.To); err != nil {
			return nil, err
		}
	}
	return cards.Canonical(struct {
		Changes []C `json:"changes"`
	}{listed(changes)})
}

func kindOf(name string) (kind, error) {
	k, ok := kinds[name]
	if !ok {
		names := make([]string, 0, len(kinds))
		for n := range kinds {
			names = append(names, n)
		}
		slices.Sort(names)
		return kind{}, refuse("There is no kind of document %q. The kinds are %s.", name, strings.Join(names, ", "))
	}
	return k, nil
}

// checkCard adds the view, so that a draft shows what the kept card will show.
func checkCard(body []byte) (checked, error) {
	var c cards.Card
	if err := decode(body, &c); err != nil {
		return checked{}, err
	}
	view := cards.NewView(c)
	return checked{Problems: listed(cards.Check(c)), View: &view, Body: c}, nil
}

// The adapters below let the functions of the kinds keep their own types.

func checking[T any](problems func(T) cards.Problems) func(body []byte) (checked, error) {
	return func(body []byte) (checked, error) {
		var v T
		if err := decode(body, &v); err != nil {
			return checked{}, err
		}
		return checked{Problems: listed(problems(v)), Body: v}, nil
	}
}

func merging[T any](merge func(base, head, mine T) (T, []cards.Question)) func(base, head, mine []byte) (any, []cards.Question, error) {
	return func(base, head, mine []byte) (any, []cards.Question, error) {
		var b, h, m T
		for _, side := range []struct {
			from []byte
			to   *T
		}{{base, &b}, {head, &h}, {mine, &m}} {
			if err := decode(side.from, side.to); err != nil {
				return nil, nil, err
			}
		}
		merged, questions := merge(b, h, m)
		return merged, questions, nil
	}
}

func diffing[T, C any](diff func(from, to T) []C) func(from, to []byte) ([]C, error) {
	return func(from, to []byte) ([]C, error) {
		var f, t T
		if err := decode(from, &f); err != nil {
			return nil, err
		}
		if err := decode(to, &t); err != nil {
			return nil, err
		}
		return diff(f, t), nil
	}
}

// decode reads a body strictly. null is not a document: a merge or a
// comparison without one would pass every field off as somebody's change.
func decode(body []byte, v any) error {
	if len(body) == 0 || string(body) == "null" {
		return refuse("A document is missing in the request.")
	}
	if err := cards.Decode(body, v); err != nil {
		return refuse("The document cannot be read: %v.", err)
	}
	return nil
}
