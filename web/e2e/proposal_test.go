package e2e

import (
	"encoding/json"
	"fmt"
	"testing"
)

const scrubNurse = "Clementine Harbourlight"

// proposals are what the server says about the card with the chop.
func (s *server) proposals() (open, answered int, fate, why string) {
	s.t.Helper()
	body, err := s.get("/api/v1/snapshot")
	if err != nil {
		s.t.Fatal(err)
	}
	var snapshot struct {
		Docs []struct {
			ID        string
			Proposals []struct{ By string }
			Answered  []struct{ Fate, Why string }
		}
	}
	if err := json.Unmarshal(body, &snapshot); err != nil {
		s.t.Fatal(err)
	}
	for _, d := range snapshot.Docs {
		if d.ID != chopCard {
			continue
		}
		for _, a := range d.Answered {
			fate, why = a.Fate, a.Why
		}
		return len(d.Proposals), len(d.Answered), fate, why
	}
	s.t.Fatalf("the server has no card %s", chopCard)
	return 0, 0, "", ""
}

// wantProposals waits until the server holds so many open and answered proposals.
func (s *server) wantProposals(open, answered int) {
	s.t.Helper()
	eventually(s.t, fmt.Sprintf("%d proposals are open and %d answered", open, answered), func() error {
		if o, a, _, _ := s.proposals(); o != open || a != answered {
			return fmt.Errorf("%d are open and %d answered", o, a)
		}
		return nil
	})
}

// propose changes the chop vacuum of somebody else's card.
func (b *tablet) propose(to, reason string) {
	b.t.Helper()
	b.open("/cards/" + chopCard + "/edit?part=limits&phase=chop")
	b.sees("What you change is sent as a proposal")
	b.write("Vacuum", to)
	b.tap("Look and keep")
	b.sees("Chop vacuum 400 → " + to + " mmHg")
	b.write("Reason, in one line", reason)
	b.tap("Keep")
	b.sees("Kept on this device, as a proposal to " + chopSurgeon)
}

// A scrub nurse proposes with no network. Nobody's card changes until the
// surgeon, on another tablet, accepts; then both see the new value and the
// nurse sees what became of the proposal.
func TestProposalAccepted(t *testing.T) {
	s := startServer(t)
	nurse, surgeon := newTablet(t, s, upright), newTablet(t, s, desk)
	nurse.becomes(scrubNurse)
	nurse.installed()
	surgeon.becomes(chopSurgeon)
	before := s.document("card", chopCard)
	s.kill()
	nurse.propose("360", "Cracks well at less")
	nurse.sees("1 proposal waits for the owner")
	nurse.sees("400 mmHg")
	nurse.tap("Proposals")
	nurse.sees("not on the server yet")
	nurse.sees("Chop vacuum 400 → 360 mmHg")
	nurse.shut()
	s.start()

	nurse.launch()
	nurse.open("/")
	nurse.sees("1 answer to read")
	nurse.open("/waiting")
	nurse.sees("your change waits as a proposal")
	nurse.gone("answer to read")
	nurse.open("/")
	nurse.sees("Whole list")
	nurse.gone("answer to read")
	s.wantProposals(1, 0)
	if after := s.document("card", chopCard); after.Rev != before.Rev || s.chopVacuum() != "400" {
		t.Fatalf("the card is at revision %d with %s mmHg before anybody accepted", after.Rev, s.chopVacuum())
	}

	surgeon.open("/")
	surgeon.sees("1 proposal waits for your answer")
	surgeon.open("/cards/" + chopCard + "/edit?part=limits&phase=chop")
	surgeon.sees("A proposal waits for your answer on this card")
	surgeon.sees(scrubNurse + ": Chop vacuum 400 → 360 mmHg")
	surgeon.write("Vacuum", "390")
	surgeon.tap("Look and keep")
	surgeon.sees("Chop vacuum 400 → 390 mmHg")
	surgeon.holds("the last look names the proposal as well", `document.querySelector("dialog[open]")?.innerText.match(/400\s→\s360/) ? "" : "it does not"`)
	surgeon.tapIn("dialog", "Close")
	surgeon.tap("Open proposals")
	surgeon.sees("Proposed by " + scrubNurse)
	surgeon.sees("Cracks well at less")
	surgeon.sees("On the card as it is now")
	surgeon.tap("Accept")
	surgeon.sees("What changes")
	surgeon.tapIn("dialog", "Keep")
	surgeon.sees("Accepted. Kept on this device.")
	s.wantProposals(0, 1)
	if _, _, fate, _ := s.proposals(); fate != "accepted" || s.chopVacuum() != "360" {
		t.Errorf("the proposal is %q and the card holds %s mmHg", fate, s.chopVacuum())
	}
	for _, b := range []*tablet{nurse, surgeon} {
		b.open("/cards/" + chopCard)
		b.sees("360 mmHg")
	}
	nurse.open("/")
	nurse.sees("1 proposal of yours has an answer")
	nurse.tap("Open proposals")
	nurse.sees("Accepted by " + chopSurgeon)
}

