package cards

import "strings"

// readTest reads a condition as Test.String writes it: "Dilated pupil below 5 mm".
func readTest(text string) (Test, *fault) {
	f, rest, ok := cutFactor(text)
	if !ok {
		labels := make([]string, len(Factors))
		for i, f := range Factors {
			labels[i] = f.Label
		}
		return Test{}, &fault{"no such factor", quote(text) + " begins with no case factor. " + suggestion(firstWords(text), labels, "Write a factor, a comparison and a value, for example “Dilated pupil below 5 mm”.")}
	}
	op, value, ok := cutOp(f.Kind, rest)
	if !ok {
		return Test{}, &fault{"comparison", quote(text) + ": after " + quote(f.Label) + " write " + opNames(f.Kind) + " and a value."}
	}
	t := Test{Factor: f.ID, Op: op, Value: value}
	if f.Unit != "" {
		number, hasUnit := strings.CutSuffix(value, f.Unit)
		if !hasUnit {
			return t, &fault{"unit", quote(text) + " lacks its unit. Write the number and then " + quote(f.Unit) + "."}
		}
		t.Value = strings.TrimSpace(number)
	}
	for _, option := range f.Options {
		if strings.EqualFold(option, strings.ReplaceAll(t.Value, "’", "'")) {
			t.Value = option
		}
	}
	for _, p := range CheckTest("", quote(text), t) {
		return t, &fault{p.Code, p.Text}
	}
	return t, nil
}

// cutFactor finds the factor with the longest label the text begins with.
func cutFactor(text string) (found Factor, rest string, ok bool) {
	for _, f := range Factors {
		n := len(f.Label)
		if len(text) > n && text[n] == ' ' && strings.EqualFold(text[:n], f.Label) && n > len(found.Label) {
			found, rest, ok = f, strings.TrimSpace(text[n:]), true
		}
	}
	return found, rest, ok
}

// cutOp finds the longest comparison the text begins with: "is not" before "is".
func cutOp(kind FactorKind, text string) (found Op, value string, ok bool) {
	for _, op := range Ops[kind] {
		n := len(op)
		if len(text) > n && text[n] == ' ' && strings.EqualFold(text[:n], string(op)) && n > len(found) {
			found, value, ok = op, strings.TrimSpace(text[n:]), true
		}
	}
	return found, value, ok
}

// firstWords is what stands before the first comparison, for a suggestion.
func firstWords(text string) string {
	end := len(text)
	for _, ops := range [...]FactorKind{FactorChoice, FactorSet, FactorNumber} {
		for _, op := range Ops[ops] {
			if i := strings.Index(text, " "+string(op)+" "); i > 0 {
				end = min(end, i)
			}
		}
	}
	return text[:end]
}

// didYouMean names the closest known word, or all of them.
func didYouMean(word string, known []string) string {
	return suggestion(word, known, "Write one of: "+strings.Join(known, ", ")+".")
}

func suggestion(word string, known []string, otherwise string) string {
	if best := closest(word, known); best != "" {
		return "Did you mean " + quote(best) + "?"
	}
	return otherwise
}

// closest returns the known word that fewest letters turn the given one into,
// or "" when even that one differs in more than a third of its letters.
func closest(word string, known []string) string {
	best, least := "", 0
	for _, k := range known {
		d := distance(strings.ToLower(word), strings.ToLower(k))
		if d <= max(1, len(k)/3) && (best == "" || d < least) {
			best, least = k, d
		}
	}
	return best
}

// suggestLimit keeps a hostile label from costing time: nobody mistypes a word of that length.
const suggestLimit = 80

// distance counts the letters to add, take away or change to get from a to b.
func distance(a, b string) int {
	if len(a) > suggestLimit {
		return len(a)
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			changed := diagonal
			if a[i-1] != b[j-1] {
				changed++
			}
			diagonal = row[j]
			row[j] = min(changed, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
