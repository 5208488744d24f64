package cards

// Merger joins two changes of a document of another package by the laws of
// Merge, so that those laws stand in one place. Its parts say themselves in
// words through Worded.
type Merger struct{ m merger }

// Questions are what the two sides could not agree on, in the order of merging.
func (m *Merger) Questions() []Question { return m.m.questions }

// Worded is a decision unit that says itself in words, one value after the
// other with "; " between. Questions and differences show it.
type Worded interface{ InWords() string }

// MergeField merges one value that people decide as a whole. The result is the
// value the merged document takes.
func MergeField[T any](m *Merger, unit, label string, base, head, mine T) T {
	switch {
	case same(head, mine), same(base, mine):
		return head
	case same(base, head):
		return mine
	}
	m.m.ask(Question{Unit: unit, Label: label, Base: raw(base), Head: raw(head), Mine: raw(mine),
		BaseText: describe(base), HeadText: describe(head), MineText: describe(mine)})
	return head
}

// MergeParts merges a list of parts that have a key, each of them one decision
// unit, and then their order.
func MergeParts[T any](m *Merger, list, kind string, base, head, mine []T, key, name func(T) string) []T {
	return mergeList(&m.m, list, kind, base, head, mine, key, name)
}

// DiffParts says which parts of a list were added, removed or changed, and
// whether their order was.
func DiffParts[T any](kind string, from, to []T, key, name func(T) string) []string {
	d := &differ{}
	diffList(d, kind, from, to, key, name)
	return d.out
}

// Describe says a decision unit in words, as questions and differences do.
func Describe(v any) string { return describe(v) }
