package checklist

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"sideport/cards"
)

const (
	maxPosition    = 99  // more than any list holds; a larger number is a slip of the finger
	maxAllergyText = 200 // letters: a substance, not a story
)

// ParseCase reads a case and checks it. The case is only of use when the problems hold no error.
func ParseCase(b []byte) (Case, cards.Problems) {
	var raw struct {
		ID       CaseID                             `json:"id"`
		List     cards.Date                         `json:"list"`
		Position int                                `json:"position"`
		Surgeon  cards.PersonID                     `json:"surgeon"`
		Card     cards.CardID                       `json:"card"`
		Facts    map[cards.FactorID]json.RawMessage `json:"facts"`
		Note     string                             `json:"note"`
		Removed  bool                               `json:"removed"`
	}
	lines, problems := decodeStrict(b, "the case", &raw)
	if problems != nil {
		return Case{}, problems
	}
	c := Case{ID: raw.ID, List: raw.List, Position: raw.Position, Surgeon: raw.Surgeon, Card: raw.Card, Note: raw.Note, Removed: raw.Removed}
	for _, id := range sortedKeys(raw.Facts) {
		value, reason := readValue(raw.Facts[id])
		if reason != "" {
			problems = append(problems, cards.Problem{Level: cards.LevelError, Code: "type", Path: "facts/" + string(id), Line: lines.at("facts"),
				Text: factLabel(id) + ": " + reason})
			continue
		}
		if c.Facts == nil {
			c.Facts = map[cards.FactorID]Value{}
		}
		c.Facts[id] = value
	}
	return c, append(problems, withoutPaths(CheckCase(c), problems)...)
}

// readValue reads one fact, or says why it cannot.
func readValue(raw json.RawMessage) (v Value, reason string) {
	if len(raw) > 0 && raw[0] != '"' && raw[0] != '[' {
		return nil, "write the answer in quotation marks, a number too, for example \"4.5\"."
	}
	if err := json.Unmarshal(raw, &v); err != nil {
		return nil, "write one answer in quotation marks, or a list of them in [ ]."
	}
	return v, ""
}

// withoutPaths drops problems about what is already reported: one fact, one problem.
func withoutPaths(list, reported cards.Problems) cards.Problems {
	return slices.DeleteFunc(list, func(p cards.Problem) bool {
		return slices.ContainsFunc(reported, func(r cards.Problem) bool { return r.Path == p.Path })
	})
}