// The surgeon declines with a reason, with no network: the card stays as it
// was, without a revision that says otherwise, and the nurse reads why.
func TestProposalDeclined(t *testing.T) {
	s := startServer(t)
	nurse, surgeon := newTablet(t, s, upright), newTablet(t, s, desk)
	nurse.becomes(scrubNurse)
	surgeon.becomes(chopSurgeon)
	surgeon.installed()
	before := s.document("card", chopCard)
	nurse.propose("360", "Cracks well at less")
	s.wantProposals(1, 0)
	surgeon.open("/proposals")
	surgeon.sees("Proposed by " + scrubNurse)
	s.kill()
	surgeon.tap("Decline")
	surgeon.sees("will read this reason")
	surgeon.tap("I work another way")
	surgeon.sees("Declined. Kept on this device.")
	surgeon.sees("Answered on this device")
	surgeon.shut()
	s.start()
	surgeon.launch()
	surgeon.open("/waiting")
	surgeon.sees("Nothing is waiting")
	s.wantProposals(0, 1)
	if after := s.document("card", chopCard); after.Rev != before.Rev || s.chopVacuum() != "400" {
		t.Errorf("the card is at revision %d with %s mmHg after a decline", after.Rev, s.chopVacuum())
	}
	nurse.open("/proposals")
	nurse.sees("Declined by " + chopSurgeon)
	nurse.sees("I work another way")
}

// The surgeon changed the same limit meanwhile: both values stand before the
// answer, one is chosen, and the nurse hears that it was taken with a change.
func TestProposalOfWhatChangedMeanwhile(t *testing.T) {
	s := startServer(t)
	nurse, surgeon := newTablet(t, s, upright), newTablet(t, s, phone)
	nurse.becomes(scrubNurse)
	surgeon.becomes(chopSurgeon)
	nurse.propose("360", "Cracks well at less")
	s.wantProposals(1, 0)
	surgeon.changeChopVacuum("390")
	surgeon.open("/proposals?card=" + chopCard)
	surgeon.sees("changed the same thing")
	surgeon.sees("390 mmHg")
	for _, look := range []string{"dim", "bright"} {
		surgeon.wear(look)
		surgeon.sees("changed the same thing")
		surgeon.fits("proposals, " + look)
		surgeon.scrolledTo(".question-sides")
		surgeon.screenshot("proposals-" + look)
	}
	surgeon.tapIn(".question-side:nth-child(2)", "This one holds")
	surgeon.sees("Chop vacuum 390 → 360 mmHg")
	surgeon.tap("Change and accept")
	surgeon.sees("You are changing the proposal of " + scrubNurse)
	surgeon.open(fmt.Sprintf("%s&part=limits&phase=chop", surgeon.at()))
	surgeon.write("Vacuum", "380")
	surgeon.tap("Look and keep")
	surgeon.sees("Chop vacuum 390 → 380 mmHg")
	surgeon.write("Reason, in one line", "Half way")
	surgeon.tap("Keep")
	surgeon.sees("Kept on this device.")
	s.wantProposals(0, 1)
	if _, _, fate, why := s.proposals(); fate != "changed" || why != "Half way" || s.chopVacuum() != "380" {
		t.Errorf("the proposal is %q because of %q and the card holds %s mmHg", fate, why, s.chopVacuum())
	}
	nurse.open("/proposals")
	nurse.sees("Taken, and changed by the owner by " + chopSurgeon)
}

// scrolledTo brings something to the top of the screen, for the picture.
func (b *tablet) scrolledTo(selector string) {
	b.t.Helper()
	if _, err := eval[bool](b, fmt.Sprintf(`(document.querySelector(%s).scrollIntoView(), true)`, quoted(selector))); err != nil {
		b.t.Fatal(err)
	}
}

// at is the address with its question.
func (b *tablet) at() string {
	b.t.Helper()
	at, err := eval[string](b, "location.pathname + location.search")
	if err != nil {
		b.t.Fatal(err)
	}
	return at
}
