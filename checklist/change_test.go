package checklist

import (
	"testing"

	"sideport/cards"
)

func TestLargeChangesOfALens(t *testing.T) {
	for _, c := range []struct{ id, from, to, want string }{
		{"lens-power", "21", "21.5", ""},
		{"lens-power", "", "21", ""},
		{"lens-power", cards.NotKnown, "21", ""},
		{"lens-power", "2.5", "-2.5", "the sign changes"},
		{"lens-power", "21", "2.1", "10 times less; is a zero or the decimal point out of place?"},
		{"lens-power", "0", "21", "from 0 to 21"},
		{"backup-power", "21", "9.5", "about 2.211 times less"},
		{"dilated-pupil", "3", "7", ""},
	} {
		with := func(value string) Case {
			out := Case{Facts: map[cards.FactorID]Value{}}
			if value != "" {
				out.Facts[cards.FactorID(c.id)] = Value{value}
			}
			return out
		}
		got := ""
		if list := LargeChanges(with(c.from), with(c.to)); len(list) == 1 && list[0].Path == "facts/"+c.id {
			got = list[0].Factor
		}
		if got != c.want {
			t.Errorf("%s from %q to %q: %q, want %q", c.id, c.from, c.to, got, c.want)
		}
	}
}
