package checklist

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"testing"
)

// leaves calls visit for every place of a JSON value that holds no further
// place, with a function that gives the whole value with that place changed.
func leaves(path string, v any, whole func(any) any, visit func(path string, changed any)) {
	switch v := v.(type) {
	case map[string]any:
		for name, inner := range v {
			leaves(path+"/"+name, inner, func(x any) any {
				out := map[string]any{}
				for k, old := range v {
					out[k] = old
				}
				out[name] = x
				return whole(out)
			}, visit)
		}
	case []any:
		for n, inner := range v {
			leaves(path+"/"+strconv.Itoa(n), inner, func(x any) any {
				out := append([]any(nil), v...)
				out[n] = x
				return whole(out)
			}, visit)
		}
	case string:
		visit(path, whole(changedText(v)))
	case bool:
		visit(path, whole(!v))
	case float64:
		visit(path, whole(v+1))
	}
}

// changedText stays readable as what it was: a number stays one, a day a day.
func changedText(s string) string {
	if n, err := strconv.ParseFloat(s, 64); err == nil {
		return strconv.FormatFloat(n+1, 'f', -1, 64)
	}
	if regexp.MustCompile(`^\d{4}-\d{2}-\d{2}$`).MatchString(s) {
		return "2031-01-31"
	}
	return s + "x"
}

// silent lists the places of a document at which a change is not said.
func silent[T any](t *testing.T, doc T, diff func(from, to T) []string) map[string]bool {
	t.Helper()
	b, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	var v any
	if err := json.Unmarshal(b, &v); err != nil {
		t.Fatal(err)
	}
	seen, found := map[string]bool{}, map[string]bool{}
	leaves("", v, func(x any) any { return x }, func(path string, changed any) {
		shape := regexp.MustCompile(`/\d+`).ReplaceAllString(path, "/n")
		if seen[shape] {
			return
		}
		b, err := json.Marshal(changed)
		if err != nil {
			t.Fatal(err)
		}
		var to T
		if err := json.Unmarshal(b, &to); err != nil {
			return // not a value of this type any more
		}
		seen[shape] = true
		if len(diff(doc, to)) == 0 {
			found[shape] = true
		}
	})
	return found
}

// A history that says “no change” is believed. Whatever is changed in a rule
// book, or in a case, somewhere, is said.
func TestDifferencesPassNoChangeInSilence(t *testing.T) {
	book := Starter()
	book.Parts = Parts{Risk: Switch{On: true, By: "lead", Date: "2026-11-25", PurposeRead: true}, Recipes: []ConfirmedRecipe{{Recipe: "moxifloxacin", By: "Pharmacist", Date: "2026-11-25"}}}
	for place := range silent(t, book, DiffRuleBooks) {
		t.Errorf("a change of %s of the rule book is not said", place)
	}
	c := plainCase("dilated-pupil=4.5", "allergies=iodine,latex", "allergy-other=nuts")
	c.Note = "Comes early."
	for place := range silent(t, c, DiffCases) {
		if place == "/id" { // what names the case: two ids are two cases
			continue
		}
		t.Errorf("a change of %s of a case is not said", place)
	}
}

// The search finds what a difference leaves out.
func TestSilentPlacesAreFound(t *testing.T) {
	got := silent(t, plainCase("dilated-pupil=4.5"), func(from, to Case) []string {
		if from.Note != to.Note || from.ID != to.ID {
			return []string{"said"}
		}
		return nil
	})
	if !got["/facts/dilated-pupil/n"] && !got["/facts/dilated-pupil"] || got["/id"] {
		t.Error(fmt.Sprint(got))
	}
}
