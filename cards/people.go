package cards

import "strings"

// PersonRole is what a person does in the unit. Persisted: append only, never rename.
type PersonRole string

const (
	PersonSurgeon  PersonRole = "surgeon"   // owns cards
	PersonScrub    PersonRole = "scrub"     // lays out, proposes
	PersonReader   PersonRole = "reader"    // reads the pauses
	PersonUnitLead PersonRole = "unit lead" // keeps people and house rules
)

// PersonRoles lists the roles in the order people meet them.
var PersonRoles = []PersonRole{PersonSurgeon, PersonScrub, PersonReader, PersonUnitLead}

// Person is somebody who works in the unit: an owner of cards or an author of edits. Never a patient.
type Person struct {
	ID    PersonID     `json:"id"`
	Name  string       `json:"name"`
	Roles []PersonRole `json:"roles"`
	// Invented marks a person of the demonstration, who does not exist.
	Invented bool `json:"invented,omitempty"`
}

// EyeUnit is the unit whose cards these are.
type EyeUnit struct {
	Name string `json:"name"`
	// Demo marks an invented unit: every screen says so.
	Demo bool `json:"demo"`
}

// CheckPerson finds everything wrong about a person.
func CheckPerson(p Person) Problems {
	k := &checker{}
	if !ValidKey(string(p.ID)) {
		k.errorf("key", "id", "The person's id "+quote(string(p.ID))+" is made of a to z, 0 to 9 and single hyphens.")
	}
	k.need("name", "Name of the person", p.Name)
	if len(p.Roles) == 0 {
		k.errorf("empty", "roles", "The person has no role. Choose one of: "+roleWords()+".")
	}
	seen := map[PersonRole]bool{}
	for _, r := range p.Roles {
		switch {
		case !knownRole(r):
			k.errorf("choice", "roles", "Role "+quote(string(r))+" is not known. Choose one of: "+roleWords()+".")
		case seen[r]:
			k.errorf("twice", "roles", "Role "+quote(string(r))+" stands twice. Leave one.")
		}
		seen[r] = true
	}
	return k.found
}

// CheckEyeUnit finds everything wrong about the unit.
func CheckEyeUnit(u EyeUnit) Problems {
	k := &checker{}
	k.need("name", "Name of the unit", u.Name)
	return k.found
}

func knownRole(r PersonRole) bool {
	for _, known := range PersonRoles {
		if r == known {
			return true
		}
	}
	return false
}

func roleWords() string {
	words := make([]string, len(PersonRoles))
	for i, r := range PersonRoles {
		words[i] = string(r)
	}
	return strings.Join(words, ", ")
}
