package e2e

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// A unit lead changes a setting, sees at once which sheets would change, keeps
// the change with a reason, and the sheet made afterwards is another.
func TestTheUnitChangesASetting(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, desk)
	b.leads()
	id := b.firstSheet() // its pupil is 4.5 mm
	b.sees("Iris hooks")
	b.open("/rules/settings")
	b.sees("What would change")
	b.write("Dilated pupil is small below", "3")
	b.sees("would change")
	b.sees("removed")
	b.sees("sheet in use")
	b.screenshot("rules-trial")
	b.tap("Look at the change and keep it")
	b.sees("5 mm → 3 mm")
	b.tap("agreed at the unit's meeting")
	b.tap("Keep it on this device")
	b.sees("Kept on this device")
	eventually(t, "the server has the change", func() error {
		if h := s.document("rules", "house").History; len(h) != 2 || h[1].Reason != "agreed at the unit's meeting" {
			return fmt.Errorf("history %+v", h)
		}
		return nil
	})
	b.open("/sheet/" + id + "/setup")
	b.sees("The house rules are now revision 2")
	before := b.special()
	b.tap("Make a new sheet")
	eventually(t, "the new sheet no longer speaks of a small pupil", func() error {
		if now := b.special(); strings.Contains(now, "mall pupil") || now == before {
			return fmt.Errorf("the sheet says %q", now)
		}
		return nil
	})
	b.open("/rules/history")
	b.sees("Revision 2")
	b.sees("5 mm → 3 mm")
}

// A rule is written by choosing; what is missing is said, and it joins the book.
func TestTheUnitWritesARule(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.leads()
	b.open("/rules")
	b.write("Title of the rule", "Leave the mouth free")
	b.tap("Write a new rule")
	b.sees("Applies when")
	b.tap("one fact")
	b.choose("Fact of the case", "closed-spaces")
	b.tapIn(".condition-test", "yes")
	b.sees("Fear of closed spaces is yes")
	b.sees("to mend")
	b.tap("Add an action")
	b.write("What it says", "Fear of closed spaces: leave the mouth free.")
	b.write("Source", "common practice, no source")
	b.fits("rule")
	b.screenshot("rule-form")
	b.tap("Look at the change and keep it")
	b.sees("“Leave the mouth free” added")
	b.tap("review")
	b.tap("Keep it on this device")
	b.sees("Kept on this device")
	eventually(t, "the server has the rule", func() error {
		if body := string(s.document("rules", "house").Body); !strings.Contains(body, `"leave-the-mouth-free"`) {
			return errors.New("it is not in the book")
		}
		return nil
	})
}

// Two people change one setting differently: neither wins, both stand on the screen, and one is taken.
func TestTwoPeopleChangeOneSetting(t *testing.T) {
	s := startServer(t)
	ann, ben := newTablet(t, s, desk), newTablet(t, s, desk)
	ann.leads()
	s.makes(map[string]any{"id": strings.Repeat("e", 32), "kind": "person", "doc": "kofi-brambledene", "parent": 1, "author": "oriel-stonebarrow", "made": "2026-11-25T08:00:00Z", "reason": "Looks after the house rules too",
		"body": map[string]any{"id": "kofi-brambledene", "name": chopSurgeon, "roles": []string{"surgeon", "unit lead"}, "invented": true}})
	ben.becomes(chopSurgeon)
	for tablet, value := range map[*tablet]string{ann: "4", ben: "3"} {
		tablet.open("/rules/settings")
		tablet.write("Dilated pupil is small below", value)
		tablet.sees("Was 5 mm")
	}
	ann.keepRules("review")
	eventually(t, "the first change is on the server", func() error { return s.hasRevision("rules", "house", 2) })
	ben.sees("now revision 2")
	ben.keepRules("local protocol changed")
	eventually(t, "the second change is on the server", func() error { return s.hasRevision("rules", "house", 3) })
	ann.open("/rules/settings")
	ann.sees("Open questions")
	ann.sees("value: 4 mm")
	ann.sees("value: 3 mm")
	ann.screenshot("rules-question")
	ann.tap("Take this one: " + chopSurgeon)
	ann.sees("This one is taken with your change.")
	ann.keepRules("agreed at the unit's meeting")
	eventually(t, "the question is settled", func() error { return s.hasRevision("rules", "house", 4) })
	ann.open("/rules/history")
	ann.sees("4 mm → 3 mm")
	if text, err := ann.text(); err != nil || strings.Contains(text, "Open questions") {
		t.Errorf("the question is still open (%v)", err)
	}
}

