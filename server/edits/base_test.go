package edits_test

import (
	"fmt"
	"testing"
	"time"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store/storetest"
)

// A device reads while an edit of its own waits, and shows both together. Its
// person then edits what is shown. What came from others is not the person's
// own change, and what the person changed back is: neither may be lost.
func TestEditCountsFromWhatItsAuthorSaw(t *testing.T) {
	unit := &storetest.Memory{}
	n := 0
	send := func(parent int, after edits.EditID, changes ...func(*cards.Card)) edits.Receipt {
		t.Helper()
		n++
		c := storetest.Card()
		for _, change := range changes {
			change(&c)
		}
		body, err := edits.Encode(c)
		if err != nil {
			t.Fatal(err)
		}
		r, err := unit.Accept(storetest.Start.Add(time.Duration(n)*time.Second), edits.Edit{ID: storetest.ID(n), Kind: edits.Card, Doc: "anna-chop", Parent: parent, After: after,
			Author: "anna", Device: storetest.DeviceID(fmt.Sprint("phone ", n)), Made: "2027-03-31T07:42:00Z", Body: body})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	send(0, "")
	send(1, "", storetest.Vacuum("chop", "400")) // somebody raises the vacuum: revision 2
	// On the tablet a title waits; the tablet reads revision 2; its person then changes sculpting, seeing 400 in chop.
	waiting := send(1, "", storetest.Title("Mine"))
	send(3, "", storetest.Title("Mine"), storetest.Vacuum("chop", "350")) // meanwhile somebody takes the vacuum back
	got := send(2, waiting.ID, storetest.Title("Mine"), storetest.Vacuum("chop", "400"), storetest.Vacuum("sculpt", "70"))
	doc, ok, err := unit.Document(edits.Card, "anna-chop")
	if err != nil || !ok || got.Outcome != edits.Merged {
		t.Fatalf("%+v, %v, %v", got, ok, err)
	}
	var card cards.Card
	if err := cards.Decode(doc.Body, &card); err != nil {
		t.Fatal(err)
	}
	if !storetest.VacuumIs("chop", "350")(card) {
		t.Error("the vacuum that somebody took back has come back, brought by one who had only seen it")
	}
	if !storetest.VacuumIs("sculpt", "70")(card) || len(doc.Questions) > 0 {
		t.Errorf("the author's own change is not there: %+v", doc.Questions)
	}
}
