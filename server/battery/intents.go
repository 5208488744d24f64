package battery

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/edits"
	"sideport/server/store/storetest"
)

// edit lets the person at a device change something that the device shows.
// Few values and few units: collisions are the point.
func (w *world) edit(i int) {
	d := w.devices[i]
	key := []edits.DocKey{theCard, theCard, theCard, theCase, thePerson, w.newCard(d)}[w.rand.IntN(6)]
	v := d.view(key)
	text, ok := w.aboutProposals(d, key, &v)
	if !ok {
		if text.body, ok = w.changed(d, key, v.body); !ok {
			return
		}
		text.decides = w.decide(v, &text.body)
	}
	w.keep(i, key, v, text)
}

// keep lets the device keep what its person wrote, and the oracle remember it.
func (w *world) keep(i int, key edits.DocKey, v view, text written) {
	holds := w.devices[i].ownIn(key, v)
	h := w.devices[i].keep(w.newID(), key, v, text, w.clock(i))
	w.result.Edits++
	w.oracle.made(h.edit, v.body, holds...)
	w.log("edit %d %s %s %s parent %d after %s: %s", i, h.edit.ID, key, h.edit.Author, h.edit.Parent, h.edit.After, text.body)
}

func (w *world) newCard(d *device) edits.DocKey {
	return edits.DocKey{Kind: edits.Card, ID: fmt.Sprintf("%s-card-%d", d.person, w.rand.IntN(2))}
}

// changed is the body after one intent of a person.
func (w *world) changed(d *device, key edits.DocKey, body json.RawMessage) (json.RawMessage, bool) {
	switch {
	case key.Kind == edits.Card && body == nil:
		c := storetest.Card()
		c.ID, c.Title, c.Owner = cards.CardID(key.ID), fmt.Sprintf("Card %d", w.rand.IntN(3)), d.author()
		return mustEncode(c), true
	case body == nil:
		return nil, false
	case key.Kind == edits.Card && !w.Alone && w.rand.IntN(20) == 0:
		return with(body, storetest.Owner(people[w.rand.IntN(len(people))]))
	case key.Kind == edits.Card:
		return with(body, w.cardIntent())
	case key.Kind == edits.Case:
		return with(body, w.caseIntent())
	}
	return with(body, func(p *cards.Person) { p.Name = w.pick("Anna Example", "Anna Sample", "Anna Other") })
}

func with[T any](body json.RawMessage, change func(*T)) (json.RawMessage, bool) {
	var v T
	if err := json.Unmarshal(body, &v); err != nil {
		return nil, false
	}
	change(&v)
	return mustEncode(v), true
}

func (w *world) pick(values ...string) string { return values[w.rand.IntN(len(values))] }

func (w *world) cardIntent() func(*cards.Card) {
	phase := cards.Key(w.pick("sculpt", "chop"))
	switch w.rand.IntN(20) {
	case 0, 1, 2, 3, 4:
		return storetest.Vacuum(phase, w.pick("60", "70", "350", "400"))
	case 5, 6:
		return onPhase(phase, func(p *cards.Phase) { p.Limits.Flow = cards.MustQuantity(w.pick("25", "30", "35")) })
	case 7:
		return onPhase(phase, func(p *cards.Phase) { p.Note = w.pick("", "Slowly.", "Watch the rim.") })
	case 8, 9:
		return storetest.Title(w.pick("Chop", "Chop, soft", "Chop, dense"))
	case 10, 11:
		n := 1 + w.rand.IntN(3)
		return onItems(func(items []cards.Item) []cards.Item {
			if len(items) > 0 {
				items[w.rand.IntN(len(items))].Quantity = n
			}
			return items
		})
	case 12:
		return onItems(func(items []cards.Item) []cards.Item {
			if len(items) > 1 {
				items = slices.Delete(items, 0, 1)
			}
			return items
		})
	case 13:
		return onItems(w.addItem)
	case 14:
		return onItems(func(items []cards.Item) []cards.Item { slices.Reverse(items); return items })
	case 15:
		return func(c *cards.Card) { c.Basics.MainWidth = cards.MustQuantity(w.pick("2.2", "2.4", "2.75")) }
	case 16:
		// An older version of the client may let through what does not pass the checks.
		return storetest.Vacuum("chop", "9999")
	}
	return func(c *cards.Card) { c.Notes = w.note(c.Notes) }
}

func onPhase(key cards.Key, change func(*cards.Phase)) func(*cards.Card) {
	return func(c *cards.Card) {
		for i := range c.Phases {
			if c.Phases[i].Key == key {
				change(&c.Phases[i])
			}
		}
	}
}

func onItems(change func([]cards.Item) []cards.Item) func(*cards.Card) {
	return func(c *cards.Card) { c.Items = change(slices.Clone(c.Items)) }
}

func (w *world) addItem(items []cards.Item) []cards.Item {
	key := cards.Key(w.pick("chopper", "iris-hooks", "spatula", "ring"))
	if slices.ContainsFunc(items, func(i cards.Item) bool { return i.Key == key }) {
		return items
	}
	return slices.Insert(items, w.rand.IntN(len(items)+1),
		cards.Item{Key: key, Name: strings.ToUpper(string(key[:1])) + string(key[1:]), Kind: "instrument", Quantity: 1, State: cards.HaveReady})
}

// note changes, adds or removes a paragraph.
func (w *world) note(notes string) string {
	var p []string
	if notes != "" {
		p = strings.Split(notes, "\n\n")
	}
	text := w.pick("Warm the fluid.", "Keep the wound cool.", "Dim the light.", "Ask for the hooks.")
	at := w.rand.IntN(len(p) + 1)
	switch {
	case slices.Contains(p, text):
	case at < len(p) && w.rand.IntN(2) == 0:
		p[at] = text
	default:
		p = slices.Insert(p, at, text)
	}
	return strings.Join(p, "\n\n")
}

func (w *world) caseIntent() func(*checklist.Case) {
	switch w.rand.IntN(3) {
	case 0:
		return storetest.Pupil(w.pick("4.5", "5", "6"))
	case 1:
		return func(c *checklist.Case) { c.Facts["glaucoma"] = checklist.Value{w.pick("yes", "no")} }
	}
	return func(c *checklist.Case) { c.Position = 1 + w.rand.IntN(3) }
}

// decide sometimes settles an open question that the device shows, for either side.
func (w *world) decide(v view, body *json.RawMessage) []edits.QuestionID {
	if len(v.questions) == 0 || w.rand.IntN(3) > 0 {
		return nil
	}
	q := v.questions[w.rand.IntN(len(v.questions))]
	side := q.Head
	if w.rand.IntN(2) == 0 {
		side = q.Mine
	}
	list, key, _ := strings.Cut(q.Unit, "/")
	if changed, ok := withElement(*body, list, key, side); ok {
		*body = changed
	}
	return []edits.QuestionID{q.ID}
}

// withElement puts one side of a question into a body where the unit is an element of a list that the body has.
func withElement(body json.RawMessage, list, key string, side json.RawMessage) (json.RawMessage, bool) {
	if list != "phases" || string(side) == "null" {
		return nil, false
	}
	var p cards.Phase
	if json.Unmarshal(side, &p) != nil {
		return nil, false
	}
	return with(body, onPhase(cards.Key(key), func(to *cards.Phase) { *to = p }))
}
