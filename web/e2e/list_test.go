package e2e

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"
)

// The set-up of the whole list is summed on the tablet, with the server gone
// and before any sheet is in use; a case that was made a sheet is counted from it.
func TestTheWholeListIsSummedOffline(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.firstSheet()
	b.installed()
	s.kill()
	b.expectComplaints("the server is killed")
	b.open("/")
	b.tap("Whole list")
	b.sees("things for 8 cases")
	b.sees("From the sheets in use: case 3.")
	b.sees("As a sheet made now would say: cases 1, 2, 4, 5, 6, 7 and 8.")
	b.sees("More than one case asks for these")
	b.sees("two of them one after the other")
	b.sees("Lenses")
	b.sees("In the room, unopened, and for whom")
	b.holds("a thing that every case opens is counted over the list", `(() => { const rows = [...document.querySelectorAll(".sums > li")].map(e => e.innerText.replace(/\s+/g, " "));
		return rows.some(r => r.startsWith("8 × Lid speculum every case")) ? "" : rows.filter(r => r.includes("speculum")).join("; ") || "no speculum"; })()`)
	b.holds("what two cases far apart ask for is not said to be wanted twice in a row", `(() => { const rows = [...document.querySelectorAll(".sums > li")].map(e => e.innerText.replace(/\s+/g, " "));
		const apart = rows.find(r => r.includes("Nucleus rotator case 1 · case 7: 2")), near = rows.find(r => r.includes("Vertical chopper cases 4 and 5"));
		return apart && !apart.includes("one after the other") && near?.includes("one after the other") ? "" : apart + "; " + near; })()`)
	b.fits("the list's set-up")
	b.targets("body", 48)
	b.screenshot("list-setup")
	b.tap("Team brief")
	b.sees("Once for the whole list")
	b.sees("List order: any change, or same or similar names?")
	for place := 1; place <= 8; place++ {
		b.tap("Next")
		b.sees(fmt.Sprintf("%d of 9", place+1))
		if place == 3 {
			b.sees("Tamsulosin, ever")
		}
	}
	b.fits("the brief")
}

// facts is what a case holds besides its place.
func (s *server) facts(id string) (position int, rest string) {
	s.t.Helper()
	var body map[string]any
	if err := json.Unmarshal(s.document("case", id).Body, &body); err != nil {
		s.t.Fatal(err)
	}
	position = int(body["position"].(float64))
	delete(body, "position")
	b, err := json.Marshal(body)
	if err != nil {
		s.t.Fatal(err)
	}
	return position, string(b)
}

// Two cases change places while the server is gone: each keeps everything else,
// a sheet in use its ticks, and the server has it once it is back.
func TestTheOrderChangesAndNothingElse(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	third := b.firstSheet()
	second := s.caseOf("quillfeather-stop-and-chop")
	_, thirdFacts := s.facts(third)
	_, secondFacts := s.facts(second)
	b.tap("Iris hooks")
	b.sees("1 of 56")
	b.installed()
	s.kill()
	b.expectComplaints("the server is killed")
	b.open("/list/" + time.Now().Format("2006-01-02") + "/order")
	b.sees("Nothing is moved yet.")
	b.tap("Case 3: one up")
	b.sees("was 3")
	b.tap("As it was")
	b.sees("Nothing is moved yet.")
	b.tap("Case 3: one up")
	b.sees("was 2")
	b.targets(".reorder", 78)
	b.fits("the order")
	b.screenshot("list-order")
	b.tap("Keep this order")
	b.sees("not on the server yet")
	b.open("/sheet/" + third + "/setup")
	b.sees("1 of 56")
	b.sees("The place on the list of this sheet: 3. The case now says: 2.")
	s.start()
	for id, want := range map[string]struct {
		position int
		facts    string
	}{third: {2, thirdFacts}, second: {3, secondFacts}} {
		eventually(t, "the place is on the server", func() error {
			position, facts := s.facts(id)
			if position != want.position || facts != want.facts {
				return fmt.Errorf("place %d instead of %d, facts %s", position, want.position, facts)
			}
			return nil
		})
	}
}
