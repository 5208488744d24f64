package cards

import (
	"slices"
	"strconv"
	"strings"
)

// notes merges the notes paragraph by paragraph: where both sides changed the
// same paragraphs differently, head's stay and the place becomes a question.
// Repeated paragraphs can be matched in more than one way; where that makes
// the result depend on chance, the notes as a whole become the question.
func (m *merger) notes(base, head, mine string) string {
	switch {
	case head == mine, base == mine:
		return head
	case base == head:
		return mine
	}
	merged, questions := mergeParagraphs(base, head, mine)
	swapped, mirrored := mergeParagraphs(base, mine, head)
	if !settles(merged, questions, base, head, mine) || !settles(swapped, mirrored, base, head, mine) {
		m.ask(notesQuestion("notes", "Notes", base, head, mine))
		return head
	}
	if len(questions) == 0 && !(settled(base, merged, head) && settled(base, merged, mine)) {
		m.ask(notesQuestion("notes", "Notes", base, head, mine))
		return head
	}
	for _, q := range questions {
		m.ask(q)
	}
	return merged
}

// settles reports whether every paragraph came out as it must, whatever its
// place: what one side alone put in or took out is in or out, once. Moving a
// paragraph looks like taking it out here and putting it in there, so without
// this one moved here and taken out there would come back, and one put in on
// both sides at two places would stand there twice. Paragraphs that a question
// is about are left to the question.
func settles(merged string, asked []Question, base, head, mine string) bool {
	got, b, h, x := counts(merged), counts(base), counts(head), counts(mine)
	open := map[string]int{}
	for _, q := range asked {
		for _, side := range []string{q.BaseText, q.HeadText, q.MineText} {
			for _, p := range paragraphs(side) {
				open[p]++
			}
		}
	}
	for _, p := range paragraphs(strings.Join([]string{base, head, mine}, "\n\n")) {
		want := h[p]
		switch {
		case h[p] == x[p], b[p] == x[p]:
		case b[p] == h[p]:
			want = x[p]
		default:
			want = -1 // both changed how often it stands there, differently
		}
		if got[p] > max(b[p], h[p], x[p]) || got[p] != want && open[p] == 0 {
			return false
		}
	}
	return true
}

func counts(notes string) map[string]int {
	n := map[string]int{}
	for _, p := range paragraphs(notes) {
		n[p]++
	}
	return n
}

// settled reports whether merging a side into the result once more changes nothing.
func settled(base, merged, side string) bool {
	again, questions := mergeParagraphs(base, merged, side)
	return again == merged && len(questions) == 0
}

func notesQuestion(unit, label, base, head, mine string) Question {
	return Question{Unit: unit, Label: label, Base: raw(base), Head: raw(head), Mine: raw(mine),
		BaseText: base, HeadText: head, MineText: mine}
}

// mergeParagraphs walks the paragraphs that all three sides share and settles the regions between them.
func mergeParagraphs(base, head, mine string) (string, []Question) {
	b, h, x := paragraphs(base), paragraphs(head), paragraphs(mine)
	toHead, toMine := matches(b, h), matches(b, x)
	var out []string
	var questions []Question
	at := [3]int{}
	for {
		next := nextStable(at, toHead, toMine, [3]int{len(b), len(h), len(x)})
		region, question := mergeRegion(at[0], b[at[0]:next[0]], h[at[1]:next[1]], x[at[2]:next[2]])
		out = append(out, region...)
		if question != nil {
			questions = append(questions, *question)
		}
		if next[0] == len(b) {
			return strings.Join(out, "\n\n"), questions
		}
		out = append(out, b[next[0]])
		at = [3]int{next[0] + 1, next[1] + 1, next[2] + 1}
	}
}

// mergeRegion settles the paragraphs between two that all three sides share.
func mergeRegion(at int, base, head, mine []string) ([]string, *Question) {
	switch {
	case slices.Equal(head, mine), slices.Equal(base, mine):
		return head, nil
	case slices.Equal(base, head):
		return mine, nil
	}
	join := func(p []string) string { return strings.Join(p, "\n\n") }
	n := strconv.Itoa(at + 1)
	q := notesQuestion("notes/"+n, "Notes, paragraph "+n, join(base), join(head), join(mine))
	return head, &q
}

func paragraphs(s string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(s, "\n\n")
}

// nextStable finds the next paragraph of base that both sides kept, at or after the given places; the ends when there is none.
func nextStable(at [3]int, toHead, toMine []int, ends [3]int) [3]int {
	for i := at[0]; i < ends[0]; i++ {
		if toHead[i] >= at[1] && toMine[i] >= at[2] {
			return [3]int{i, toHead[i], toMine[i]}
		}
	}
	return ends
}

// matches gives for each paragraph of a its partner in a longest common
// subsequence with b, or -1. The quadratic table is the clearest that is right.
// It keeps two rows of lengths and otherwise one bit a place, which is all that
// the way back asks: notes of thousands of tiny paragraphs must not take
// hundreds of megabytes on a tablet.
func matches(a, b []string) []int {
	onward := make([]byte, len(a)*len(b)/8+1) // leaving out b's paragraph here loses nothing
	row, below := make([]int, len(b)+1), make([]int, len(b)+1)
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			switch {
			case a[i] == b[j]:
				row[j] = below[j+1] + 1
			case row[j+1] >= below[j]:
				row[j] = row[j+1]
				at := i*len(b) + j
				onward[at/8] |= 1 << (at % 8)
			default:
				row[j] = below[j]
			}
		}
		row, below = below, row
	}
	partner := make([]int, len(a))
	for i, j := 0, 0; i < len(a); i++ {
		partner[i] = -1
		for at := i*len(b) + j; j < len(b) && onward[at/8]>>(at%8)&1 == 1; at++ {
			j++
		}
		if j < len(b) && a[i] == b[j] {
			partner[i] = j
			j++
		}
	}
	return partner
}