// What is being written survives a reload, and can be taken back.
func TestADraftOfTheRulesIsNotLost(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, desk)
	b.leads()
	b.open("/rules/settings")
	b.write("Eye is long from", "25.5")
	b.sees("Look at the change and keep it")
	b.open("/rules/settings")
	b.sees("You were in the middle of this")
	b.sees("Was 26")
	b.tap("Take my changes back")
	b.sees("Change something, and the sheets it would change stand here.")
	if h := s.document("rules", "house").History; len(h) != 1 {
		t.Errorf("the server has %d revisions, want the first alone", len(h))
	}
}

// 0.1 mL of 10 mg/mL holds 1 mg: by definition of the unit. A changed input takes the result away.
func TestACalculation(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.open("/reckon")
	b.sees("A second check beside the unit's formulary and a second person.")
	b.sees("off: for the unit's pharmacist to confirm")
	b.fits("reckon")
	b.screenshot("reckon")
	b.tap("Amount of drug in a volume")
	b.sees("Fill in the fields")
	b.write("Strength", "10 mg/mL")
	b.write("Volume", "0.1")
	b.sees("1 mg")
	b.sees("Check by hand before use")
	b.fits("calculation")
	b.screenshot("reckon-one")
	b.write("Strength", "1:3")
	b.sees("This needs mending")
}

// A recipe shows its steps only after the unit's pharmacist has confirmed it.
func TestARecipeIsOffUntilConfirmed(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.leads()
	b.open("/rules/parts")
	b.tap("Moxifloxacin 0.5 %, given undiluted")
	b.tapIn("details[open]", "Confirmed by the pharmacist")
	b.sees("Write the name of the pharmacist first.")
	b.writeIn("details[open]", "Name of the pharmacist", "Invented Pharmacist")
	b.tapIn("details[open]", "Confirmed by the pharmacist")
	b.sees("confirmed by Invented Pharmacist")
	b.screenshot("parts")
	b.keepRules("local protocol changed")
	b.open("/reckon")
	b.tap("Moxifloxacin 0.5 %, given undiluted")
	b.sees("500 micrograms")
}

// The risk part shows nothing of a case while the unit has it off, and the
// published tables all the same. On, it shows the group first; what is given is kept nowhere.
func TestTheRiskPartOffAndOn(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.leads()
	id := b.firstSheet()
	b.tap("What the sheet was made from")
	b.tap("Risk of capsule rupture")
	b.sees("Population estimates; they do not replace judgement.")
	b.sees("Group:")
	b.sees("Published tables")
	b.fits("risk")
	b.screenshot("risk-on")
	b.tap("junior trainee")
	b.sees("Grade of the surgeon: junior trainee")
	b.open("/risk/" + id)
	b.sees("Grade of the surgeon: not asked")

	b.open("/rules/parts")
	b.tap("Turn it off")
	b.keepRules("review")
	b.open("/risk/" + id)
	b.sees("This part is off")
	b.sees("Published tables")
	b.screenshot("risk-off")
	if text, err := b.text(); err != nil || strings.Contains(text, "Group:") {
		t.Errorf("an estimate is shown while the part is off (%v)", err)
	}
	b.open("/sheet/" + id + "/setup")
	b.tap("What the sheet was made from")
	if text, err := b.text(); err != nil || strings.Contains(text, "Risk of capsule rupture") {
		t.Errorf("the sheet leads to the part while it is off (%v)", err)
	}

	b.open("/rules/parts")
	b.sees("Intended purpose")
	b.tap("I have read the intended purpose")
	b.tap("Turn it on")
	b.keepRules("review")
	b.open("/risk/" + id)
	b.sees("Group:")
}

