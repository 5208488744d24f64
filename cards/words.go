package cards

import (
	"strconv"
	"strings"
)

// describe says a decision unit in words, for differences and for open questions.
func describe(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case Worded:
		return v.InWords()
	case Quantity:
		return v.String()
	case Phase:
		return joinTexts(ShowLimits(v.Limits), v.Note)
	case Item:
		return describeItem(v)
	case Drug:
		return joinWords(v.Name, v.Text(), string(v.State), v.Prepared, v.Note, allergenWords(v.Allergens))
	case Step:
		return joinWords(v.Title, v.Phase.Words(), v.Do, v.Checkpoint)
	case Trigger:
		return describeTrigger(v)
	case Variant:
		return describeVariant(v)
	case Fit:
		return "speaks " + string(v.Speaks) + " when " + v.When.String() + ": " + v.Reason
	case Section:
		return v.Body
	}
	return string(raw(v))
}

func joinWords(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, "; ")
}

func joinTexts(shown []Shown, more ...string) string {
	parts := make([]string, 0, len(shown)+len(more))
	for _, s := range shown {
		parts = append(parts, s.Text())
	}
	return joinWords(append(parts, more...)...)
}

func describeItem(i Item) string {
	counted := ""
	if i.Counted {
		counted = "counted"
	}
	return joinWords(strconv.Itoa(i.Quantity)+" × "+i.Name, string(i.Kind), string(i.State), string(i.Place), counted, i.Note, allergenWords(i.Allergens))
}

func allergenWords(allergens []Allergen) string {
	if len(allergens) == 0 {
		return ""
	}
	words := make([]string, len(allergens))
	for i, a := range allergens {
		words[i] = string(a)
	}
	return "contains " + strings.Join(words, ", ")
}

func describeTrigger(t Trigger) string {
	return joinWords(t.Title, "seen: "+t.Seen, "say: "+t.Say,
		roleLines("surgeon", t.Surgeon), roleLines("scrub nurse", t.Scrub),
		roleLines("circulating nurse", t.Circulating), roleLines("anaesthesia", t.Anaesthesia),
		keyWords("open", t.Open), t.NextStep, string(t.NextCard), t.Source)
}

func roleLines(role string, lines []string) string {
	if len(lines) == 0 {
		return ""
	}
	return role + ": " + strings.Join(lines, ". ")
}

func keyWords(what string, keys []Key) string {
	if len(keys) == 0 {
		return ""
	}
	words := make([]string, len(keys))
	for i, k := range keys {
		words[i] = k.Words()
	}
	return what + ": " + strings.Join(words, ", ")
}

func describeVariant(v Variant) string {
	var parts []string
	for _, t := range v.When {
		parts = append(parts, "when "+t.String())
	}
	for _, p := range v.Phases {
		parts = append(parts, p.Phase.Words()+": "+joinTexts(ShowLimits(p.Limits)))
	}
	for _, i := range v.Items {
		parts = append(parts, describeItem(i))
	}
	parts = append(parts, keyWords("without", v.Without), v.Note)
	return joinWords(append([]string{v.Title}, parts...)...)
}
