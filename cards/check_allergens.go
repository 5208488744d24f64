package cards

import "strings"

// substance says by which words in its name a thing holds an allergen: by a
// whole word, by how a word begins or by how it ends. Generic names only.
type substance struct {
	allergen            Allergen
	words, begins, ends []string
}

// substances is common knowledge of the trade, not a list to be complete: a
// label is read in any case.
var substances = []substance{
	{"iodine", []string{"iodine", "povidone"}, nil, nil},
	{"chlorhexidine", []string{"chlorhexidine"}, nil, nil},
	{"latex", []string{"latex"}, nil, nil},
	{"cephalosporin", nil, []string{"cefa", "cefu", "ceft", "cefo", "ceph"}, nil},
	{"penicillin", nil, nil, []string{"cillin"}},
	{"quinolone", nil, nil, []string{"floxacin"}},
	{"sulfonamide", []string{"acetazolamide", "dorzolamide", "brinzolamide", "methazolamide"}, []string{"sulfa", "sulfo"}, nil},
	{"local anaesthetic", nil, nil, []string{"caine"}},
	{"sticking plaster", []string{"plaster", "adhesive", "tape"}, nil, nil},
	{"egg or soya", []string{"propofol", "lipid"}, nil, nil},
}

const sourceSubstances = "what belongs to which allergen: common knowledge of the trade, no source; the label counts"

// UntaggedAllergens lists what a thing of that name is known to contain and does not say.
// "Latex-free gloves" contain no latex.
func UntaggedAllergens(name string, tagged []Allergen) []Allergen {
	var out []Allergen
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return (r < 'a' || r > 'z') })
	for _, s := range substances {
		for n, w := range words {
			free := n+1 < len(words) && words[n+1] == "free" || n > 0 && (words[n-1] == "no" || words[n-1] == "without")
			if !free && s.names(w) && !hasAllergen(tagged, s.allergen) {
				out = append(out, s.allergen)
				break
			}
		}
	}
	return out
}

func (s substance) names(word string) bool {
	for _, w := range s.words {
		if word == w {
			return true
		}
	}
	for _, w := range s.begins {
		if strings.HasPrefix(word, w) {
			return true
		}
	}
	for _, w := range s.ends {
		if strings.HasSuffix(word, w) {
			return true
		}
	}
	return false
}

func hasAllergen(list []Allergen, a Allergen) bool {
	for _, x := range list {
		if x == a {
			return true
		}
	}
	return false
}

// untagged warns of a thing that an allergy would not find.
func (k *checker) untagged(path, label, name string, tagged []Allergen) {
	for _, a := range UntaggedAllergens(name, tagged) {
		k.caution("untagged", path+"/allergens", label+" contains "+string(a)+" by its name, but does not say so, so that an allergy would not withhold it. Mark it as containing "+string(a)+".", sourceSubstances)
	}
}
