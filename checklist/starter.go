package checklist

import (
	_ "embed"
	"fmt"
)

//go:embed starter/rules.json
var starterRules []byte

// StarterOwner is the owner of a rule that the unit has not made its own yet.
const StarterOwner = "unit to confirm"

// Starter returns the rule book a unit starts from. It is an example that
// has to be read, changed and signed by the unit before it is relied on.
func Starter() RuleBook {
	book, problems := ParseRuleBook(starterRules)
	if errors := problems.Errors(); len(errors) > 0 {
		panic(fmt.Sprintf("checklist: the embedded rule book is wrong: %v", errors))
	}
	return book
}
