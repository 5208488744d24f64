package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/edits"
)

// found is one thing wrong or unusual in a file.
type found struct {
	file string
	cards.Problem
}

// String is the problem the way editors jump to: "FILE:LINE: text".
func (f found) String() string {
	where, text := f.file, f.Text
	if f.Line > 0 {
		where = fmt.Sprintf("%s:%d", f.file, f.Line)
		text = strings.TrimPrefix(text, fmt.Sprintf("Line %d: ", f.Line))
	}
	if f.Level == cards.LevelCaution {
		text = "caution: " + text
	}
	if f.Source != "" {
		text += " (" + f.Source + ")"
	}
	return where + ": " + text
}

func inFile(file string, problems cards.Problems) []found {
	out := make([]found, len(problems))
	for i, p := range problems {
		out[i] = found{file, p}
	}
	return out
}

// inJSON is inFile for JSON: a problem that names a field gets the field's line.
func inJSON(file string, b []byte, problems cards.Problems) []found {
	out := inFile(file, problems)
	for i, p := range out {
		if p.Line == 0 && p.Path != "" {
			out[i].Line = lineOfField(b, p.Path[strings.LastIndexByte(p.Path, '/')+1:])
		}
	}
	return out
}

// lineOfField is the line on which a field with this name first stands, or 0.
func lineOfField(b []byte, name string) int {
	quoted := []byte(`"` + name + `"`)
	for from := 0; ; {
		at := bytes.Index(b[from:], quoted)
		if at < 0 {
			return 0
		}
		from += at + len(quoted)
		if bytes.HasPrefix(bytes.TrimSpace(b[from:]), []byte(":")) {
			return 1 + bytes.Count(b[:from], []byte("\n"))
		}
	}
}

func anyError(problems []found) bool {
	for _, p := range problems {
		if p.Level == cards.LevelError {
			return true
		}
	}
	return false
}

// readFile reads a file and says plainly why it cannot.
func readFile(path string) ([]byte, error) {
	b, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, misused("there is no file %s", path)
	case errors.Is(err, fs.ErrPermission):
		return nil, misused("this account may not read %s", path)
	case err != nil:
		return nil, misused("cannot read %s: it is not a file", path)
	}
	return b, nil
}

// readPlanned reads a file of any kind the program knows: a card in Markdown;
// a rule book, a case, a person or the unit in JSON, alone or several in a list.
func readPlanned(path string) ([]planned, []found, error) {
	b, err := readFile(path)
	if err != nil {
		return nil, nil, err
	}
	switch strings.ToLower(filepath.Ext(path)) {
	case ".md":
		card, problems := cards.ParseAndCheck(b)
		return []planned{{kind: edits.Card, id: string(card.ID), author: card.Owner, body: card, from: path}}, inFile(path, problems), nil
	case ".json":
		return readJSON(path, b)
	}
	return nil, nil, misused("%s is neither a card (.md) nor a rule book, case, person or unit (.json)", path)
}

func readJSON(path string, b []byte) ([]planned, []found, error) {
	var list []json.RawMessage
	if !bytes.HasPrefix(bytes.TrimSpace(b), []byte("[")) {
		return readOne(path, b)
	}
	if err := json.Unmarshal(b, &list); err != nil {
		return nil, nil, misused("%s is not a list in JSON", path)
	}
	var plans []planned
	var problems []found
	for n, element := range list {
		plan, wrong, err := readOne(fmt.Sprintf("%s[%d]", path, n+1), element)
		if err != nil {
			return nil, nil, err
		}
		plans, problems = append(plans, plan...), append(problems, wrong...)
	}
	return plans, problems, nil
}

// readOne tells the kinds apart by the fields that only one of them has.
func readOne(name string, b []byte) ([]planned, []found, error) {
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(b, &fields); err != nil {
		_, problems := checklist.ParseCase(b) // says where the JSON breaks
		return nil, inFile(name, problems), nil
	}
	has := func(field string) bool { _, ok := fields[field]; return ok }
	p := planned{author: theProgram, from: name}
	var problems cards.Problems
	switch {
	case has("rules") || has("pauses"):
		var book checklist.RuleBook
		book, problems = checklist.ParseRuleBook(b)
		p.kind, p.id, p.body = edits.Rules, edits.HouseRules, book
	case has("list") || has("facts"):
		var c checklist.Case
		c, problems = checklist.ParseCase(b)
		p.kind, p.id, p.body, p.author = edits.Case, string(c.ID), c, c.Surgeon
	case has("roles"):
		var person cards.Person
		problems = checked(b, &person, func() cards.Problems { return cards.CheckPerson(person) })
		p.kind, p.id, p.body = edits.Person, string(person.ID), person
	case has("demo"):
		var unit cards.EyeUnit
		problems = checked(b, &unit, func() cards.Problems { return cards.CheckEyeUnit(unit) })
		p.kind, p.id, p.body = edits.Unit, edits.TheUnit, unit
	default:
		return nil, nil, misused("%s is no rule book (pauses, rules), case (list, facts), person (roles) or unit (demo)", name)
	}
	return []planned{p}, inJSON(name, b, problems), nil
}

func checked(b []byte, into any, check func() cards.Problems) cards.Problems {
	if err := cards.Decode(b, into); err != nil {
		return cards.Problems{{Level: cards.LevelError, Code: "json", Text: strings.TrimPrefix(err.Error(), "json: ")}}
	}
	return check()
}
