package demo

import (
	"slices"
	"strings"
	"testing"

	"sideport/cards"
)

// A card that says a thing in one place must not deny it in another: what a
// nurse reads in a drill, in the notes of an item or in the line of the
// anaesthetic is on the list of the same card.

func hasItem(c cards.Card, key cards.Key) bool {
	return slices.ContainsFunc(c.Items, func(i cards.Item) bool { return i.Key == key })
}

// What each way of giving local anaesthetic is given with; common practice, no source.
var givenWith = map[string][]cards.Key{
	"sub-Tenon's": {"sub-tenons-cannula", "conjunctival-scissors"},
	"peribulbar":  {"block-needle"},
	"retrobulbar": {"block-needle"},
	"periocular":  {"block-needle"},
}

func TestCardsListWhatTheirAnaestheticIsGivenWith(t *testing.T) {
	for _, c := range loaded(t).Cards {
		says := []string{string(c.Basics.Anaesthesia), c.Basics.AnaesthesiaNote}
		for _, d := range c.Drugs {
			says = append(says, string(d.Route))
		}
		text := strings.ToLower(strings.Join(says, " / "))
		for way, keys := range givenWith {
			for _, key := range keys {
				if strings.Contains(text, strings.ToLower(way)) && !hasItem(c, key) {
					t.Errorf("%s speaks of %s and lists no %s", c.ID, way, key.Words())
				}
			}
		}
	}
}

// A drill opens what is in the room still closed, or it opens nothing; and
// whoever opens a suture needs what it is sewn with. Common practice, no source.
func TestDrillsOpenWhatIsStillClosed(t *testing.T) {
	for _, c := range loaded(t).Cards {
		for _, d := range c.Triggers {
			for _, key := range d.Open {
				n := slices.IndexFunc(c.Items, func(i cards.Item) bool { return i.Key == key })
				switch {
				case n < 0:
					t.Errorf("%s, %s opens %s, which the card does not list", c.ID, d.Title, key.Words())
				case c.Items[n].State == cards.Open && key != "spatula":
					t.Errorf("%s, %s opens %s, which is open from the start", c.ID, d.Title, key.Words())
				}
				if strings.HasPrefix(string(key), "suture-") && d.Key != "zonular-dialysis" && (!slices.Contains(d.Open, "needle-holder") || !slices.Contains(d.Open, "tying-forceps")) {
					t.Errorf("%s, %s opens a suture without needle holder and tying forceps", c.ID, d.Title)
				}
			}
		}
	}
}

// An item that a line of a drill names is on the card. Every name that stands
// on any card is looked for, so that a word made up for one drill is not missed.
func TestDrillsNameOnlyWhatTheCardHas(t *testing.T) {
	names := map[string]bool{}
	for _, c := range loaded(t).Cards {
		for _, i := range c.Items {
			names[strings.ToLower(i.Name)] = true
		}
	}
	for _, c := range loaded(t).Cards {
		for _, d := range c.Triggers {
			for _, line := range slices.Concat(d.Surgeon, d.Scrub, d.Circulating, d.Anaesthesia) {
				for name := range names {
					line := strings.ToLower(line)
					if strings.Contains(line, name) && !strings.HasPrefix(line, "no "+name) && !hasNamed(c, name) {
						t.Errorf("%s, %s says %q, and the card lists no %s", c.ID, d.Title, line, name)
					}
				}
			}
		}
	}
}

func hasNamed(c cards.Card, name string) bool {
	return slices.ContainsFunc(c.Items, func(i cards.Item) bool { return strings.Contains(strings.ToLower(i.Name), name) })
}

// How many there are stands in the quantity and nowhere else: a note that
// counts a second one contradicts it sooner or later.
func TestNotesDoNotCountWhatTheQuantityCounts(t *testing.T) {
	for _, c := range loaded(t).Cards {
		for _, i := range c.Items {
			for _, word := range []string{"a second", "another one", "two of them", "one more"} {
				if i.Quantity == 1 && strings.Contains(strings.ToLower(i.Note), word) {
					t.Errorf("%s, %s has the quantity 1 and the note %q", c.ID, i.Name, i.Note)
				}
			}
		}
	}
}

// A lens for the front chamber needs an iridectomy: what it is made with is
// there wherever such a lens is; common practice, no source.
func TestAnAnteriorChamberLensBringsWhatItNeeds(t *testing.T) {
	u := loaded(t)
	for _, c := range u.Cards {
		if hasItem(c, "anterior-chamber-lens") && (!hasItem(c, "iridotomy-scissors") || !hasItem(c, "miotic")) {
			t.Errorf("%s lists an anterior chamber lens without iridotomy scissors and miotic", c.ID)
		}
	}
	for _, r := range u.Rules.Rules {
		brings, asks := map[cards.Key]bool{}, false
		for _, a := range r.Do {
			if a.Item != nil {
				brings[a.Item.Key] = true
			}
			asks = asks || a.Line != nil && strings.Contains(a.Line.Text, "iridectomy")
		}
		if brings["anterior-chamber-lens"] && !(brings["iridotomy-scissors"] && brings["anterior-vitrectomy-set"] && brings["miotic"] && asks) {
			t.Errorf("the rule %s brings an anterior chamber lens without scissors, cutter, miotic and the question about the iridectomy", r.ID)
		}
	}
}

// What a card says twice it says alike: the size of the gloves, the width of
// the main incision, the tip, and whether a bottle or a pressure is lowered.
func TestNotesAgreeWithTheHeadOfTheCard(t *testing.T) {
	for _, c := range loaded(t).Cards {
		gauge, angle := c.Machine.TipGauge.String()+" gauge", c.Machine.TipAngle.String()+" degrees"
		for key, want := range map[cards.Key][]string{
			"sterile-gloves": {"Size " + c.Basics.GloveSize.String()}, "latex-free-gloves": {"Size " + c.Basics.GloveSize.String()},
			"main-keratome": {c.Basics.MainWidth.String() + " mm"}, "phaco-tip": {gauge, angle},
		} {
			i, listed := c.Item(key)
			for _, words := range want {
				if listed && !strings.Contains(i.Note, words) {
					t.Errorf("%s, %s: the note %q does not say %q", c.ID, i.Name, i.Note, words)
				}
			}
		}
		if _, ok := c.Item("main-keratome"); !ok {
			t.Errorf("%s lists no main keratome", c.ID)
		}
		other := "irrigation pressure to"
		if c.Machine.Irrigation != cards.BottleHeight {
			other = "bottle to"
		}
		for _, d := range c.Triggers {
			if text := strings.Join(d.Circulating, " "); strings.Contains(text, other) {
				t.Errorf("%s, %s speaks of %q, and the irrigation is by %s", c.ID, d.Title, other, c.Machine.Irrigation)
			}
		}
	}
}

// The sum of a drug that is both given as the usual anaesthetic and drawn up
// in the same syringe is one volume: what is mixed is given together.
func TestWhatIsMixedHasOneVolume(t *testing.T) {
	for _, c := range loaded(t).Cards {
		for _, d := range c.Drugs {
			mixed, found := c.Drug("lidocaine-2")
			if d.Key == "hyaluronidase" && (!found || d.Volume != mixed.Volume || d.Route != mixed.Route) {
				t.Errorf("%s: hyaluronidase %s by %s is mixed into lidocaine %s by %s", c.ID, d.Text(), d.Route, mixed.Text(), mixed.Route)
			}
		}
	}
}
