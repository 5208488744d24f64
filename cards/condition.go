package cards

// Op compares a factor with a value.
type Op string

const (
	Is       Op = "is"
	IsNot    Op = "is not"
	AtLeast  Op = "at least"
	AtMost   Op = "at most"
	Below    Op = "below"
	Above    Op = "above"
	Includes Op = "includes" // a set holds the value
)

// Ops lists the comparisons each kind of factor allows.
var Ops = map[FactorKind][]Op{
	FactorChoice: {Is, IsNot},
	FactorSet:    {Includes},
	FactorNumber: {AtLeast, AtMost, Below, Above},
	FactorText:   {IsNot}, // only against "none": something was written
}

// Test compares one factor with one value. There is no formula language:
// variants list tests that must all hold, house rules nest them in Conditions.
//
// A house rule may compare a number with a setting of the unit instead of a
// value of its own; the rule book then puts the setting's value in. A card may
// not: its surgeon states the value.
type Test struct {
	Factor  FactorID `json:"factor"`
	Op      Op       `json:"op"`
	Value   string   `json:"value,omitempty"`
	Setting Key      `json:"setting,omitempty"`
}

// Truth is the answer of a test on a case. Not known is an answer of its own
// and never reads as no.
type Truth int8

const (
	False Truth = iota
	Unknown
	True
)

// Facts are the answers of one case, as the conditions see them.
type Facts interface {
	// Fact returns the values of a factor. known is false when nobody
	// answered or the answer was "not known". A set that was asked and is
	// empty returns no values and known.
	Fact(FactorID) (values []string, known bool)
}

// Holds answers the test on the facts of a case. The test must be valid (see Problems).
func (t Test) Holds(facts Facts) Truth {
	values, known := facts.Fact(t.Factor)
	if !known {
		return Unknown
	}
	switch t.Op {
	case Includes, Is:
		return truth(contains(values, t.Value))
	case IsNot:
		if t.Value == None { // a free text that says something
			return truth(len(values) > 0)
		}
		return truth(!contains(values, t.Value))
	}
	if len(values) != 1 {
		return Unknown
	}
	got, err := ParseQuantity(values[0])
	want, err2 := ParseQuantity(t.Value)
	if err != nil || err2 != nil || !got.Stated() || !want.Stated() {
		return Unknown
	}
	switch c := got.Cmp(want); t.Op {
	case AtLeast:
		return truth(c >= 0)
	case AtMost:
		return truth(c <= 0)
	case Below:
		return truth(c < 0)
	case Above:
		return truth(c > 0)
	}
	return Unknown
}

func truth(b bool) Truth {
	if b {
		return True
	}
	return False
}

func contains(values []string, v string) bool {
	for _, x := range values {
		if x == v {
			return true
		}
	}
	return false
}

// AllHold answers tests that must hold together: false if any is false, else unknown if any is unknown.
func AllHold(tests []Test, facts Facts) Truth {
	result := True
	for _, t := range tests {
		result = min(result, t.Holds(facts))
	}
	return result
}

// String reads the test as words: "Dilated pupil below 5 mm".
func (t Test) String() string {
	f, ok := FactorByID(t.Factor)
	if !ok {
		return string(t.Factor) + " " + string(t.Op) + " " + t.Value
	}
	s := f.Label + " " + string(t.Op) + " " + t.Value
	if f.Unit != "" {
		s += " " + f.Unit
	}
	return s
}
