package storetest

import (
	"bytes"
	"fmt"
	"time"

	"sideport/server/edits"
)

// Memory is a Unit on the memory log of package edits.
type Memory struct{ edits.Memory }

// Accept takes one edit.
func (m *Memory) Accept(now time.Time, e edits.Edit) (edits.Receipt, error) {
	return edits.Accept(&m.Memory, now, e)
}

// SelfCheck rebuilds every document from the log.
func (m *Memory) SelfCheck() ([]string, error) {
	docs := map[edits.DocKey]edits.Document{}
	for _, e := range m.Entries() {
		if e.Verdict.Outcome == edits.SetAside {
			continue
		}
		key := edits.DocKey{Kind: e.Edit.Kind, ID: e.Edit.Doc}
		var before *edits.Document
		if doc, ok := docs[key]; ok {
			before = &doc
		}
		docs[key] = edits.Apply(before, e)
	}
	var findings []string
	for key, doc := range docs {
		stored, ok, err := m.Document(key.Kind, key.ID)
		if err != nil {
			return nil, err
		}
		want, err := edits.Encode(doc)
		if err != nil {
			return nil, err
		}
		got, err := edits.Encode(stored)
		if err != nil {
			return nil, err
		}
		if !ok || !bytes.Equal(got, want) {
			findings = append(findings, fmt.Sprintf("%v is not what the log makes of it", key))
		}
	}
	return findings, nil
}