func sortedKeys[K ~string, V any](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func factLabel(id cards.FactorID) string {
	if f, ok := cards.FactorByID(id); ok {
		return f.Label
	}
	return "Fact " + quote(string(id))
}

// CheckCase finds everything wrong or unusual about a case. Each fact gets at
// most one problem. White and brunescent may both be "yes".
func CheckCase(c Case) cards.Problems {
	k := &caseChecker{c: c}
	k.header()
	for _, f := range cards.Factors {
		if v, given := c.Facts[f.ID]; given {
			k.fact(f, v)
		}
	}
	for _, id := range sortedKeys(c.Facts) {
		if _, ok := cards.FactorByID(id); !ok {
			k.errorf("no such factor", "facts/"+string(id), "There is no case factor "+quote(string(id))+". Choose one from the list of factors.")
		}
	}
	if _, given := c.Facts["eye"]; !given {
		k.errorf("empty", "facts/eye", "The eye is not given. Choose right eye or left eye.")
	}
	_, scales := Derive(c)
	k.found = append(k.found, scales...)
	return k.found
}

type caseChecker struct {
	c     Case
	found cards.Problems
}

func (k *caseChecker) errorf(code, path, text string) {
	k.found = append(k.found, cards.Problem{Level: cards.LevelError, Code: code, Path: path, Text: text})
}

func (k *caseChecker) header() {
	c := k.c
	if !cards.ValidKey(string(c.ID)) {
		k.errorf("key", "id", "The case's id "+quote(string(c.ID))+" is not usable. It is made of a to z, 0 to 9 and single hyphens, and says nothing about the patient.")
	}
	if c.List == "" || !c.List.Valid() {
		k.errorf("date", "list", "The day of the list "+quote(string(c.List))+" is not a day. Write it like 2027-03-31.")
	}
	if c.Position < 1 || c.Position > maxPosition {
		k.errorf("bounds", "position", "The place on the list "+strconv.Itoa(c.Position)+" is outside 1 to "+strconv.Itoa(maxPosition)+". Write a place inside.")
	}
	if !cards.ValidKey(string(c.Surgeon)) {
		k.errorf("key", "surgeon", "The surgeon "+quote(string(c.Surgeon))+" is not a person's id. Choose the surgeon.")
	}
	if !cards.ValidKey(string(c.Card)) {
		k.errorf("key", "card", "The card "+quote(string(c.Card))+" is not a card's id. Choose the card.")
	}
	if reason := cards.StorableText(c.Note, true); c.Note != "" && reason != "" {
		k.errorf("text", "note", "Note: "+reason+".")
		return
	}
	k.identity("note", "Note", c.Note)
}

func (k *caseChecker) fact(f cards.Factor, v Value) {
	path := "facts/" + string(f.ID)
	if reason := k.wrong(f, v); reason.code != "" {
		k.errorf(reason.code, path, f.Label+": "+reason.text)
		return
	}
	if f.Kind == cards.FactorText {
		k.identity(path, f.Label, v[0])
	}
}

// wrongness is what is wrong with a fact; the zero value is nothing.
type wrongness struct{ code, text string }

func (k *caseChecker) wrong(f cards.Factor, v Value) wrongness {
	notKnown := has(v, cards.NotKnown)
	switch {
	case f.Derived:
		return wrongness{"derived", "is reckoned from the other facts and never entered. Remove it."}
	case len(v) == 0 || has(v, ""):
		return wrongness{"empty", "has no answer. Give one, choose “not known”, or leave the fact out."}
	case notKnown && len(v) > 1:
		return wrongness{"contradiction", "cannot be “not known” and something else. Choose one."}
	case notKnown && f.ID == "eye":
		return wrongness{"empty", "must be known. Choose right eye or left eye."}
	case notKnown:
		return wrongness{}
	case f.Kind != cards.FactorSet && len(v) > 1:
		return wrongness{"choice", "has more than one answer: " + strings.Join(v, ", ") + ". Keep one."}
	}
	if w := wrongAnswer(f, v); w.code != "" {
		return w
	}
	return k.contradicts(f)
}

func wrongAnswer(f cards.Factor, v Value) wrongness {
	switch f.Kind {
	case cards.FactorNumber:
		return wrongNumber(f, v[0])
	case cards.FactorSet:
		return wrongSet(f, v)
	case cards.FactorText:
		return wrongText(v[0])
	}
	if !has(f.Options, v[0]) {
		return wrongness{"choice", quote(v[0]) + " is not an answer. Choose one of: " + strings.Join(f.Options, ", ") + ", not known."}
	}
	return wrongness{}
}

func wrongNumber(f cards.Factor, s string) wrongness {
	bounds := numberText(f.Min.String(), "") + " to " + numberText(f.Max.String(), f.Unit)
	q, err := cards.ParseQuantity(s)
	if err != nil {
		return wrongness{"number", quote(s) + " is not a number: " + err.Error() + ". Write one from " + bounds + "."}
	}
	if q.Cmp(f.Min) < 0 || q.Cmp(f.Max) > 0 {
		return wrongness{"bounds", numberText(q.String(), f.Unit) + " is outside " + bounds + ". Write a value inside."}
	}
	return wrongness{}
}

func wrongSet(f cards.Factor, v Value) wrongness {
	if has(v, cards.None) && len(v) > 1 {
		return wrongness{"contradiction", "cannot be “none” and " + strings.Join(slices.DeleteFunc(slices.Clone(v), func(s string) bool { return s == cards.None }), ", ") + ". Choose one."}
	}
	for n, member := range v {
		switch {
		case has(v[:n], member):
			return wrongness{"twice", quote(member) + " stands twice. Keep one."}
		case member != cards.None && !has(f.Options, member):
			return wrongness{"choice", quote(member) + " is not an answer. Choose from: " + strings.Join(f.Options, ", ") + ", none, not known."}
		}
	}
	return wrongness{}
}

func wrongText(s string) wrongness {
	if reason := cards.StorableText(s, false); reason != "" {
		return wrongness{"text", reason + "."}
	}
	if n := len([]rune(s)); n > maxAllergyText {
		return wrongness{"text", "has " + strconv.Itoa(n) + " letters, more than " + strconv.Itoa(maxAllergyText) + ". Name the substance only."}
	}
	return wrongness{}
}

// needs are the facts that another "no" rules out, beside those that are only
// asked with another: there is no diabetic eye disease without diabetes.
var needs = map[cards.FactorID]cards.FactorID{"diabetic-eye-disease": "diabetes"}

// ruledOutBy names the factor whose "no" rules the fact out, if there is one.
func ruledOutBy(f cards.Factor) cards.FactorID {
	if f.OnlyWith != "" {
		return f.OnlyWith
	}
	return needs[f.ID]
}

// contradicts finds a fact that the answer it depends on rules out: an axis
// without a toric lens, oil without a vitrectomy. A second "no" rules out nothing.
func (k *caseChecker) contradicts(f cards.Factor) wrongness {
	other := ruledOutBy(f)
	v := k.c.Facts[f.ID]
	if other == "" || !slices.Equal(k.c.Facts[other], Value{cards.No}) || slices.Equal(v, Value{cards.No}) {
		return wrongness{}
	}
	given := strings.Join(v, ", ")
	if f.Kind == cards.FactorNumber {
		given = numberText(given, f.Unit)
	}
	return wrongness{"contradiction", given + " is given, but " + quote(factLabel(other)) + " is no. Correct the one that is wrong."}
}

// identity warns of free text that looks like a number or a birthday of a patient.
func (k *caseChecker) identity(path, label, text string) {
	k.found = append(k.found, cards.Identity(path, label, text)...)
}
