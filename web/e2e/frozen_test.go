package e2e

import "testing"

// A sheet in use does not move: a newer card is offered, with what changed,
// and is taken only when somebody says so.
func TestSheetDoesNotMove(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.makeCase()
	b.changeChopVacuum("390")

	b.open("/sheet/" + id + "/limits")
	b.sees("The card is now revision 2.")
	b.tap("Next")
	b.sees("400 mmHg")
	b.tap("Make a new sheet")
	b.sees("New sheet made")
	b.open("/sheet/" + id + "/limits")
	b.tap("Next")
	b.sees("390 mmHg")
}
