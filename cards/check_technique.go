package cards

import "strings"

// secondInstrument is what a technique is done with in the second hand. An
// item is one if its key or its name has one of the words and none of the others.
type secondInstrument struct {
	name  string
	words []string
	not   []string
}

func (s secondInstrument) is(i Item) bool {
	text := strings.ReplaceAll(string(i.Key), "-", " ") + " " + strings.ToLower(i.Name) + " " + strings.ToLower(i.Note)
	named := strings.ReplaceAll(string(i.Key), "-", " ") + " " + strings.ToLower(i.Name)
	return hasWord(named, s.words) && !hasWord(text, s.not)
}

func hasWord(text string, words []string) bool {
	for _, w := range words {
		if strings.Contains(text, w) {
			return true
		}
	}
	return false
}

var (
	horizontalChopper = secondInstrument{"a horizontal chopper", []string{"chopper"}, []string{"vertical", "sharp"}}
	verticalChopper   = secondInstrument{"a vertical chopper", []string{"chopper"}, []string{"horizontal", "blunt"}}
)

// secondInstruments by technique. Flip is not among them: viscoelastic alone
// may do it, and every card has that.
var secondInstruments = map[Technique]secondInstrument{
	DivideAndConquer: {"a nucleus rotator or a spatula", []string{"rotator", "spatula", "cracker", "separator", "manipulator", "chopper", "second instrument"}, nil},
	StopAndChop:      {"a chopper", []string{"chopper"}, nil},
	HorizontalChop:   horizontalChopper,
	VerticalChop:     verticalChopper,
}

// otherChopper is the chopper that is made for the other way of chopping.
var otherChopper = map[Technique]secondInstrument{HorizontalChop: verticalChopper, VerticalChop: horizontalChopper}

const (
	sourceSecond  = "second instrument by technique: training texts, value from memory, unconfirmed"
	sourceChopper = "published list of eye instruments: a sharp point for vertical, a blunt tip with an inner edge for horizontal chop"
)

// secondHand checks that the card opens what its technique is done with. A
// card without items is only begun, and nothing is said about it yet.
func (k *checker) secondHand(c Card) {
	need, ok := secondInstruments[c.Technique]
	if !ok || len(c.Items) == 0 {
		return
	}
	own, listed := findInstrument(c.Items, need)
	if own {
		return
	}
	if other, ok := otherChopper[c.Technique]; ok {
		if open, _ := findInstrument(c.Items, other); open {
			k.caution("other chopper", "items", "The card is for "+string(c.Technique)+" and opens "+other.name+", but not "+need.name+". Open the one that is meant.", sourceChopper)
			return
		}
	}
	where := ", but lists none"
	if listed {
		where = ", but has it ready only"
	}
	k.caution("second instrument", "items", upperFirst(string(c.Technique))+" is done with "+need.name+where+". Add it as open.", sourceSecond)
}

// findInstrument says whether the items hold the instrument, opened or at all.
func findInstrument(items []Item, s secondInstrument) (open, listed bool) {
	for _, i := range items {
		if s.is(i) {
			listed = true
			open = open || i.State == Open
		}
	}
	return open, listed
}
