package storetest_test

import (
	"testing"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/store/storetest"
)

func TestFixturesAreValidAndUnremarkable(t *testing.T) {
	for _, p := range cards.Check(storetest.Card()) {
		t.Errorf("card: %+v", p)
	}
	for _, p := range checklist.CheckCase(storetest.Case()).Errors() {
		t.Errorf("case: %+v", p)
	}
	for _, p := range cards.CheckPerson(storetest.Person()) {
		t.Errorf("person: %+v", p)
	}
}
