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
func MergeField(m *Merger, unit, label string, base, head, mine any) any {
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

// Part is one decision unit of a list, with its key and its name.
type Part = element

// Key is what the part is found by.
func (e element) Key() string { return e.key }

// Name is what people call the part.
func (e element) Name() string { return e.name }

// Value is the part itself.
func (e element) Value() any { return e.value }

// NewPart names a value as a part of a list.
func NewPart(key, name string, value any) Part { return Part{key, name, value} }

// MergeParts merges a list of parts, each of them one decision unit, and then
// their order. It gives the values of the merged list.
func MergeParts(m *Merger, list, kind string, base, head, mine []Part) []any {
	var out []any
	for _, e := range m.m.list(list, kind, base, head, mine) {
		out = append(out, e.value)
	}
	return out
}

// DiffParts says which parts of a list were added, removed or changed, and
// whether their order was.
func DiffParts(kind string, from, to []Part) []string {
	d := &differ{}
	d.list(kind, from, to)
	return d.out
}

// Describe says a decision unit in words, as questions and differences do.
func Describe(v any) string { return describe(v) }
