package checklist

import "sideport/cards"

// DiffRuleBooks says in words what changed from one rule book to another, in
// the order of the book. Of a part that stays, only the values that changed
// are said.
func DiffRuleBooks(from, to RuleBook) []string {
	d := &bookDiff{}
	d.value("Title", from.Title, to.Title)
	d.value("Owner", from.Owner, to.Owner)
	d.value("Review date", string(from.Review), string(to.Review))
	for _, id := range PauseIDs {
		d.pause(id, from, to)
	}
	d.parts("Setting", settingParts(from), settingParts(to))
	d.parts("Rule", ruleParts(from), ruleParts(to))
	d.out = append(d.out, cards.DiffParts("Drill", drillParts(from), drillParts(to))...)
	d.value("Risk part", from.Parts.Risk.InWords(), to.Parts.Risk.InWords())
	d.parts("Confirmed recipe", recipeParts(from), recipeParts(to))
	return d.out
}

type bookDiff struct{ out []string }

func (d *bookDiff) value(label, from, to string) {
	switch {
	case from == to:
	case from == "":
		d.out = append(d.out, label+" added: "+to)
	case to == "":
		d.out = append(d.out, label+" removed (was "+from+")")
	default:
		d.out = append(d.out, label+": "+from+" → "+to)
	}
}

func (d *bookDiff) pause(id PauseID, from, to RuleBook) {
	name := upperFirst(string(id))
	before, had := from.pause(id)
	after, has := to.pause(id)
	if had != has {
		d.value("Pause "+string(id), before.InWords(), after.InWords())
		return
	}
	d.value(name+", moment", before.When, after.When)
	d.parts(name+": line", lineParts(before.Lines), lineParts(after.Lines))
}

// speaker is a part that says itself value by value.
type speaker interface{ said() []said }

// parts says what became of the parts of one list. One that stays is compared
// value by value; added, removed and moved ones are said by their kind.
func (d *bookDiff) parts(kind string, from, to []cards.Part) {
	var stay []cards.Part
	for _, p := range from {
		if now := partAt(to, p.Key()); now != nil {
			p = *now
		}
		stay = append(stay, p)
	}
	d.out = append(d.out, cards.DiffParts(kind, stay, to)...)
	for _, p := range to {
		if was := partAt(from, p.Key()); was != nil {
			d.values(kind+" "+quote(was.Name()), was.Value().(speaker).said(), p.Value().(speaker).said())
		}
	}
}

func partAt(list []cards.Part, key string) *cards.Part {
	for n := range list {
		if list[n].Key() == key {
			return &list[n]
		}
	}
	return nil
}

// values says which values of one part changed. A value that stands several
// times (the actions of a rule) is compared as a list.
func (d *bookDiff) values(part string, from, to []said) {
	var gone, come []said
	for _, s := range from {
		if !has(to, s) {
			gone = append(gone, s)
		}
	}
	for _, s := range to {
		if !has(from, s) {
			come = append(come, s)
		}
	}
	for _, s := range gone {
		n := indexLabel(come, s.label)
		if n < 0 {
			d.value(part+", "+s.label, s.text, "")
			continue
		}
		d.value(part+", "+s.label, s.text, come[n].text)
		come = append(come[:n:n], come[n+1:]...)
	}
	for _, s := range come {
		d.value(part+", "+s.label, "", s.text)
	}
	if len(gone)+len(come) == 0 && len(from) == len(to) && !equalSaid(from, to) {
		d.out = append(d.out, part+": actions in another order")
	}
}

func indexLabel(list []said, label string) int {
	for n, s := range list {
		if s.label == label {
			return n
		}
	}
	return -1
}

func equalSaid(a, b []said) bool {
	for n := range a {
		if a[n] != b[n] {
			return false
		}
	}
	return true
}
