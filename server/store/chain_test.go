package store

import (
	"slices"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"sideport/server/edits"
)

// forge writes with the store's own hashes, as somebody who knows the program could.
func forge(t *testing.T, change func(*Tx) error) *Store {
	t.Helper()
	dir := t.TempDir()
	if err := Create(dir, Random); err != nil {
		t.Fatal(err)
	}
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	second := anEdit
	second.ID, second.Parent = "000000000000000000000000000000bb", 1
	for _, e := range []edits.Edit{anEdit, second} {
		if r, err := s.Accept(now, e); err != nil || r.Outcome != edits.Applied {
			t.Fatalf("%+v, %v", r, err)
		}
	}
	if err := s.db.Update(func(tx *bbolt.Tx) error { return change(&Tx{tx: tx}) }); err != nil {
		t.Fatal(err)
	}
	return s
}

func wantFinding(t *testing.T, s *Store, depth Depth, part string) {
	t.Helper()
	report, err := s.Verify(depth)
	if err != nil || !slices.ContainsFunc(report.Findings, func(f string) bool { return strings.Contains(f, part) }) {
		t.Errorf("want a finding with %q, got %q, %v", part, report.Findings, err)
	}
}

func TestRewrittenRecordBreaksTheChain(t *testing.T) {
	s := forge(t, func(tx *Tx) error {
		r, _, err := tx.record(1)
		if err != nil {
			return err
		}
		r.Entry.Edit.Reason = "rewritten"
		_, err = tx.putJSON(bucketLog, seqKey(1), r)
		return err
	})
	wantFinding(t, s, Quick, "record 2 does not follow from record 1")
}

func TestCutLogDoesNotMatchItsHead(t *testing.T) {
	s := forge(t, func(tx *Tx) error {
		m, err := tx.meta()
		if err != nil {
			return err
		}
		m.Seq = 1
		return tx.setMeta(m)
	})
	wantFinding(t, s, Quick, "the newest record is not the head of the log")
	wantFinding(t, s, Quick, "the log holds 2 records and should hold 1")
}

func TestDocumentThatTheLogDidNotMake(t *testing.T) {
	s := forge(t, func(tx *Tx) error {
		doc, _, err := tx.Document(edits.Person, "anna")
		if err != nil {
			return err
		}
		doc.Body = []byte(`{"id":"anna","name":"Somebody else","roles":["unit lead"]}`)
		_, err = tx.putJSON(bucketDocuments, docKey(edits.Person, "anna"), doc)
		return err
	})
	wantFinding(t, s, Quick, "person anna is not what the log makes of it")
}

func TestVerdictThatTheRulesDoNotGive(t *testing.T) {
	s := forge(t, func(tx *Tx) error {
		e := anEdit
		e.ID, e.Parent = "000000000000000000000000000000cc", 2
		return tx.Append(edits.Entry{Seq: 3, At: now, Edit: e, Verdict: edits.Verdict{Outcome: edits.SetAside, Rules: edits.RulesEdition, Reason: "because"}}, nil)
	})
	if report, err := s.Verify(Quick); err != nil || len(report.Findings) > 0 {
		t.Errorf("the quick check judges nothing and found %q, %v", report.Findings, err)
	}
	wantFinding(t, s, Full, `record 3 says "set aside" and the rules of this program say "applied"`)
}
