package demo

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"sideport/cards"
	"sideport/checklist"
)

const day = cards.Date("2026-11-25")

func loaded(t *testing.T) Unit {
	t.Helper()
	u, err := Load(day)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// The embedded unit is whole: enough people, cards of every technique, a full list.
func TestLoadGivesAWholeUnit(t *testing.T) {
	u := loaded(t)
	if !u.About.Demo || !strings.Contains(u.About.Name, "Invented") {
		t.Errorf("the unit %+v is not marked as invented", u.About)
	}
	roles := map[cards.PersonRole]int{}
	for _, p := range u.People {
		if !p.Invented {
			t.Errorf("%s is not marked as invented", p.Name)
		}
		if p.ID != cards.PersonID(cards.Slug(p.Name)) {
			t.Errorf("the id %q is not made from the name %q", p.ID, p.Name)
		}
		for _, r := range p.Roles {
			roles[r]++
		}
	}
	least := map[cards.PersonRole]int{cards.PersonSurgeon: 4, cards.PersonScrub: 2, cards.PersonReader: 1, cards.PersonUnitLead: 1}
	for role, want := range least {
		if roles[role] < want {
			t.Errorf("%d people are %q, want at least %d", roles[role], role, want)
		}
	}
	if len(u.Cards) < 12 || len(u.Cases) != 8 {
		t.Errorf("%d cards and %d cases, want at least 12 and 8", len(u.Cards), len(u.Cases))
	}
	if len(u.Rules.Rules) == 0 {
		t.Error("the unit has no house rules")
	}
	for _, p := range checklist.CheckRuleBook(u.Rules) {
		t.Errorf("house rules: %s", p.Text)
	}
	lead := slices.IndexFunc(u.People, func(p cards.Person) bool { return slices.Contains(p.Roles, cards.PersonUnitLead) })
	if risk := u.Rules.Parts.Risk; !risk.On || risk.By != u.People[lead].ID || risk.Date != day || !risk.PurposeRead {
		t.Errorf("the risk part is %+v, want on, by the unit lead, who has read its purpose", risk)
	}
}

func TestCardsCoverWhatSurgeonsDiffIn(t *testing.T) {
	seen := map[string]bool{}
	perSurgeon := map[cards.PersonID]int{}
	for _, c := range loaded(t).Cards {
		perSurgeon[c.Owner]++
		for _, what := range []string{string(c.Technique), string(c.Basics.Handedness), string(c.Basics.Seat), string(c.Machine.Pump), string(c.Machine.Irrigation)} {
			seen[what] = true
		}
		for _, p := range c.Phases {
			seen[string(p.Limits.Ultrasound)] = true
		}
	}
	for _, choice := range []cards.ChoiceName{"technique", "handedness", "seat", "pump", "irrigation", "ultrasound"} {
		for _, value := range cards.Choices[choice] {
			if !seen[value] {
				t.Errorf("no card has the %s %q", choice, value)
			}
		}
	}
	for who, n := range perSurgeon {
		if n < 2 || n > 4 {
			t.Errorf("%s has %d cards, want 2 to 4", who, n)
		}
	}
}

// A value outside its usual range stands in a card only on purpose.
func TestCardsHaveOnlyTheIntendedCautions(t *testing.T) {
	intended := []string{
		// Low fluidics for a floppy iris: flow at most 22 to 25 mL/min and bottle at most 70 cm are taught; value from memory, unconfirmed.
		"brambledene-horizontal-chop variants/floppy-iris/chop/flow",
		"brambledene-horizontal-chop variants/floppy-iris/chop/bottle",
		"brambledene-horizontal-chop variants/floppy-iris/segment-removal/flow",
		"brambledene-horizontal-chop variants/floppy-iris/segment-removal/bottle",
		// Low fluidics for a posterior polar cataract: vacuum 200 mmHg, flow 20 mL/min, bottle 70 cm at most; value from memory, unconfirmed.
		"willowmarch-layer-by-layer phases/core-removal/vacuum",
		"willowmarch-layer-by-layer phases/core-removal/flow",
		"willowmarch-layer-by-layer phases/core-removal/bottle",
	}
	var got []string
	for _, c := range loaded(t).Cards {
		for _, p := range cards.Check(c) {
			got = append(got, string(c.ID)+" "+p.Path)
		}
	}
	slices.Sort(got)
	slices.Sort(intended)
	if !slices.Equal(got, intended) {
		t.Errorf("cautions:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(intended, "\n"))
	}
}

// Asking at each usual number would teach people not to read: a whole card that is written down as usual asks nothing.
func TestCardsWrittenAsUsualAskNothing(t *testing.T) {
	for _, c := range loaded(t).Cards {
		for _, l := range cards.LargeChanges(cards.Card{}, c) {
			t.Errorf("%s asks about %s: %s (%s)", c.ID, l.Label, l.To, l.Factor)
		}
	}
}

func TestCardsAreComplete(t *testing.T) {
	u := loaded(t)
	for _, c := range u.Cards {
		for _, part := range []struct {
			name           string
			n, least, most int
		}{
			{"items", len(c.Items), 20, 52}, {"drugs", len(c.Drugs), 5, 8}, {"phases", len(c.Phases), 6, 8}, {"steps", len(c.Steps), 6, 10},
			{"triggers", len(c.Triggers), 4, 8}, {"variants", len(c.Variants), 2, 4}, {"fit lines", len(c.Fit), 2, 5},
		} {
			if part.n < part.least || part.n > part.most {
				t.Errorf("%s has %d %s, want %d to %d", c.ID, part.n, part.name, part.least, part.most)
			}
		}
		if !strings.Contains(c.Notes, "The surgeon does not exist.") {
			t.Errorf("%s does not say that it is invented", c.ID)
		}
		if c.Review == "" {
			t.Errorf("%s has no review date", c.ID)
		}
		checkTriggers(t, &u, c)
	}
}

func checkTriggers(t *testing.T, u *Unit, c cards.Card) {
	t.Helper()
	for _, trigger := range c.Triggers {
		if !strings.HasPrefix(trigger.Source, "Starter text for the unit to adopt or change.") {
			t.Errorf("%s, %s: its source %q does not say that it is starter text", c.ID, trigger.Title, trigger.Source)
		}
		if trigger.NextCard == "" {
			continue
		}
		next, ok := u.Card(trigger.NextCard)
		if !ok || next.Owner != c.Owner || next.ID == c.ID {
			t.Errorf("%s, %s: the next card %q is not another card of the same surgeon", c.ID, trigger.Title, trigger.NextCard)
		}
	}
}

// What fluidics demand of a phase: no power without ultrasound, and no less irrigation where more is aspirated.
// Raising flow without raising the bottle lowers the pressure in the chamber (follows from published lectures on fluidics).
func TestIrrigationFollowsFlow(t *testing.T) {
	for _, c := range loaded(t).Cards {
		var before *cards.Phase
		for n := range c.Phases {
			p := &c.Phases[n]
			if p.Limits.Ultrasound == cards.NoUltrasound && p.Limits.Power.String() != "0" {
				t.Errorf("%s, %s: ultrasound is off and power is %q", c.ID, p.Name, p.Limits.Power)
			}
			if before != nil && p.Kind != cards.AnteriorVitrectomy && moreFlowLessIrrigation(before.Limits, p.Limits) {
				t.Errorf("%s: %s has more flow and less irrigation than %s", c.ID, p.Name, before.Name)
			}
			before = p
		}
	}
}

func moreFlowLessIrrigation(from, to cards.Limits) bool {
	if !from.Flow.Stated() || !to.Flow.Stated() || to.Flow.Cmp(from.Flow) <= 0 {
		return false
	}
	return to.Bottle.Millionths() < from.Bottle.Millionths() || to.Pressure.Millionths() < from.Pressure.Millionths()
}

func TestReviewDatesShowEveryState(t *testing.T) {
	overdue, soon := 0, 0
	for _, c := range loaded(t).Cards {
		switch {
		case c.Review < day:
			overdue++
		case c.Review < "2026-12-25":
			soon++
		}
	}
	if overdue != 1 || soon < 2 {
		t.Errorf("on %s %d cards are overdue and %d due within a month, want 1 and at least 2", day, overdue, soon)
	}
}

// The files are in the one canonical form, so that a changed card shows only its change.
func TestCardFilesAreCanonical(t *testing.T) {
	for name, md := range cardFiles(t) {
		card, problems := cards.Parse(md)
		if len(problems.Errors()) > 0 {
			t.Errorf("%s: %v", name, problems)
		}
		if !bytes.Equal(cards.Format(card), md) {
			t.Errorf("%s is not as Format writes it", name)
		}
	}
}

// The cards other tests read are the demonstration's own, one of each technique.
func TestSharedCardsAreTheSameFiles(t *testing.T) {
	techniques := map[cards.Technique]bool{}
	for name, md := range cardFiles(t) {
		shared, err := os.ReadFile(filepath.Join("..", "..", "testdata", name))
		if os.IsNotExist(err) {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(shared, md) {
			t.Errorf("testdata/%s differs from server/demo/%s: copy it", name, name)
		}
		card, _ := cards.Parse(shared)
		techniques[card.Technique] = true
	}
	for _, technique := range cards.Choices["technique"] {
		if !techniques[cards.Technique(technique)] {
			t.Errorf("testdata/cards has no card of the technique %q", technique)
		}
	}
}

func cardFiles(t *testing.T) map[string][]byte {
	t.Helper()
	names, err := fs.Glob(embedded, "cards/*.md")
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][]byte{}
	for _, name := range names {
		if files[name], err = fs.ReadFile(embedded, name); err != nil {
			t.Fatal(err)
		}
	}
	return files
}

func TestEveryCaseGivesASheet(t *testing.T) {
	u := loaded(t)
	for _, c := range u.Cases {
		if c.List != day {
			t.Errorf("case %d is of the list of %s, want %s", c.Position, c.List, day)
		}
		for _, p := range checklist.CheckCase(c) {
			t.Errorf("case %d: %s", c.Position, p.Text)
		}
		card, _ := u.Card(c.Card)
		if card.Owner != c.Surgeon {
			t.Errorf("case %d: %s operates by the card of %s", c.Position, c.Surgeon, card.Owner)
		}
		sheet, problems := checklist.Generate(checklist.Input{Card: card, CardRevision: 1, Rules: u.Rules, RulesRevision: 1, Case: c})
		for _, p := range problems {
			t.Errorf("case %d: %s", c.Position, p.Text)
		}
		if len(sheet.Setup) == 0 || len(sheet.Pauses) == 0 {
			t.Errorf("case %d: the sheet has no set-up or no pauses", c.Position)
		}
	}
}

// The list shows what the program is for: plain cases and the ones that change the set-up.
func TestTheListMixesPlainAndHardCases(t *testing.T) {
	u := loaded(t)
	want := []struct {
		factor cards.FactorID
		value  string
	}{
		{"alpha-blocker", "tamsulosin"}, {"dilated-pupil", "4.5"}, {"white", cards.Yes}, {"brunescent", cards.Yes}, {"posterior-polar", cards.Yes},
		{"allergies", "iodine"}, {"toric", cards.Yes}, {"anticoagulant", "warfarin"}, {"inr", "2.6"}, {"chamber-depth", cards.NotKnown},
		{"eye", "right eye"}, {"eye", "left eye"},
	}
	for _, w := range want {
		if !slices.ContainsFunc(u.Cases, func(c checklist.Case) bool { return slices.Contains(c.Facts[w.factor], w.value) }) {
			t.Errorf("no case has %s %q", w.factor, w.value)
		}
	}
}

func TestLoadNamesTheFileThatIsWrong(t *testing.T) {
	for _, tt := range []struct{ name, file, content, want string }{
		{"broken JSON", "people.json", `[{]`, "people.json"},
		{"unknown field", "unit.json", `{"name":"x","demo":true,"town":"y"}`, "unit.json"},
		{"text after the end", "unit.json", `{"name":"x","demo":true} {}`, "unit.json"},
		{"person without a role", "people.json", `[{"id":"a","name":"A","roles":[]}]`, `people.json, person "a"`},
		{"owner who is not there", "people.json", `[{"id":"a","name":"A","roles":["reader"]}]`, "cards/brambledene-horizontal-chop.md: the owner"},
		{"card that is not one", "cards/brambledene-horizontal-chop.md", "nothing\n", "cards/brambledene-horizontal-chop.md"},
		{"case without an eye", "cases.json", `[{"id":"a","position":1,"surgeon":"mei-willowmarch","card":"willowmarch-flip"}]`, "cases.json, case 1"},
		{"case out of order", "cases.json", `[{"id":"a","position":2,"surgeon":"mei-willowmarch","card":"willowmarch-flip","facts":{"eye":"left eye"}}]`, "order of the list"},
		{"case of a card that is not there", "cases.json", `[{"id":"a","position":1,"surgeon":"mei-willowmarch","card":"none","facts":{"eye":"left eye"}}]`, `no card "none"`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			files := copied(t)
			files[tt.file] = &fstest.MapFile{Data: []byte(tt.content)}
			if _, err := load(files, day); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v does not name %q", err, tt.want)
			}
		})
	}
}

func TestLoadNamesTheFileThatIsMissing(t *testing.T) {
	for _, name := range []string{"unit.json", "people.json", "cases.json"} {
		files := copied(t)
		delete(files, name)
		if _, err := load(files, day); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("without %s: error %v does not name it", name, err)
		}
	}
}

func TestLoadNamesACardInAFileOfAnotherName(t *testing.T) {
	files := copied(t)
	files["cards/another.md"] = files["cards/willowmarch-flip.md"]
	if _, err := load(files, day); err == nil || !strings.Contains(err.Error(), "name the file willowmarch-flip.md") {
		t.Errorf("error %v does not say how to name the file", err)
	}
}

func TestLoadRefusesADayThatIsNone(t *testing.T) {
	for _, d := range []cards.Date{"", "2026-02-30", "today"} {
		if _, err := Load(d); err == nil || !strings.Contains(err.Error(), "2027-03-31") {
			t.Errorf("Load(%q): error %v does not say how to write a day", d, err)
		}
	}
}

func copied(t *testing.T) fstest.MapFS {
	t.Helper()
	files := fstest.MapFS{}
	err := fs.WalkDir(embedded, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		b, err := fs.ReadFile(embedded, name)
		files[name] = &fstest.MapFile{Data: b}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}
