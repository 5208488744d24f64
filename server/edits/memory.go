package edits

import (
	"encoding/json"
	"slices"
)

// Memory is a Log that keeps everything in memory and forgets it at the end.
// It stands in for the database in tests of everything above it.
type Memory struct {
	entries []Entry
	docs    map[DocKey]Document
}

// DocKey names a document.
type DocKey struct {
	Kind Kind
	ID   string
}

// Entry returns the entry of an edit.
func (m *Memory) Entry(id EditID) (Entry, bool, error) {
	for _, e := range slices.Backward(m.entries) {
		if e.Edit.ID == id {
			return e, true, nil
		}
	}
	return Entry{}, false, nil
}

// Document returns a document as it is now.
func (m *Memory) Document(kind Kind, id string) (Document, bool, error) {
	doc, ok := m.docs[DocKey{kind, id}]
	return doc, ok, nil
}

// Revision returns the body of one revision.
func (m *Memory) Revision(kind Kind, doc string, rev int) (json.RawMessage, bool, error) {
	for _, e := range m.entries {
		if e.Edit.Kind == kind && e.Edit.Doc == doc && e.Verdict.Outcome != SetAside && e.Verdict.Rev == rev {
			return e.Result(), true, nil
		}
	}
	return nil, false, nil
}

// Next is the place the next entry will have.
func (m *Memory) Next() (Seq, error) { return Seq(len(m.entries) + 1), nil }

// Append keeps the entry and the document.
func (m *Memory) Append(e Entry, doc *Document) error {
	m.entries = append(m.entries, e)
	if doc != nil {
		if m.docs == nil {
			m.docs = map[DocKey]Document{}
		}
		m.docs[DocKey{doc.Kind, doc.ID}] = *doc
	}
	return nil
}

// Entries returns the whole log, oldest first.
func (m *Memory) Entries() []Entry { return slices.Clone(m.entries) }