// The screens of the unit in both looks and at every size fit the width and make nothing complain.
func TestScreensOfTheUnit(t *testing.T) {
	screens := []struct{ name, path, words string }{
		{"rules", "/rules", "Find a rule"},
		{"rule", "/rules/small-pupil", "What it does"},
		{"settings", "/rules/settings", "Dilated pupil is small below"},
		{"pauses", "/rules/pauses", "to read and answer"},
		{"drills", "/rules/drills", "Drills of the unit"},
		{"parts", "/rules/parts", "Intended purpose"},
		{"ruleshistory", "/rules/history", "Revision 1"},
		{"reckon", "/reckon", "Recipes of the unit"},
		{"recipe", "/reckon/recipe", "Fill in the fields"},
		{"risk", "/risk/CASE", "Published tables"},
	}
	for _, size := range []size{phone, desk, {360, 640}} {
		t.Run(fmt.Sprintf("%dx%d", size.width, size.height), func(t *testing.T) {
			s := startServer(t)
			b := newTablet(t, s, size)
			b.leads()
			id := b.firstSheet()
			for _, look := range []string{"dim", "bright"} {
				for _, screen := range screens {
					b.open(replaceCase(screen.path, id))
					b.sees(screen.words)
					b.wear(look)
					b.fits(screen.name)
					b.settle()
					b.screenshot("unit-" + screen.name + "-" + look)
				}
			}
		})
	}
}

func (s *server) hasRevision(kind, id string, rev int) error {
	if now := s.document(kind, id).Rev; now != rev {
		return fmt.Errorf("it is at revision %d", now)
	}
	return nil
}

// unitLead leads the invented unit.
const unitLead = "Oriel Stonebarrow"

// leads makes the unit lead the person who edits on this tablet.
func (b *tablet) leads() {
	b.t.Helper()
	b.becomes(unitLead)
	b.sees("Editing as " + unitLead)
}

// special is what the sheet on the screen says is special.
func (b *tablet) special() string {
	b.t.Helper()
	text, err := b.text()
	if err != nil {
		b.t.Fatal(err)
	}
	_, text, _ = strings.Cut(text, "Special for this case")
	return text
}

// keepRules keeps the change of the rule book that is being written.
func (b *tablet) keepRules(reason string) {
	b.t.Helper()
	b.tap("Look at the change and keep it")
	b.tap(reason)
	b.tap("Keep it on this device")
	b.sees("Kept on this device")
}

// choose takes an option of the list with the label.
func (b *tablet) choose(label, value string) {
	b.t.Helper()
	script := fmt.Sprintf(`(() => { const s = [...document.querySelectorAll("select")].find(e => [...e.labels].some(l => l.innerText.includes(%s)));
		if (!s) return false; s.value = %s; s.dispatchEvent(new Event("change", {bubbles: true})); return true; })()`, quoted(label), quoted(value))
	eventually(b.t, fmt.Sprintf("the list %q is there on %s", label, b.where()), func() error {
		found, err := eval[bool](b, script)
		if err == nil && !found {
			err = errors.New("no such list")
		}
		return err
	})
}

// writeIn writes into the field with the label inside the element a selector names.
func (b *tablet) writeIn(selector, label, text string) {
	b.t.Helper()
	script := fmt.Sprintf(`(() => { const f = [...document.querySelectorAll(%s + " input")].find(e => [...(e.labels || [])].some(l => l.innerText.includes(%s)));
		if (!f) return false; f.scrollIntoView({block: "center", behavior: "instant"}); f.focus(); f.select(); return document.activeElement === f; })()`, quoted(selector), quoted(label))
	eventually(b.t, fmt.Sprintf("the field %q is there on %s", label, b.where()), func() error {
		found, err := eval[bool](b, script)
		if err == nil && !found {
			err = errors.New("no such field, or what it stands in is not open yet")
		}
		return err
	})
	b.do("type into "+label, chromedp.KeyEvent(text))
}
