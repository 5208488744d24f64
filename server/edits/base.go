package edits

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"sideport/cards"
)

// base is what the author of an edit saw.
type base struct {
	body   json.RawMessage // nil: there was no document
	rev    int             // the newest revision the author had seen
	isHead bool            // nothing has happened to the document since
}

// findBase finds what the author saw. A reason says that it cannot be found
// and the edit is set aside.
//
// An edit made on top of one that was set aside holds that one's changes as
// well, so what counts is what the earlier one was made from: otherwise the
// changes nobody kept would pass for agreed ones.
func findBase(past Past, before *Document, e Edit) (base, string, error) {
	for e.After != "" {
		earlier, ok, err := past.Entry(e.After)
		switch {
		case err != nil:
			return base{}, "", fmt.Errorf("look for edit %s: %w", e.After, err)
		case !ok:
			return base{}, "It was made after an edit that has never reached this server.", nil
		case earlier.Edit.Kind != e.Kind || earlier.Edit.Doc != e.Doc:
			return base{}, "It was made after an edit of another document.", nil
		case earlier.Verdict.Outcome == SetAside:
			e = earlier.Edit
			continue
		}
		fast := earlier.Verdict.Outcome == Applied && before != nil && earlier.Verdict.Rev == before.Rev
		return base{body: earlier.Edit.Body, rev: earlier.Verdict.Rev, isHead: fast}, "", nil
	}
	newest := 0
	if before != nil {
		newest = before.Rev
	}
	switch {
	case e.Parent > newest:
		return base{}, fmt.Sprintf("It was made from revision %d, and the newest this server has is %d. The server may have been restored from an older copy.", e.Parent, newest), nil
	case e.Parent == newest:
		return base{rev: newest, isHead: true}, "", nil
	case e.Parent == 0:
		return base{}, "", nil
	}
	body, ok, err := past.Revision(e.Kind, e.Doc, e.Parent)
	if err == nil && !ok {
		err = fmt.Errorf("%w: revision %d of %s %s is missing", ErrDamaged, e.Parent, e.Kind, e.Doc)
	}
	return base{body: body, rev: e.Parent}, "", err
}

// maxWalk bounds the search for the author of one side of a question.
const maxWalk = 50

// headAuthor finds who gave the document the value it holds at a unit. It
// walks back through the revisions since the base: the newest one whose merge
// against mine asks about the unit is the one that changed it. Where no single
// revision can be told, it is the author of the newest.
func (j judging) headAuthor(from base, unit string) (cards.PersonID, error) {
	history := j.before.History
	newest := history[len(history)-1].By
	later := j.before.Body
	for i := len(history) - 1; i > 0 && history[i].Rev > from.rev && i > len(history)-maxWalk; i-- {
		earlier, ok, err := j.past.Revision(j.edit.Kind, j.edit.Doc, history[i-1].Rev)
		if err != nil {
			return "", fmt.Errorf("read revision %d: %w", history[i-1].Rev, err)
		}
		if !ok {
			return newest, nil
		}
		old, err := j.stored(earlier, "an earlier revision")
		if err != nil {
			return "", err
		}
		now, err := j.stored(later, "a revision")
		if err != nil {
			return "", err
		}
		if _, asked := j.rules.merge(old, now, j.mine); asksAbout(asked, unit) {
			return history[i].By, nil
		}
		later = earlier
	}
	return newest, nil
}

func asksAbout(asked []cards.Question, unit string) bool {
	for _, q := range asked {
		if q.Unit == unit {
			return true
		}
	}
	return false
}

// sameAt reports whether two bodies agree at a unit such as "phases/chop".
// Where the unit is finer than the JSON form tells, everything around it must
// agree: a question stays open rather than being closed by mistake.
func sameAt(unit string, a, b []byte) bool {
	field, key, _ := strings.Cut(unit, "/")
	return bytes.Equal(partOf(a, field, key), partOf(b, field, key))
}

// partOf returns the JSON of a unit: an element by its key, an entry of a map, a whole field, or the whole document.
func partOf(doc []byte, field, key string) []byte {
	var fields map[string]json.RawMessage
	if json.Unmarshal(doc, &fields) != nil || fieldMissing(fields, field) {
		return doc
	}
	whole := fields[field]
	var list []json.RawMessage
	if key != "" && json.Unmarshal(whole, &list) == nil {
		return elementOf(list, key, whole)
	}
	var entries map[string]json.RawMessage
	if key != "" && json.Unmarshal(whole, &entries) == nil && !fieldMissing(entries, key) {
		return entries[key]
	}
	return whole
}

func fieldMissing(fields map[string]json.RawMessage, name string) bool {
	_, ok := fields[name]
	return !ok
}

func elementOf(list []json.RawMessage, key string, whole []byte) []byte {
	keyed := false
	for _, element := range list {
		var named struct{ Key string }
		if json.Unmarshal(element, &named) == nil && named.Key != "" {
			keyed = true
			if named.Key == key {
				return element
			}
		}
	}
	if keyed {
		return nil // the list has keys and the element is not there: deleted
	}
	return whole
}
