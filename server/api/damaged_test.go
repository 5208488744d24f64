package api_test

import (
	"strings"
	"testing"

	"sideport/server/api"
	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

// spoilt is a store in which the card's record and one without a name are damaged.
type spoilt struct{ *store.Store }

func (s spoilt) leaveOut(info edits.Info, docs []edits.Document, err error) (edits.Info, []edits.Document, error) {
	if err != nil {
		return info, docs, err
	}
	var left []edits.Document
	for _, d := range docs {
		if d.Kind != edits.Card {
			left = append(left, d)
		}
	}
	return info, left, store.SomeDamaged{{Kind: edits.Card, ID: "anna-chop"}, {}, {Kind: edits.Rules, ID: edits.HouseRules}}
}

func (s spoilt) Snapshot() (edits.Info, []edits.Document, error) {
	return s.leaveOut(s.Store.Snapshot())
}

func (s spoilt) Changes(after edits.Seq) (edits.Info, []edits.Document, error) {
	return s.leaveOut(s.Store.Changes(after))
}

func TestDamagedDocumentIsNamedAndTheOthersServed(t *testing.T) {
	s := startOn(t, func(s *store.Store) api.Store { return spoilt{s} })
	s.push(edit(1, edits.Card, "anna-chop", 0, storetest.Card()), edit(2, edits.Person, "anna", 0, storetest.Person()))
	for _, call := range []string{"/api/v1/snapshot", "/api/v1/changes?after=0"} {
		got := s.get(call)
		var m struct {
			Seq     int
			Docs    []struct{ Kind, ID string }
			Damaged []struct{ Kind, ID, Text string }
		}
		got.into(t, &m)
		if m.Seq != 2 || len(m.Docs) != 1 || m.Docs[0].ID != "anna" || len(m.Damaged) != 3 {
			t.Fatalf("%s: %s", call, got.body)
		}
		if d := m.Damaged[0]; d.Kind != "card" || d.ID != "anna-chop" || d.Text != "The card “anna-chop” cannot be shown: its record on the server is damaged." {
			t.Errorf("%s: %+v", call, d)
		}
		if d := m.Damaged[1]; d.Kind != "" || d.ID != "" || !strings.Contains(d.Text, "even its name cannot be read") {
			t.Errorf("%s: %+v", call, d)
		}
		if d := m.Damaged[2]; d.Text != "The rule book cannot be shown: the record on the server is damaged." {
			t.Errorf("%s: %+v", call, d)
		}
	}
}

func TestWholeDataNameNothingDamaged(t *testing.T) {
	s := start(t)
	s.push(edit(1, edits.Card, "anna-chop", 0, storetest.Card()))
	if got := s.get("/api/v1/snapshot"); strings.Contains(string(got.body), "damaged") {
		t.Errorf("%s", got.body)
	}
}
