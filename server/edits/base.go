package edits

import (
	"bytes"
	"cmp"
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
	over   []EditID        // proposals whose changes the edit holds as well
}

// findBase finds what the author saw. A reason says that it cannot be found
// and the edit is set aside.
//
// An edit made on top of one that was set aside holds that one's changes as
// well, so what counts is what the earlier one was made from: otherwise the
// changes nobody kept would pass for agreed ones. Edits that were set aside can
// name each other, or themselves, in a circle: those were made from nothing.
// The same holds for a proposal, which is no part of the document either. An
// edit that only answered proposals changed nothing, so it is passed over; so
// is one that proposed nothing.
func findBase(past Past, r rules, before *Document, e Edit) (base, string, error) {
	passed := map[EditID]bool{}
	var over []EditID
	for e.After != "" {
		earlier, ok, err := past.Entry(e.After)
		switch {
		case err != nil:
			return base{}, "", fmt.Errorf("look for edit %s: %w", e.After, err)
		case !ok, passed[e.After]:
			return base{}, "It was made after an edit that has never reached this server.", nil
		case earlier.Edit.Kind != e.Kind || earlier.Edit.Doc != e.Doc:
			return base{}, "It was made after an edit of another document.", nil
		case earlier.Verdict.Outcome == Answered:
			e.After = earlier.Edit.After
			continue
		case earlier.Verdict.Outcome == Proposed:
			over = append(over, e.After)
			fallthrough
		case earlier.Verdict.Outcome == SetAside:
			passed[e.After] = true
			e = earlier.Edit
			continue
		}
		shown, err := asShown(past, r, before, earlier, e)
		if err != nil {
			return base{}, "", err
		}
		fast := earlier.Verdict.Outcome == Applied && before != nil && earlier.Verdict.Rev == before.Rev
		return base{body: shown, rev: earlier.Verdict.Rev, isHead: fast && bytes.Equal(shown, earlier.Edit.Body), over: over}, "", nil
	}
	newest := 0
	if before != nil {
		newest = before.Rev
	}
	switch {
	case e.Parent > newest:
		return base{}, fmt.Sprintf("It was made from revision %d, and the newest this server has is %d. The server may have been restored from an older copy.", e.Parent, newest), nil
	case e.Parent == newest:
		return base{rev: newest, isHead: true, over: over}, "", nil
	case e.Parent == 0:
		return base{over: over}, "", nil
	}
	body, ok, err := past.Revision(e.Kind, e.Doc, e.Parent)
	if err == nil && !ok {
		err = fmt.Errorf("%w: revision %d of %s %s is missing", ErrDamaged, e.Parent, e.Kind, e.Doc)
	}
	return base{body: body, rev: e.Parent, over: over}, "", err
}

// asShown is what the author of e had on the screen: the earlier edit's body,
// or, where the device had read newer revisions by then, that body laid over
// the newest it had read, with this same merge. Taking the earlier body alone
// would make what the author merely saw of others pass for the author's own.
func asShown(past Past, r rules, before *Document, earlier Entry, e Edit) (json.RawMessage, error) {
	mine := earlier.Edit.Body
	if r.whole || before == nil || e.Parent < 1 || e.Parent > len(before.History) {
		return mine, nil
	}
	first, err := firstUnread(past, earlier, before.History[e.Parent-1].Seq)
	if err != nil || e.Parent <= first.Parent {
		return mine, err
	}
	from, reason, err := findBase(past, r, before, first)
	if err != nil || reason != "" || from.body == nil {
		return mine, err
	}
	read, ok, err := past.Revision(e.Kind, e.Doc, e.Parent)
	if err != nil || !ok {
		return mine, err
	}
	var sides [3]body
	for i, raw := range []json.RawMessage{from.body, read, mine} {
		if sides[i], err = r.decode(raw); err != nil {
			return nil, fmt.Errorf("%w: what edit %s was made from cannot be read: %v", ErrDamaged, e.ID, err)
		}
	}
	shown, _ := r.merge(sides[0], sides[1], sides[2])
	return mustCanonical(shown), nil
}

// firstUnread is the first of the edits made one after the other up to the
// given one that the device had not yet read back when its place was at seq.
func firstUnread(past Past, last Entry, seq Seq) (Edit, error) {
	first := last.Edit
	passed := map[EditID]bool{}
	for first.After != "" && !passed[first.After] {
		passed[first.After] = true
		earlier, ok, err := past.Entry(first.After)
		if err != nil {
			return Edit{}, fmt.Errorf("look for edit %s: %w", first.After, err)
		}
		if !ok || earlier.Seq <= seq || earlier.Edit.Kind != first.Kind || earlier.Edit.Doc != first.Doc {
			break
		}
		first = earlier.Edit
	}
	return first, nil
}

// maxWalk bounds the search for the authors of one side of the questions.
const maxWalk = 50

// headAuthors finds who gave the document the values it holds at the units in
// question. It walks back once through the revisions since the base: the newest
// one whose merge against mine asks about a unit is the one that changed it.
// Where no single revision can be told, it is the author of the newest.
func (j judging) headAuthors(from base, asked []cards.Question) (map[string]cards.PersonID, error) {
	history := j.before.History
	by := map[string]cards.PersonID{}
	later, err := j.stored(j.before.Body, "the newest revision")
	if err != nil {
		return nil, err
	}
	for i := len(history) - 1; len(by) < len(asked) && i > 0 && history[i].Rev > from.rev && i > len(history)-maxWalk; i-- {
		raw, ok, err := j.past.Revision(j.edit.Kind, j.edit.Doc, history[i-1].Rev)
		if err != nil {
			return nil, fmt.Errorf("read revision %d: %w", history[i-1].Rev, err)
		}
		if !ok {
			break
		}
		earlier, err := j.stored(raw, "an earlier revision")
		if err != nil {
			return nil, err
		}
		_, again := j.rules.merge(earlier, later, j.mine)
		for _, q := range asked {
			if by[q.Unit] == "" && asksAbout(again, q.Unit) {
				by[q.Unit] = history[i].By
			}
		}
		later = earlier
	}
	for _, q := range asked {
		by[q.Unit] = cmp.Or(by[q.Unit], history[len(history)-1].By)
	}
	return by, nil
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

// elementOf finds the element a key names: "chop", or "sign in/lens-box" for a line of a pause.
func elementOf(list []json.RawMessage, key string, whole []byte) []byte {
	if key == "order" {
		return whole
	}
	keyed := false
	key, inner, nested := strings.Cut(key, "/")
	for _, element := range list {
		var named struct{ Key, ID string }
		if json.Unmarshal(element, &named) != nil || named.Key+named.ID == "" {
			continue
		}
		keyed = true
		switch {
		case named.Key != key && named.ID != key:
		case nested:
			return lineOf(element, inner)
		default:
			return element
		}
	}
	if keyed {
		return nil // the list has keys and the element is not there: deleted
	}
	return whole
}

func lineOf(pause json.RawMessage, key string) []byte {
	var script struct{ Lines []json.RawMessage }
	if json.Unmarshal(pause, &script) != nil {
		return pause
	}
	return elementOf(script.Lines, key, pause)
}
