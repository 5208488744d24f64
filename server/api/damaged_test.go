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
	s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()), s.edit(2, edits.Person, "cara", 0, cara()))
	for _, call := range []string{"/api/v1/snapshot", "/api/v1/changes?after=0"} {
		got := s.get(call)
		var m struct {
			Seq     edits.Seq
			Docs    []struct{ Kind, ID string }
			Damaged []struct{ Kind, ID, Text string }
		}
		got.into(t, &m)
		if m.Seq != begun+2 || len(m.Docs) != 1+len(staff) || len(m.Damaged) != 3 {
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

// unshowable is a store whose card can be read and nothing can be made of it.
type unshowable struct{ *store.Store }

func (s unshowable) Snapshot() (edits.Info, []edits.Document, error) {
	info, docs, err := s.Store.Snapshot()
	for i := range docs {
		if docs[i].Kind == edits.Card {
			docs[i].Body = []byte(`{"phases":7}`)
		}
	}
	return info, docs, err
}

func TestCardThatCannotBeShownIsNamedInEveryLaterAnswer(t *testing.T) {
	s := startOn(t, func(s *store.Store) api.Store { return unshowable{s} })
	s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()), s.edit(2, edits.Person, "cara", 0, cara()))
	for _, call := range []string{"/api/v1/snapshot", since(1), since(2)} {
		got := s.get(call)
		var m struct{ Damaged []struct{ Kind, ID string } }
		got.into(t, &m)
		if len(m.Damaged) != 1 || m.Damaged[0].ID != "anna-chop" {
			t.Errorf("%s: %s", call, got.body)
		}
	}
}

// mistaken is a store in which the program itself fails.
type mistaken struct{ *store.Store }

func (s mistaken) Snapshot() (info edits.Info, docs []edits.Document, err error) {
	return info, docs, s.View(func(*store.Tx) error { panic("index out of range") })
}

func TestMistakeOfTheProgramDoesNotBlameTheData(t *testing.T) {
	s := startOn(t, func(s *store.Store) api.Store { return mistaken{s} })
	got := s.get("/api/v1/snapshot")
	if got.status != 500 || strings.Contains(string(got.body), "damaged") || strings.Contains(string(got.body), "index") {
		t.Errorf("%d %s", got.status, got.body)
	}
}

func TestWholeDataNameNothingDamaged(t *testing.T) {
	s := start(t)
	s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()))
	if got := s.get("/api/v1/snapshot"); strings.Contains(string(got.body), "damaged") {
		t.Errorf("%s", got.body)
	}
}
