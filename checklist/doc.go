// Package checklist turns a technique card and the facts of one case into a
// case sheet: what to open, what to have ready, the starting limits phase by
// phase, the pauses to read aloud, what to do if the eye does not behave.
//
// Case (case.go) is what is known of one eye on one list, never who the
// patient is. RuleBook (rulebook.go) is the unit's own house rules as data.
// Generate (generate.go) joins card, rules and case into a Sheet (sheet.go),
// every line of which says why it is there.
//
// Generation depends on nothing but its arguments: the same card revision,
// rules revision and facts give the same bytes on the server and in a
// browser. A fact nobody knows is never read as "no": it yields a question.
//
// The package prepares and reminds. It computes no machine setting, no lens
// power and no dose from the facts of a case.
package checklist
