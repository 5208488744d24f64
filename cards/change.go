package cards

import "math/big"

// BigChange says whether a change of one number is large enough to ask about,
// and by how much in words. A change by a factor of 2 or more, up or down, asks;
// a factor of 10, 100 … also says that a zero or a decimal point may be out of
// place. A change from 0, to 0 or of the sign has no factor and asks.
//
// Nothing is asked when one of the two is not stated. factor is "" when ask is
// false. Sources: out-by-ten errors, Thimbleby and Cairns 2010; the threshold of
// 2 is common practice, no source.
func BigChange(old, new Quantity) (factor string, ask bool) {
	if !old.Stated() || !new.Stated() || old == new {
		return "", false
	}
	switch {
	case old.Millionths() == 0:
		return "from 0 to " + new.String(), true
	case new.Millionths() == 0:
		return "from " + old.String() + " to 0", true
	case (old.Millionths() < 0) != (new.Millionths() < 0):
		return "the sign changes", true
	}
	change, words := over(ratio(new), ratio(old)), " times as much"
	if change.Cmp(ratOne) < 0 {
		change, words = over(ratOne, change), " times less"
	}
	if change.Cmp(big.NewRat(2, 1)) < 0 {
		return "", false
	}
	factor = figures(change) + words
	if exactPowerOfTen(change) {
		factor += "; is a zero or the decimal point out of place?"
	}
	return factor, true
}

func exactPowerOfTen(factor *big.Rat) bool {
	if !factor.IsInt() {
		return false
	}
	text := factor.Num().String()
	for n := range len(text) {
		if want := byte('0'); (n == 0 && text[n] != '1') || (n > 0 && text[n] != want) {
			return false
		}
	}
	return len(text) > 1
}

// LargeChange is a change of one number that somebody must say is meant.
type LargeChange struct {
	Path   string `json:"path"` // "phases/chop/vacuum"
	Label  string `json:"label"`
	From   string `json:"from"` // with the unit
	To     string `json:"to"`
	Factor string `json:"factor"` // how much, in words
}

// notStated stands for a number that there was not.
const notStated = "not stated"

// FirstEntry says what is asked about a number entered where none was: one
// outside its usual range which ten times as much, or ten times less, would
// put inside it, and one that is beyond the range by ten. A number without a
// usual range has nothing to be compared with. Sources as for BigChange.
func FirstEntry(p Parameter, kind PhaseKind, q Quantity) (factor string, ask bool) {
	ten := Whole(10)
	for _, r := range p.Usual {
		if !q.Stated() || r.Phase != "" && r.Phase != kind || q.Cmp(r.Min) >= 0 && q.Cmp(r.Max) <= 0 {
			continue
		}
		larger, smaller := times(ratio(q), ratio(ten)), over(ratio(q), ratio(ten))
		inside := func(x *big.Rat) bool { return x.Cmp(ratio(r.Min)) >= 0 && x.Cmp(ratio(r.Max)) <= 0 }
		if inside(larger) || inside(smaller) || smaller.Cmp(ratio(r.Max)) > 0 || larger.Cmp(ratio(r.Min)) < 0 {
			return "usual is " + r.Min.String() + " to " + withUnit(r.Max, p.Unit) + "; is a zero or the decimal point out of place?", true
		}
	}
	return "", false
}

// LargeChanges finds the changes between two states of a card that BigChange
// asks about, and the first entries that FirstEntry does, in the order of the
// card: of every number that is dialled in, worn, cut or given. How many of an item to lay out is left out: 1 to 2 is an
// everyday change of it, and asking each time would teach people not to read.
// A strength or a dose whose unit changed asks, whatever the numbers.
func LargeChanges(from, to Card) []LargeChange {
	l := largeChanges{}
	l.shown("basics", "", "", ShowBasics(from.Basics), ShowBasics(to.Basics))
	l.shown("machine", "", "", ShowMachine(from.Machine), ShowMachine(to.Machine))
	l.drugs(from, to)
	for _, p := range to.Phases {
		old, _ := from.Phase(p.Key)
		l.shown("phases/"+string(p.Key), p.Name, p.Kind, ShowLimits(old.Limits), ShowLimits(p.Limits))
	}
	for _, v := range to.Variants {
		for _, p := range v.Phases {
			phase, _ := to.Phase(p.Phase)
			l.shown("variants/"+string(v.Key)+"/"+string(p.Phase), v.Title+", "+to.phaseName(p.Phase), phase.Kind, ShowLimits(from.variantLimits(v.Key, p.Phase)), ShowLimits(p.Limits))
		}
	}
	return l
}

func (c Card) variantLimits(variant, phase Key) Limits {
	for _, v := range c.Variants {
		for _, p := range v.Phases {
			if v.Key == variant && p.Phase == phase {
				return p.Limits
			}
		}
	}
	return Limits{}
}

type largeChanges []LargeChange

// shown compares the numbers among the shown values; a value in words has no parameter.
func (l *largeChanges) shown(path, place string, kind PhaseKind, from, to []Shown) {
	for _, now := range to {
		if p, isNumber := ParameterByID(ParameterID(now.ID)); isNumber {
			was, _ := shown(from, now.ID)
			l.number(path+"/"+now.ID, place, kind, p, MustQuantity(was.Value), MustQuantity(now.Value))
		}
	}
}

func (l *largeChanges) number(path, place string, kind PhaseKind, p Parameter, from, to Quantity) {
	label := p.Label
	if place != "" {
		label = place + ": " + lowerFirst(p.Label)
	}
	if factor, ask := BigChange(from, to); ask {
		*l = append(*l, LargeChange{path, label, withUnit(from, p.Unit), withUnit(to, p.Unit), factor})
	}
	if from.Stated() {
		return
	}
	if factor, ask := FirstEntry(p, kind, to); ask {
		*l = append(*l, LargeChange{path, label, notStated, withUnit(to, p.Unit), factor})
	}
}

func (l *largeChanges) drugs(from, to Card) {
	volume, _ := ParameterByID("volume")
	for _, d := range to.Drugs {
		old, ok := from.Drug(d.Key)
		if !ok {
			continue
		}
		path := "drugs/" + string(d.Key)
		l.measure(path+"/strength", d.Name+": strength", old.Strength, d.Strength)
		l.measure(path+"/dose", d.Name+": dose", old.Dose, d.Dose)
		l.number(path+"/volume", d.Name, "", volume, old.Volume, d.Volume)
	}
}

func (l *largeChanges) measure(path, label string, from, to Measure) {
	factor, ask := BigChange(from.Value, to.Value)
	if from.Value.Stated() && to.Value.Stated() && from.Unit != to.Unit {
		factor, ask = "the unit changes", true
	}
	if ask {
		*l = append(*l, LargeChange{path, label, from.String(), to.String(), factor})
	}
}
