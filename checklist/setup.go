package checklist

import (
	"strconv"

	"sideport/cards"
)

// thing is an item or a drug of the sheet in the making: both are withheld,
// forbidden and opened by the same rules.
type thing struct {
	key       cards.Key
	name      string
	kind      cards.ItemKind
	quantity  int
	state     cards.State
	counted   bool
	place     cards.Place
	note      string
	allergens []cards.Allergen
	drug      bool // stands in the list of drugs
	text      string
	prepared  string

	special bool
	why     []Why
	leftOut []Why // the variants that leave it out
	strikes []strike
	struck  Struck
	instead string
}

// table lays out the card's own things and what its variants change.
func (m *maker) table() {
	for _, i := range m.in.Card.Items {
		m.put(i, m.cardWhy)
	}
	for _, d := range m.in.Card.Drugs {
		m.things = append(m.things, &thing{drug: true, key: d.Key, name: d.Name, kind: "drug", text: d.Text(), state: d.State,
			prepared: d.Prepared, note: d.Note, allergens: d.Allergens, quantity: 1, why: []Why{m.cardWhy}})
	}
	replaced := map[cards.Key]bool{}
	for _, v := range m.applied {
		for _, i := range v.Items {
			m.variantItem(i, v.why, replaced)
		}
	}
	for _, v := range m.applied {
		for _, key := range v.Without {
			m.leaveOut(key, v.why)
		}
	}
}

func newThing(i cards.Item, why Why) *thing {
	return &thing{key: i.Key, name: i.Name, kind: i.Kind, quantity: i.Quantity, state: i.State, counted: i.Counted,
		place: i.Place, note: i.Note, allergens: i.Allergens, why: []Why{why}}
}

// find returns the item with the key, else the drug with it, else nil.
func (m *maker) find(key cards.Key) *thing {
	var drug *thing
	for _, t := range m.things {
		if t.key == key && !t.drug {
			return t
		}
		if t.key == key {
			drug = t
		}
	}
	return drug
}

// put lays out an item that the surgeon's card lists; the same key twice is one line.
func (m *maker) put(i cards.Item, why Why) {
	for _, t := range m.things {
		if t.key == i.Key && !t.drug {
			t.join(i, why)
			return
		}
	}
	m.things = append(m.things, newThing(i, why))
}

// variantItem lays out an item of a variant: it takes the place of the card's
// item with the same key, and joins that of another variant.
func (m *maker) variantItem(i cards.Item, why Why, replaced map[cards.Key]bool) {
	for _, t := range m.things {
		if t.key != i.Key || t.drug || replaced[i.Key] {
			continue
		}
		fresh := newThing(i, why)
		fresh.why = append(t.why, why)
		fresh.special = true
		*t = *fresh
		replaced[i.Key] = true
		return
	}
	m.put(i, why)
	m.find(i.Key).special = true
	replaced[i.Key] = true
}

// add lays out an item that a rule adds: it joins the line with the same key, item or drug, or makes a new one.
func (m *maker) add(i cards.Item, why Why) {
	t := m.find(i.Key)
	if t == nil {
		t = newThing(i, why)
		t.special = true
		m.things = append(m.things, t)
		return
	}
	t.join(i, why)
	if len(t.leftOut) > 0 {
		m.special(WeightCaution, upperFirst(t.name)+": left out by a variant, but a house rule asks for it. It stays on the list.", append(t.leftOut, why)...)
		t.leftOut = nil
	}
}

// join makes one line of two: the larger quantity, open before have ready,
// counted if either is, both notes. A reason that opens a thing says so.
func (t *thing) join(i cards.Item, why Why) {
	var effects []string
	if t.state != cards.Open && i.State == cards.Open {
		t.state = cards.Open
		effects = append(effects, "open, not only have ready")
	}
	if i.Quantity > t.quantity {
		t.quantity = i.Quantity
		effects = append(effects, "quantity "+strconv.Itoa(i.Quantity))
	}
	if i.Counted && !t.counted {
		t.counted = true
		effects = append(effects, "counted")
	}
	if len(effects) > 0 {
		t.special = true
		why.Text += ": " + listAnd(effects)
	}
	if t.place == "" {
		t.place = i.Place
	}
	if i.Note != "" && i.Note != t.note {
		t.special = true
		if t.note != "" {
			t.note += "; "
		}
		t.note += i.Note
	}
	for _, a := range i.Allergens {
		if !has(t.allergens, a) {
			t.allergens = append(t.allergens[:len(t.allergens):len(t.allergens)], a)
		}
	}
	t.why = joinWhy(t.why, why)
}

// leaveOut strikes what a variant does without. Where another variant brings
// the same thing the surgeon has said both, and has to say which.
func (m *maker) leaveOut(key cards.Key, why Why) {
	for _, t := range m.things {
		if t.key != key || t.drug {
			continue
		}
		for _, w := range t.why {
			if w.From == FromVariant {
				m.special(WeightStop, upperFirst(t.name)+": one variant leaves it out, another brings it. It stays on the list: the surgeon must say which.", w, why)
				return
			}
		}
		t.leftOut = append(t.leftOut, why)
	}
}

func (m *maker) setupLines() []SetupLine {
	out := make([]SetupLine, 0, len(m.things))
	for _, t := range m.things {
		if !t.drug {
			out = append(out, SetupLine{Key: t.key, Name: t.name, Kind: t.kind, Quantity: t.quantity, State: t.state, Counted: t.counted,
				Place: t.place, Note: t.note, Struck: t.struck, Instead: t.instead, Special: t.special, Why: t.why})
		}
	}
	return out
}

func (m *maker) drugLines() []DrugLine {
	var out []DrugLine
	for _, t := range m.things {
		if t.drug {
			out = append(out, DrugLine{Key: t.key, Name: t.name, Text: t.text, State: t.state, Prepared: t.prepared, Note: t.drugNote(),
				Struck: t.struck, Instead: t.instead, Special: t.special, Why: t.why})
		}
	}
	return out
}

// drugNote carries a quantity above one, which a line of the drug list has no place for.
func (t *thing) drugNote() string {
	if t.quantity < 2 {
		return t.note
	}
	note := "quantity " + strconv.Itoa(t.quantity)
	if t.note != "" {
		note = t.note + "; " + note
	}
	return note
}
