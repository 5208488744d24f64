package checklist

import "sideport/cards"

// RuleBook is the unit's house rules: what a fact of a case adds to the
// set-up, to the pauses and to the cautions, beside the pauses' fixed lines.
// It is plain data that a person can edit (docs/rule-book.md); there is no
// formula language.
type RuleBook struct {
	Title  string     `json:"title"`
	Owner  string     `json:"owner"`
	Review cards.Date `json:"review,omitempty"`
	// Pauses hold the fixed lines, in order. Rules add lines after them.
	Pauses []PauseScript `json:"pauses"`
	// Settings are the figures the unit has chosen; rules compare with them.
	Settings []Setting `json:"settings,omitempty"`
	Rules    []Rule    `json:"rules"`
	// Drills serve where a surgeon's card has no trigger of the same key; the card's own goes first.
	Drills []cards.Trigger `json:"drills,omitempty"`
	// Parts are what the unit has turned on.
	Parts Parts `json:"parts,omitzero"`
}

// PauseID names one of the steps that are read aloud.
type PauseID string

// The pauses in the order of a list and a case. Append only.
const (
	TeamBrief PauseID = "team brief"
	SignIn    PauseID = "sign in"
	TimeOut   PauseID = "time out"
	LensCheck PauseID = "lens check"
	SignOut   PauseID = "sign out"
	Debrief   PauseID = "debrief"
)

// PauseIDs lists the pauses in order.
var PauseIDs = []PauseID{TeamBrief, SignIn, TimeOut, LensCheck, SignOut, Debrief}

// Roles that ask and answer.
const (
	RoleReader      = "reader"
	RoleSurgeon     = "surgeon"
	RoleScrub       = "scrub nurse"
	RoleCirculating = "circulating nurse"
	RoleAnaesthesia = "anaesthesia"
	RolePatient     = "patient"
	RoleAll         = "everyone"
)

// Roles lists who may ask or answer.
var Roles = []string{RoleReader, RoleSurgeon, RoleScrub, RoleCirculating, RoleAnaesthesia, RolePatient, RoleAll}

// PauseScript is the fixed part of one pause.
type PauseScript struct {
	ID    PauseID      `json:"id"`
	When  string       `json:"when"` // the moment it belongs to, in words
	Lines []ScriptLine `json:"lines"`
}

// ScriptLine is one challenge: a short question, who asks, who answers and what kind of answer is expected.
type ScriptLine struct {
	ID     string `json:"id"`
	Text   string `json:"text"` // the question, at most 20 words (check warns above 12)
	Ask    string `json:"ask"`
	Answer string `json:"answer"`
	// Expect says what a good answer sounds like: a value or a state, not "checked".
	Expect string `json:"expect,omitempty"`
	// Value names a stored value to reveal after the answer: "lens-power", "backup-power",
	// "toric-axis", "eye", "allergies" (facts of the case), a setting of the unit, or "bottle", "pressure", "vacuum" … of the first phase.
	Value string `json:"value,omitempty"`
	// WHO numbers of the 19 items of the 2009 surgical safety checklist that this line covers.
	WHO    []int  `json:"who,omitempty"`
	Source string `json:"source"`
}

// Mark says how well a rule's figures are confirmed.
type Mark string

const (
	MarkPublished Mark = "published"
	MarkMemory    Mark = "unconfirmed"     // recalled, to be confirmed before it counts as fact
	MarkPractice  Mark = "common practice" // common practice, no source
)

// Rule is one house rule: when its condition holds it does its actions; when
// the condition cannot be answered because a fact is not known, it asks.
type Rule struct {
	ID     string     `json:"id"`
	Title  string     `json:"title"`
	Source string     `json:"source"`
	Mark   Mark       `json:"mark"`
	Owner  string     `json:"owner"`
	Review cards.Date `json:"review"`
	When   Condition  `json:"when"`
	Do     []Action   `json:"do,omitempty"`
	// Unknown is asked when the condition cannot be answered for want of a fact.
	Unknown *ScriptQuestion `json:"unknown,omitempty"`
	// Unasked says why nobody need ask then: another rule or a fixed line asks,
	// or nothing depends on it. Without it and without Unknown the facts that
	// are missing are asked for together at the team brief.
	Unasked string `json:"unasked,omitempty"`
}

// Condition nests tests: exactly one of the fields is set, or none for "always".
type Condition struct {
	All  []Condition `json:"all,omitempty"`
	Any  []Condition `json:"any,omitempty"`
	Not  *Condition  `json:"not,omitempty"`
	Test *cards.Test `json:"test,omitempty"`
	// Technique holds when the case's card is of one of these techniques.
	Technique []cards.Technique `json:"technique,omitempty"`
}

// ScriptQuestion is a question put at a pause because a fact is not known.
type ScriptQuestion struct {
	Pause  PauseID `json:"pause"`
	Ask    string  `json:"ask"`
	Answer string  `json:"answer"`
	Text   string  `json:"text"`
}

// ActionKind says what an action does. Append only.
type ActionKind string

const (
	AddItem     ActionKind = "add item"     // Item
	AddLine     ActionKind = "add line"     // Line, at Pause
	AddCaution  ActionKind = "add caution"  // Text, Weight
	Withhold    ActionKind = "withhold"     // items and drugs matching Items or Allergens; Substitute, if the unit has set one
	DoNotUse    ActionKind = "do not"       // items or drugs by key, steps by a word, that must not be used in this case: a conflict if the card has one
	RaiseDrill  ActionKind = "raise"        // Trigger goes to the top
	AddQuestion ActionKind = "add question" // Line, at Pause, as a question that needs an answer
)

// Action is one thing a rule does. Which fields count depends on Kind.
type Action struct {
	Kind       ActionKind       `json:"do"`
	Item       *cards.Item      `json:"item,omitempty"`
	Pause      PauseID          `json:"pause,omitempty"`
	Line       *ActionLine      `json:"line,omitempty"`
	Text       string           `json:"text,omitempty"`
	Weight     Weight           `json:"weight,omitempty"`
	Items      []cards.Key      `json:"items,omitempty"`
	Steps      []string         `json:"steps,omitempty"` // how a word of the step begins, in small letters: "hydrodissect"
	Allergens  []cards.Allergen `json:"allergens,omitempty"`
	Substitute *cards.Item      `json:"substitute,omitempty"`
	Trigger    cards.Key        `json:"trigger,omitempty"`
}

// ActionLine is a line a rule adds to a pause.
type ActionLine struct {
	Text   string `json:"text"`
	Ask    string `json:"ask"`
	Answer string `json:"answer"`
	Expect string `json:"expect,omitempty"`
	// Value names a stored value to reveal after the answer, as in a ScriptLine.
	Value string `json:"value,omitempty"`
}

// Weight of a caution: a caution informs, a stop must be answered by somebody before going on.
type Weight string

const (
	WeightCaution Weight = "caution"
	WeightStop    Weight = "stop"
)
