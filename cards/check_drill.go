package cards

import "strings"

// CheckDrill finds what is wrong or unusual about a trigger by itself,
// whatever card or rule book it stands on; path and label say where.
func CheckDrill(path, label string, t Trigger) Problems {
	k := &checker{}
	if k.drillLengths(path, label, t) {
		k.drill(path, label, t)
	}
	return k.found
}

func (k *checker) drill(path, label string, t Trigger) {
	k.need(path+"/title", "Title of a trigger", t.Title)
	k.need(path+"/seen", label+": what is seen", t.Seen)
	k.need(path+"/say", label+": what is said", t.Say)
	k.text(path+"/next", label+": next", t.NextStep, false)
	k.storable(path+"/source", label+": source", t.Source, false)
	k.words(path+"/title", "Title of a trigger", t.Title, false)
	k.words(path+"/seen", label+": what is seen", t.Seen, false)
	k.words(path+"/say", label+": what is said", t.Say, true)
	k.words(path+"/next", label+": next", t.NextStep, false)
	for _, role := range [][]string{t.Surgeon, t.Scrub, t.Circulating, t.Anaesthesia} {
		for _, line := range role {
			k.need(path, label+": a line of what is done", line)
			k.words(path, label+": a line of what is done", line, false)
		}
	}
	if t.NextCard != "" && !ValidKey(string(t.NextCard)) {
		k.errorf("key", path+"/next_card", label+": next card "+quote(string(t.NextCard))+" is not a card id. Choose a card.")
	}
	k.opens(path, label, t)
}

func (k *checker) opens(path, label string, t Trigger) {
	seen := map[Key]bool{}
	for _, key := range t.Open {
		if !ValidKey(string(key)) {
			k.errorf("key", path+"/open", label+" opens "+quote(string(key))+", which is not an item's key. Choose an item.")
			continue
		}
		if seen[key] {
			k.errorf("twice", path+"/open", label+" opens "+quote(key.Words())+" twice. Name it once.")
		}
		seen[key] = true
		if noRing[t.Key] && strings.Contains(string(key), "tension-ring") {
			k.caution("forbidden", path+"/open", label+" opens "+quote(key.Words())+", which must not go into a torn capsule. Take it off this drill.", sourceRing)
		}
	}
}

// noRing are the drills of a torn capsule, in which no tension ring is placed.
var noRing = map[Key]bool{"anterior-capsule-tear": true, "posterior-capsule-torn": true, "vitreous-forward": true, "nucleus-dropping": true}

const sourceRing = "no tension ring with an anterior tear or a torn posterior capsule: customary, value from memory, unconfirmed"
