package checklist

import (
	"slices"
	"strings"

	"sideport/cards"
)

// actionFields lists the fields that each kind of action uses. A field beside
// them would be ignored without a word, so it is refused.
var actionFields = map[ActionKind][]string{
	AddItem:     {"item"},
	AddLine:     {"pause", "line"},
	AddCaution:  {"text", "weight"},
	Withhold:    {"items", "allergens", "substitute", "text"},
	DoNotUse:    {"items", "steps", "text"},
	RaiseDrill:  {"trigger"},
	AddQuestion: {"pause", "line"},
}

// actionKinds lists the kinds in order.
var actionKinds = []ActionKind{AddItem, AddLine, AddCaution, Withhold, DoNotUse, RaiseDrill, AddQuestion}

// given lists the fields of an action that say something.
func (a Action) given() []string {
	var out []string
	for _, f := range []struct {
		name string
		used bool
	}{
		{"item", a.Item != nil}, {"pause", a.Pause != ""}, {"line", a.Line != nil}, {"text", a.Text != ""}, {"weight", a.Weight != ""},
		{"items", len(a.Items) > 0}, {"steps", len(a.Steps) > 0}, {"allergens", len(a.Allergens) > 0}, {"substitute", a.Substitute != nil}, {"trigger", a.Trigger != ""},
	} {
		if f.used {
			out = append(out, f.name)
		}
	}
	return out
}

func (k *bookChecker) action(a Action) {
	fields, known := actionFields[a.Kind]
	if !known {
		names := make([]string, len(actionKinds))
		for n, kind := range actionKinds {
			names[n] = string(kind)
		}
		k.oneOf("do", string(a.Kind), names)
		return
	}
	given := a.given()
	for _, f := range given {
		if !has(fields, f) {
			k.errorf("not used", f, "is %s, which makes no use of %s. Remove it, or choose another action.", quote(string(a.Kind)), quote(f))
		}
	}
	for _, f := range fields {
		if !has(given, f) && k.required(a, f) {
			k.errorf("empty", f, "is %s and has no %s. Write it.", quote(string(a.Kind)), quote(f))
		}
	}
	k.actionParts(a)
}

// required says whether an action is nothing without the field. A withholding needs items or allergens, a "do not" items or steps.
func (k *bookChecker) required(a Action, field string) bool {
	switch {
	case a.Kind == Withhold && field == "items":
		return len(a.Allergens) == 0
	case a.Kind == DoNotUse && field == "items":
		return len(a.Steps) == 0
	case a.Kind == Withhold, a.Kind == DoNotUse:
		return false
	}
	return true
}

func (k *bookChecker) actionParts(a Action) {
	if a.Item != nil {
		k.item("item", *a.Item)
	}
	if a.Substitute != nil {
		k.item("substitute", *a.Substitute)
		k.substitute(a)
	}
	if a.Pause != "" {
		k.oneOf("pause", string(a.Pause), pauseNames())
	}
	if a.Line != nil {
		k.in("line", -1, "", func() {
			k.question(a.Line.Text, a.Line.Ask, a.Line.Answer)
			k.optional("expect", a.Line.Expect)
			k.words("expect", a.Line.Expect, false)
			k.value(a.Line.Value)
		})
	}
	k.optional("text", a.Text)
	k.words("text", a.Text, false)
	if a.Weight != "" {
		k.oneOf("weight", string(a.Weight), []string{string(WeightCaution), string(WeightStop)})
	}
	for _, key := range a.Items {
		k.key("items", string(key))
	}
	for _, word := range a.Steps {
		k.stepWord(word)
	}
	for _, allergen := range a.Allergens {
		k.oneOf("allergens", string(allergen), cards.Choices["allergen"])
	}
	if a.Trigger != "" {
		k.key("trigger", string(a.Trigger))
	}
}

func (k *bookChecker) key(field, key string) {
	if !cards.ValidKey(key) {
		k.errorf("key", field, "names %s. A key is made of a to z, 0 to 9 and single hyphens.", quote(key))
	}
}

// stepWord checks a word that steps are found by. A short one would be found in steps it is not meant for.
func (k *bookChecker) stepWord(word string) {
	const least = 4 // letters
	if len(word) < least || strings.ContainsFunc(word, func(r rune) bool { return r < 'a' || r > 'z' }) {
		k.errorf("word", "steps", "looks for steps with %s. Write one word of at least %d letters, a to z, as it begins: hydrodissect.", quote(word), least)
	}
}

// substitute refuses a substitute that the same action withholds.
func (k *bookChecker) substitute(a Action) {
	if has(a.Items, a.Substitute.Key) {
		k.errorf("contradiction", "substitute", "sets %s in place of itself. Choose another substitute.", quote(a.Substitute.Name))
	}
	for _, allergen := range a.Allergens {
		if has(a.Substitute.Allergens, allergen) {
			k.errorf("contradiction", "substitute", "sets %s in place of what contains %s, and it contains %s too. Choose another substitute.", quote(a.Substitute.Name), allergen, allergen)
		}
	}
}

func (k *bookChecker) item(field string, i cards.Item) {
	k.in(field, -1, "", func() {
		k.key("key", string(i.Key))
		k.need("name", i.Name)
		k.oneOf("kind", string(i.Kind), cards.Choices["item kind"])
		k.oneOf("state", string(i.State), cards.Choices["state"])
		k.optional("note", i.Note)
		if i.Place != "" {
			k.oneOf("place", string(i.Place), cards.Choices["place"])
		}
		if i.Quantity < 1 || i.Quantity > maxQuantity {
			k.errorf("bounds", "quantity", "has the quantity %d, outside 1 to %d. Write how many.", i.Quantity, maxQuantity)
		}
		for _, allergen := range i.Allergens {
			k.oneOf("allergens", string(allergen), cards.Choices["allergen"])
		}
		for _, allergen := range cards.UntaggedAllergens(i.Name, i.Allergens) {
			k.caution("untagged", "allergens", "names %s, which contains %s and does not say so: an allergy would not withhold it. Mark it.", quote(i.Name), allergen)
		}
	})
}

// sameItems warns when one key is given two names: the sheet shows one line, under the name met first.
func (k *bookChecker) sameItems(b RuleBook) {
	names := map[cards.Key][]string{}
	for _, r := range b.Rules {
		for _, a := range r.Do {
			for _, i := range []*cards.Item{a.Item, a.Substitute} {
				if i != nil && !has(names[i.Key], i.Name) {
					names[i.Key] = append(names[i.Key], i.Name)
				}
			}
		}
	}
	for _, key := range sortedKeys(names) {
		if list := names[key]; len(list) > 1 {
			slices.Sort(list)
			k.caution("two names", "rules", "gives the item %s several names: %s. Use one.", quote(string(key)), strings.Join(list, ", "))
		}
	}
}
