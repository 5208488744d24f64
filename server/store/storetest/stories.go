package storetest

import (
	"encoding/json"
	"errors"
	"slices"
	"testing"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/edits"
)

// Stories runs every story against a new unit each. What they expect is
// design: "a merge never invents a setting nobody chose", "nothing is
// overwritten", "late is not lost".
func Stories(t *testing.T, open func(t *testing.T) Unit) {
	for _, s := range slices.Concat(stories, proposalStories) {
		t.Run(s.name, func(t *testing.T) {
			r := NewRunner(t, open(t))
			s.tell(r)
			r.Done()
		})
	}
}

// begun is a story in which anna's card is there and two devices of hers have
// seen it; the story is at the tablet.
func begun(r *Runner) *Runner {
	return r.As("anna").On("phone").Write(Card()).Push().Want(edits.Applied).Sync().On("tablet").Sync()
}

// begin is the card of the fixtures as somebody begins it.
func begin(changes ...func(*cards.Card)) cards.Card {
	c := Card()
	for _, change := range changes {
		change(&c)
	}
	return c
}

func withoutItems(c *cards.Card) { c.Items = nil }

type story struct {
	name string
	tell func(*Runner)
}

var stories = []story{
	{"a new card is its first revision", func(r *Runner) {
		begun(r).WantRev(1)
		if h := r.Now().History; len(h) == 1 && (h[0].By != "anna" || h[0].Changes[0] != "New card") {
			r.failf("history: %+v", h)
		}
	}},
	{"an edit of the newest revision is applied and says what changed", func(r *Runner) {
		begun(r).As("anna").On("phone").Change(Vacuum("chop", "400")).Push().Want(edits.Applied).WantRev(2).
			WantCard("vacuum 400", VacuumIs("chop", "400"))
		if h := r.Now().History; len(h) != 2 || len(h[1].Changes) != 1 {
			r.failf("one change in words, got %+v", h)
		}
	}},
	{"one surgeon begins one card on two devices: what differs is asked about and nothing is set aside", func(r *Runner) {
		r.As("anna").On("desk").Write(begin(Vacuum("chop", "300"), withoutItems)).Push().Want(edits.Applied)
		r.On("phone").Write(Card()).Change(Title("Chop, soft")).Push().Want(edits.Questioned, edits.Merged).WantRev(3).
			WantCard("what was there first, and what the phone changed since", func(c cards.Card) bool {
				return VacuumIs("chop", "300")(c) && len(c.Items) == 0 && c.Title == "Chop, soft"
			})
		units := []string{"phases/chop"}
		for _, item := range Card().Items {
			units = append(units, "items/"+string(item.Key))
		}
		for _, q := range r.Now().Questions {
			if !slices.Contains(units, q.Unit) || string(q.Base) != "null" || q.BaseText != "" || q.MineText == "" {
				r.failf("question about %s from %s", q.Unit, q.Base)
			}
		}
		if len(r.Now().Questions) != len(units) {
			r.failf("questions: %+v", r.Now().Questions)
		}
	}},
	{"two people begin one card: the second is set aside", func(r *Runner) {
		begun(r).As("ben").On("bench").Write(begin(Owner("ben"))).Push().Want(edits.SetAside).WantReason("already, made by anna").WantRev(1)
	}},
	{"different units merge", func(r *Runner) {
		begun(r).On("tablet").Change(Title("Chop, soft")).Push().Want(edits.Applied)
		r.As("anna").On("phone").Change(Vacuum("chop", "400")).Push().Want(edits.Merged).WantRev(3).WantQuestions().
			WantCard("both changes", func(c cards.Card) bool { return c.Title == "Chop, soft" && VacuumIs("chop", "400")(c) })
	}},
	{"the same unit changed differently is a question and nobody's value is lost", func(r *Runner) {
		begun(r).On("tablet").Change(Vacuum("chop", "300")).Change(Owner("ben")).Push().Want(edits.Applied, edits.Applied)
		r.As("ben").On("phone").Change(Vacuum("chop", "400")).Push().Want(edits.Questioned).WantQuestions("phases/chop").
			WantCard("what was there first", VacuumIs("chop", "300"))
		q := r.Question("phases/chop")
		if q.HeadBy != "anna" || q.MineBy != "ben" || string(q.Base) == string(q.Head) || string(q.Head) == string(q.Mine) {
			r.failf("question: %+v", q)
		}
	}},
	{"the one who changed the unit is named, not the last to touch the card", func(r *Runner) {
		begun(r).On("tablet").Change(Vacuum("chop", "300")).Change(Owner("ben")).Push().Sync()
		r.As("ben").Change(Title("Chop, soft")).Push().Want(edits.Applied)
		r.On("phone").Change(Vacuum("chop", "400")).Push().Want(edits.Questioned)
		if q := r.Question("phases/chop"); q.HeadBy != "anna" {
			r.failf("head_by: got %q, want anna", q.HeadBy)
		}
	}},
	{"each of several questions names the one who changed its unit", func(r *Runner) {
		begun(r).On("tablet").Change(func(c *cards.Card) { Vacuum("chop", "300")(c); Owner("ben")(c) }).Push().Sync()
		r.As("ben").Change(func(c *cards.Card) { Vacuum("sculpt", "70")(c); Owner("cleo")(c) }).Push().Sync()
		r.As("cleo").Change(func(c *cards.Card) { Title("Chop, soft")(c); Owner("dora")(c) }).Push().Want(edits.Applied)
		r.As("dora").On("phone").Change(func(c *cards.Card) { Vacuum("chop", "400")(c); Vacuum("sculpt", "80")(c); Title("Chop, hard")(c) }).
			Push().Want(edits.Questioned).WantQuestions("title", "phases/sculpt", "phases/chop")
		for unit, by := range map[string]cards.PersonID{"phases/chop": "anna", "phases/sculpt": "ben", "title": "cleo"} {
			if q := r.Question(unit); q.HeadBy != by {
				r.failf("%s: head_by: got %q, want %s", unit, q.HeadBy, by)
			}
		}
	}},
	{"a decision settles the question and both sides stay in the log", func(r *Runner) {
		begun(r).On("tablet").Change(Vacuum("chop", "300")).Push()
		r.As("anna").On("phone").Change(Vacuum("chop", "400")).Push().Want(edits.Questioned).Sync()
		q := r.Question("phases/chop")
		r.Change(Vacuum("chop", "400"), q.ID).Push().Want(edits.Applied).WantQuestions().WantCard("the chosen value", VacuumIs("chop", "400"))
		entry, ok, err := r.unit.Entry(q.Edit)
		if err != nil || !ok || len(entry.Verdict.Questions) != 1 {
			r.failf("the question has left the log: %+v, %v", entry, err)
		}
	}},
	{"deciding for what is there keeps it", func(r *Runner) {
		begun(r).On("tablet").Change(Vacuum("chop", "300")).Push()
		r.As("anna").On("phone").Change(Vacuum("chop", "400")).Push().Sync()
		r.Change(func(*cards.Card) {}, r.Question("phases/chop").ID).Push().Want(edits.Applied).WantQuestions().
			WantCard("the value that was there", VacuumIs("chop", "300"))
	}},
	{"a decision made without seeing a later change settles nothing", func(r *Runner) {
		begun(r).On("tablet").Change(Vacuum("chop", "300")).Push()
		r.As("anna").On("phone").Change(Vacuum("chop", "400")).Push().Want(edits.Questioned).Sync()
		r.Change(func(*cards.Card) {}, r.Question("phases/chop").ID)
		r.On("tablet").Sync().Change(Vacuum("chop", "450")).Push().Want(edits.Applied)
		r.As("anna").On("phone").Push().Want(edits.Merged).WantReason("stays open").WantQuestions("phases/chop").
			WantCard("the later value", VacuumIs("chop", "450"))
	}},
	{"a decision beside somebody's change of another unit holds", func(r *Runner) {
		begun(r).On("tablet").Change(Vacuum("chop", "300")).Push()
		r.As("anna").On("phone").Change(Vacuum("chop", "400")).Push().Sync()
		r.Change(Vacuum("chop", "400"), r.Question("phases/chop").ID)
		r.On("tablet").Sync().Change(Title("Chop, soft")).Push()
		r.As("anna").On("phone").Push().Want(edits.Merged).WantQuestions().WantCard("the decision", VacuumIs("chop", "400"))
	}},
	{"sending twice changes nothing", func(r *Runner) {
		begun(r).As("anna").On("phone").Change(Vacuum("chop", "400")).PushKeeping().Want(edits.Applied)
		r.Push().Want(edits.AlreadyApplied).WantRev(2)
		if got := r.Receipt(); got.First != edits.Applied || got.Rev != 2 || got.Seq != 2 {
			r.failf("receipt: %+v", got)
		}
	}},
	{"the same id with other contents is refused", func(r *Runner) {
		begun(r).As("anna").On("phone").Change(Vacuum("chop", "400")).PushKeeping().
			Alter(func(e *edits.Edit) { e.Reason = "another" }).Push()
		if errors.Is(r.err, edits.ErrReused) {
			r.err = nil
		} else {
			r.failf("want ErrReused")
		}
		r.WantRev(2)
	}},
	{"edits made one after the other offline all apply", func(r *Runner) {
		begun(r).As("anna").On("phone").Change(Vacuum("chop", "400")).Change(Vacuum("sculpt", "70")).Change(Title("Mine")).Push().
			Want(edits.Applied, edits.Applied, edits.Applied).WantRev(4).
			WantCard("all three", func(c cards.Card) bool {
				return c.Title == "Mine" && VacuumIs("chop", "400")(c) && VacuumIs("sculpt", "70")(c)
			})
	}},
	{"edits made one after the other offline merge with what happened meanwhile", func(r *Runner) {
		begun(r).On("tablet").Change(Title("Other")).Push()
		r.As("anna").On("phone").Change(Vacuum("chop", "400")).Change(Vacuum("chop", "450")).Push().
			Want(edits.Merged, edits.Merged).WantQuestions().
			WantCard("both", func(c cards.Card) bool { return c.Title == "Other" && VacuumIs("chop", "450")(c) })
	}},
	{"an edit after one that became a question asks once", func(r *Runner) {
		begun(r).On("tablet").Change(Vacuum("chop", "300")).Push()
		r.As("anna").On("phone").Change(Vacuum("chop", "400")).Change(Title("Anna's")).Push().
			Want(edits.Questioned, edits.Merged).WantQuestions("phases/chop").
			WantCard("the title and what was there first", func(c cards.Card) bool { return c.Title == "Anna's" && VacuumIs("chop", "300")(c) })
	}},
	{"a body that does not pass its checks is set aside whole", func(r *Runner) {
		begun(r).As("anna").On("phone").Change(Vacuum("chop", "9999")).Push().Want(edits.SetAside).WantRev(1)
		if got := r.Receipt(); len(got.Problems) == 0 || got.Rev != 0 {
			r.failf("receipt: %+v", got)
		}
		entry, ok, err := r.unit.Entry(r.Receipt().ID)
		if err != nil || !ok || !json.Valid(entry.Edit.Body) {
			r.failf("the edit is not in the log: %v", err)
		}
	}},
	{"an edit that mends one that was set aside brings all its changes", func(r *Runner) {
		begun(r).As("anna").On("phone").
			Change(func(c *cards.Card) { Vacuum("chop", "9999")(c); Title("Anna's")(c) }).Change(Vacuum("chop", "400")).Push().
			Want(edits.SetAside, edits.Applied).WantRev(2).
			WantCard("title and mended vacuum", func(c cards.Card) bool { return c.Title == "Anna's" && VacuumIs("chop", "400")(c) })
	}},
	{"unknown fields are never dropped in silence", func(r *Runner) {
		begun(r).As("anna").On("phone").Write(json.RawMessage(`{"id":"anna-chop","colour":"red"}`)).Push().Want(edits.SetAside).WantRev(1)
	}},
	{"an edit of a revision this server never had is set aside", func(r *Runner) {
		begun(r).As("anna").On("phone").Change(Title("Later")).Alter(func(e *edits.Edit) { e.Parent = 9 }).Push().
			Want(edits.SetAside).WantReason("revision 9").WantRev(1)
	}},
	{"an edit after one that never arrived is set aside", func(r *Runner) {
		begun(r).As("anna").On("phone").Change(Title("Later")).Alter(func(e *edits.Edit) { e.After = ID(999) }).Push().
			Want(edits.SetAside).WantReason("never reached").WantRev(1)
	}},
	{"edits that come after each other in a circle are set aside", func(r *Runner) {
		begun(r).As("anna").On("phone").Change(Title("First")).Alter(func(e *edits.Edit) { e.After = ID(3) }).
			Change(Title("Second")).Change(Title("Third")).Push().
			Want(edits.SetAside, edits.SetAside, edits.SetAside).WantReason("never reached").WantRev(1)
		r.Change(Title("Itself")).Alter(func(e *edits.Edit) { e.After = e.ID }).PushKeeping().Want(edits.SetAside)
		r.Change(Title("After itself")).Push().Want(edits.AlreadyApplied, edits.SetAside).WantReason("never reached").WantRev(1)
	}},
	{"a body with very many problems keeps a readable number of them", func(r *Runner) {
		begun(r).As("anna").On("phone").Change(func(c *cards.Card) { c.Items = make([]cards.Item, 200) }).Push().
			Want(edits.SetAside).WantReason("first 100 of").WantRev(1)
		if n := len(r.Receipt().Problems); n != 100 {
			r.failf("%d problems in the receipt", n)
		}
	}},
	{"an edit after one of another document is set aside", func(r *Runner) {
		begun(r).As("anna").On("phone").About(edits.Person, "anna").Write(Person()).Push().Want(edits.Applied)
		r.About(edits.Card, "anna-chop").Change(Title("Later")).Alter(func(e *edits.Edit) { e.After = ID(2) }).Push().
			Want(edits.SetAside).WantReason("another document").WantRev(1)
	}},
	{"two cards made with one id on two devices are not mixed", func(r *Runner) {
		begun(r).As("ben").On("new tablet").Write(func() cards.Card { c := Card(); Title("Ben's")(&c); return c }()).Push().
			Want(edits.SetAside).WantReason("already").WantRev(1).WantCard("anna's", func(c cards.Card) bool { return c.Title == "Chop" })
	}},
	{"the same new card from two devices is one card", func(r *Runner) {
		begun(r).As("anna").On("new tablet").Write(Card()).Push().Want(edits.Merged).WantRev(2).WantQuestions()
	}},
	{"two changes that are valid alone and not together are set aside", func(r *Runner) {
		begun(r).On("tablet").Change(func(c *cards.Card) { c.Phases, c.Steps = c.Phases[1:], nil }).Push().Want(edits.Applied)
		r.As("anna").On("phone").Change(func(c *cards.Card) {
			c.Steps = append(c.Steps, cards.Step{Key: "deepen", Title: "Deepen", Phase: "sculpt"})
		}).Push().Want(edits.SetAside).WantReason("Together").WantRev(2)
	}},
	{"different facts of a case merge", func(r *Runner) {
		r.About(edits.Case, "case-1").As("anna").On("phone").Write(Case()).Push().Want(edits.Applied).Sync().On("tablet").Sync()
		r.As("ben").ChangeCase(Pupil("4.5")).Push().Want(edits.Applied)
		r.As("anna").On("phone").ChangeCase(func(c *checklist.Case) { c.Facts["glaucoma"] = checklist.Value{"yes"} }).Push().
			Want(edits.Merged).WantCase("both facts", func(c checklist.Case) bool { return len(c.Facts) == 3 })
	}},
	{"one fact answered differently is a question, and a decision settles it", func(r *Runner) {
		r.About(edits.Case, "case-1").As("anna").On("phone").Write(Case()).Push().Sync().On("tablet").Sync()
		r.As("ben").ChangeCase(Pupil("4.5")).Push().Want(edits.Applied)
		r.As("anna").On("phone").ChangeCase(Pupil("6")).Push().Want(edits.Questioned).Sync()
		if questions := r.Now().Questions; len(questions) == 1 {
			r.ChangeCase(Pupil("6"), questions[0].ID).Push().Want(edits.Applied).WantQuestions().
				WantCase("the chosen pupil", func(c checklist.Case) bool { return c.Facts["dilated-pupil"][0] == "6" })
		} else {
			r.failf("one question, got %+v", questions)
		}
	}},
	{"changes of different parts of the rule book merge", func(r *Runner) {
		r.About(edits.Rules, edits.HouseRules).As("anna").On("phone").Write(checklist.Starter()).Push().Want(edits.Applied).Sync().On("tablet").Sync()
		r.As("ben").ChangeRules(func(b *checklist.RuleBook) { b.Settings[0].Value = cards.MustQuantity("4") }).Push().Want(edits.Applied)
		r.As("anna").On("phone").ChangeRules(func(b *checklist.RuleBook) { b.Rules[0].Owner = "Anna" }).Push().
			Want(edits.Merged).WantQuestions()
	}},
	{"one setting changed differently is a question, and a decision settles it", func(r *Runner) {
		four := func(b *checklist.RuleBook) { b.Settings[0].Value = cards.MustQuantity("4") }
		three := func(b *checklist.RuleBook) { b.Settings[0].Value = cards.MustQuantity("3") }
		unit := "settings/" + string(checklist.Starter().Settings[0].ID)
		r.About(edits.Rules, edits.HouseRules).As("anna").On("phone").Write(checklist.Starter()).Push().Want(edits.Applied).Sync().On("tablet").Sync()
		r.As("ben").ChangeRules(four).Push().Want(edits.Applied)
		r.As("anna").On("phone").ChangeRules(three).Push().Want(edits.Questioned).WantQuestions(unit).Sync()
		r.ChangeRules(three, r.Question(unit).ID).Push().Want(edits.Applied).WantQuestions()
	}},
	{"one line of a pause changed differently is a question of its own", func(r *Runner) {
		expect := func(text string) func(*checklist.RuleBook) {
			return func(b *checklist.RuleBook) { b.Pauses[0].Lines[0].Expect = text }
		}
		pause := checklist.Starter().Pauses[0]
		unit := "pauses/" + string(pause.ID) + "/" + pause.Lines[0].ID
		r.About(edits.Rules, edits.HouseRules).As("anna").On("phone").Write(checklist.Starter()).Push().Want(edits.Applied).Sync().On("tablet").Sync()
		r.As("ben").ChangeRules(expect("Ben's answer")).Push().Want(edits.Applied)
		r.As("anna").On("phone").ChangeRules(expect("Anna's answer")).Push().Want(edits.Questioned).WantQuestions(unit).Sync()
		r.ChangeRules(expect("Anna's answer"), r.Question(unit).ID).Push().Want(edits.Applied).WantQuestions()
	}},
	{"two first rule books are a question about what differs", func(r *Runner) {
		r.About(edits.Rules, edits.HouseRules).As("anna").On("phone").Write(checklist.Starter()).Push()
		mine := checklist.Starter()
		mine.Title = "Ben's"
		r.As("ben").On("tablet").Write(mine).Push().Want(edits.Questioned).WantQuestions("title")
	}},
	{"what this server does not know is kept and not applied", func(r *Runner) {
		r.About("drawing", "one").As("anna").On("phone").Write(json.RawMessage(`{"id":"one"}`)).Push().Want(edits.SetAside).WantReason("not a kind")
	}},
	{"an envelope with a mistake is kept and not applied", func(r *Runner) {
		r.As("anna").On("phone")
		for _, wrong := range []func(*edits.Edit){
			func(e *edits.Edit) { e.Doc = "Not A Key" },
			func(e *edits.Edit) { e.Doc = "another-card" },
			func(e *edits.Edit) { e.Author = "" },
			func(e *edits.Edit) { e.Made = "yesterday" },
			func(e *edits.Edit) { e.Kind, e.Doc = edits.Rules, "second-book" },
			func(e *edits.Edit) { e.Kind, e.Doc = edits.Unit, "second-unit" },
			func(e *edits.Edit) { e.Body = json.RawMessage("null") },
		} {
			r.Write(Card()).Alter(wrong).Push().Want(edits.SetAside)
		}
	}},
}
