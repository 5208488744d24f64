package people_test

import (
	"slices"
	"strings"
	"testing"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store/storetest"
)

// whoMay is the table of the unit written out a second time, by hand: S
// surgeon, C scrub, R reader, L unit lead. It was agreed with the people who work there (no published source).
var whoMay = map[people.Action]string{
	people.OwnCard:  "S",
	people.Propose:  "SCL",
	people.EditCase: "SCL",
	people.EditBook: "L",
	people.EditUnit: "L",
	people.EditWho:  "L",
	people.Keep:     "SCRL",
	people.Office:   "L",
}

var letters = map[cards.PersonRole]string{cards.PersonSurgeon: "S", cards.PersonScrub: "C", cards.PersonReader: "R", cards.PersonUnitLead: "L"}

// roleSets are all fifteen sets of roles that a person can have.
func roleSets() [][]cards.PersonRole {
	var sets [][]cards.PersonRole
	for bits := 1; bits < 1<<len(cards.PersonRoles); bits++ {
		var set []cards.PersonRole
		for i, r := range cards.PersonRoles {
			if bits>>i&1 == 1 {
				set = append(set, r)
			}
		}
		sets = append(sets, set)
	}
	return sets
}

func expected(set []cards.PersonRole, a people.Action) bool {
	return slices.ContainsFunc(set, func(r cards.PersonRole) bool { return strings.Contains(whoMay[a], letters[r]) })
}

func TestTableOfRoles(t *testing.T) {
	for _, set := range append(roleSets(), nil) {
		for _, a := range people.Actions {
			if got, want := people.Allowed(set, a), expected(set, a); got != want {
				t.Errorf("%q and %q: %v, want %v", set, a, got, want)
			}
		}
	}
	if len(whoMay) != len(people.Actions) || len(people.May()) != len(cards.PersonRoles) {
		t.Errorf("%d actions in the table, %d here; %d roles in the table", len(people.Actions), len(whoMay), len(people.May()))
	}
}

// TestRoleActionOwnership pushes an edit of every kind, of own and others'
// documents, by a person with every set of roles.
func TestRoleActionOwnership(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	u.has("pat", cards.PersonReader)
	d.signIn("pat")
	own := chop()
	own.ID, own.Owner = "pat-chop", "pat"
	u.put(edits.Card, "pat-chop", own)

	begun := 0
	started := func() cards.Card { // a new card of pat's own
		c := own
		begun++
		c.ID = cards.CardID("pat-" + strings.Repeat("x", begun))
		return c
	}
	for _, set := range roleSets() {
		u.has("pat", set...)
		fresh := started()
		for _, c := range []struct {
			what   string
			action people.Action
			kind   edits.Kind
			id     string
			body   any
		}{
			{"their own card", people.OwnCard, edits.Card, "pat-chop", own},
			{"a new card of their own", people.OwnCard, edits.Card, string(fresh.ID), fresh},
			{"somebody else's card", people.Propose, edits.Card, "anna-chop", chop()},
			{"a case", people.EditCase, edits.Case, "case-1", storetest.Case()},
			{"the rule book", people.EditBook, edits.Rules, edits.HouseRules, map[string]any{}},
			{"the unit", people.EditUnit, edits.Unit, edits.TheUnit, cards.EyeUnit{Name: "Eye unit"}},
			{"somebody else", people.EditWho, edits.Person, "ben", cards.Person{ID: "ben", Name: "Ben", Roles: []cards.PersonRole{cards.PersonSurgeon}}},
			{"themselves", people.EditWho, edits.Person, "pat", cards.Person{ID: "pat", Name: "Pat", Roles: set}},
			{"a record of a pause", people.Keep, edits.Record, "pause-1", map[string]any{}},
		} {
			e := d.makes("pat", c.kind, c.id, c.body)
			if expected(set, c.action) {
				d.takes(e, edits.ByServer)
			} else {
				d.refuses(e, "Pat")
			}
		}
	}
	u.sound()
}

// A card whose owner is no surgeon any more is not theirs to change, and only its owner answers proposals for it.
func TestAnswersAreTheOwners(t *testing.T) {
	u, d := theatre(t)
	u.put(edits.Card, "anna-chop", chop())
	for _, p := range []cards.PersonID{"anna", "ben", "sam"} {
		d.signIn(p)
	}
	proposed := chop()
	storetest.Vacuum("chop", "300")(&proposed)
	proposal := d.makes("sam", edits.Card, "anna-chop", proposed)
	if r := d.takes(proposal, edits.ByServer); r.Outcome != edits.Proposed {
		t.Fatalf("the proposal is %s: %s", r.Outcome, r.Reason)
	}
	answer := d.unsigned("ben", edits.Card, "anna-chop", proposed)
	answer.Takes = []edits.EditID{proposal.ID}
	if r := d.takes(d.signs(answer), edits.ByServer); r.Outcome != edits.SetAside || !strings.Contains(r.Reason, "who alone answers") {
		t.Errorf("an answer by another surgeon is %s: %s", r.Outcome, r.Reason)
	}
	u.has("anna", cards.PersonReader)
	answer = d.unsigned("anna", edits.Card, "anna-chop", proposed)
	answer.Takes = []edits.EditID{proposal.ID}
	d.refuses(d.signs(answer), "Anna is not a surgeon")
	u.has("anna", cards.PersonSurgeon)
	answer = d.unsigned("anna", edits.Card, "anna-chop", proposed)
	answer.Takes = []edits.EditID{proposal.ID}
	if r := d.takes(d.signs(answer), edits.ByServer); r.Outcome != edits.Applied {
		t.Errorf("the owner's answer is %s: %s", r.Outcome, r.Reason)
	}
	u.sound()
}
