package cards

import "strconv"

// Bounds of lists: several times what the fullest card holds, and low enough
// that checking, merging and showing a card stay quick on a tablet.
const (
	maxItems    = 300
	maxDrugs    = 100
	maxPhases   = 40
	maxSteps    = 200
	maxTriggers = 100
	maxVariants = 50
	maxFit      = 100
	maxExtra    = 50
	maxOfOne    = 100 // of each list inside one element
)

// lengths reports whether every list of the card is short enough to be looked into.
func (k *checker) lengths(c Card) bool {
	k.atMost("items", "The card", "items", len(c.Items), maxItems)
	k.atMost("drugs", "The card", "drugs", len(c.Drugs), maxDrugs)
	k.atMost("phases", "The card", "phases", len(c.Phases), maxPhases)
	k.atMost("steps", "The card", "steps", len(c.Steps), maxSteps)
	k.atMost("triggers", "The card", "triggers", len(c.Triggers), maxTriggers)
	k.atMost("variants", "The card", "variants", len(c.Variants), maxVariants)
	k.atMost("fit", "The card", "fit lines", len(c.Fit), maxFit)
	k.atMost("extra", "The card", "kept sections", len(c.Extra), maxExtra)
	if len(k.found) > 0 {
		return false
	}
	for _, i := range c.Items {
		k.atMost("items/"+string(i.Key)+"/allergens", "Item "+quote(i.Name), "allergens", len(i.Allergens), maxOfOne)
	}
	for _, d := range c.Drugs {
		k.atMost("drugs/"+string(d.Key)+"/allergens", "Drug "+quote(d.Name), "allergens", len(d.Allergens), maxOfOne)
	}
	for _, v := range c.Variants {
		path, label := "variants/"+string(v.Key), "Variant "+quote(v.Title)
		k.atMost(path+"/when", label, "conditions", len(v.When), maxOfOne)
		k.atMost(path+"/phases", label, "phases", len(v.Phases), maxPhases)
		k.atMost(path+"/items", label, "items", len(v.Items), maxOfOne)
		k.atMost(path+"/without", label, "items left out", len(v.Without), maxOfOne)
	}
	for _, t := range c.Triggers {
		k.drillLengths("triggers/"+string(t.Key), "Trigger "+quote(t.Title), t)
	}
	return len(k.found) == 0
}

func (k *checker) drillLengths(path, label string, t Trigger) bool {
	before := len(k.found)
	for _, role := range [...][]string{t.Surgeon, t.Scrub, t.Circulating, t.Anaesthesia} {
		k.atMost(path, label, "lines for one role", len(role), maxOfOne)
	}
	k.atMost(path+"/open", label, "things to open", len(t.Open), maxOfOne)
	return len(k.found) == before
}

func (k *checker) atMost(path, label, what string, n, most int) {
	if n > most {
		k.errorf("too many", path, label+" has "+strconv.Itoa(n)+" "+what+", and "+strconv.Itoa(most)+" is the most. Take some away.")
	}
}
