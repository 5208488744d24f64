package cards

import (
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Each case makes one list longer than it may be.
func TestListsHaveBounds(t *testing.T) {
	for path, c := range map[string]struct {
		spoil func(*Card)
		says  string
	}{
		"items":                      {func(c *Card) { c.Items = slices.Repeat(c.Items[:1], 301) }, "The card has 301 items, and 300 is the most. Take some away."},
		"drugs":                      {func(c *Card) { c.Drugs = slices.Repeat(c.Drugs, 101) }, "101 drugs"},
		"phases":                     {func(c *Card) { c.Phases = slices.Repeat(c.Phases[:1], 41) }, "41 phases"},
		"steps":                      {func(c *Card) { c.Steps = slices.Repeat(c.Steps, 201) }, "201 steps"},
		"triggers":                   {func(c *Card) { c.Triggers = slices.Repeat(c.Triggers, 101) }, "101 triggers"},
		"variants":                   {func(c *Card) { c.Variants = slices.Repeat(c.Variants, 51) }, "51 variants"},
		"fit":                        {func(c *Card) { c.Fit = slices.Repeat(c.Fit, 101) }, "101 fit lines"},
		"extra":                      {func(c *Card) { c.Extra = slices.Repeat([]Section{{Title: "Parking"}}, 51) }, "51 kept sections"},
		"items/iris-hooks/allergens": {func(c *Card) { c.Items[1].Allergens = slices.Repeat([]Allergen{"latex"}, 101) }, "Item “Iris hooks” has 101 allergens"},
		"drugs/cefuroxime/allergens": {func(c *Card) { c.Drugs[0].Allergens = slices.Repeat(c.Drugs[0].Allergens, 101) }, "Drug “Cefuroxime” has 101 allergens"},
		"variants/dense/when":        {func(c *Card) { c.Variants[0].When = slices.Repeat(c.Variants[0].When, 101) }, "Variant “Dense nucleus” has 101 conditions"},
		"variants/dense/phases":      {func(c *Card) { c.Variants[0].Phases = slices.Repeat(c.Variants[0].Phases, 41) }, "41 phases"},
		"variants/dense/items":       {func(c *Card) { c.Variants[0].Items = slices.Repeat(c.Items[:1], 101) }, "101 items"},
		"variants/dense/without":     {func(c *Card) { c.Variants[0].Without = slices.Repeat([]Key{"iris-hooks"}, 101) }, "101 items left out"},
		"triggers/small-pupil":       {func(c *Card) { c.Triggers[0].Scrub = slices.Repeat(c.Triggers[0].Scrub, 101) }, "Trigger “Pupil comes down” has 101 lines for one role"},
		"triggers/small-pupil/open":  {func(c *Card) { c.Triggers[0].Open = slices.Repeat(c.Triggers[0].Open, 101) }, "101 things to open"},
	} {
		t.Run(path, func(t *testing.T) {
			card := plain()
			c.spoil(&card)
			found := Check(card)
			if len(found) != 1 || found[0].Level != LevelError || found[0].Code != "too many" || found[0].Path != path || !strings.Contains(found[0].Text, c.says) {
				t.Errorf("want %q at %s, got %v", c.says, path, found)
			}
		})
	}
}

func TestDrillsOfARuleBookHaveTheSameBounds(t *testing.T) {
	drill := plain().Triggers[0]
	drill.Scrub = slices.Repeat(drill.Scrub, 101)
	if found := CheckDrill("drills/x", "Drill", drill); len(found) != 1 || found[0].Code != "too many" {
		t.Errorf("got %v", found)
	}
}

// Nothing that could be a card is refused: the bounds themselves are allowed.
func TestFullestListsAreTaken(t *testing.T) {
	c := plain()
	for len(c.Steps) < maxSteps {
		s := c.Steps[0]
		s.Key = Key("step-" + strconv.Itoa(len(c.Steps)))
		c.Steps = append(c.Steps, s)
	}
	if found := Check(c).Errors(); len(found) > 0 {
		t.Errorf("%d steps: %v", maxSteps, found[0])
	}
}
