package checklist

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sideport/cards"
)

func unitsOf(questions []cards.Question) []string {
	out := []string{}
	for _, q := range questions {
		out = append(out, q.Unit+": "+q.BaseText+" | "+q.HeadText+" | "+q.MineText)
	}
	return out
}

func TestMergeCases(t *testing.T) {
	with := func(change func(*Case), facts ...string) Case {
		c := plainCase(facts...)
		if change != nil {
			change(&c)
		}
		return c
	}
	place := func(n int) func(*Case) { return func(c *Case) { c.Position = n } }
	for _, row := range []struct {
		name             string
		base, head, mine Case
		want             Case
		questions        []string
	}{
		{"two facts", with(nil), with(nil, "white=yes"), with(nil, "diabetes=no"), with(nil, "white=yes", "diabetes=no"), []string{}},
		{"a fact and a place", with(nil), with(place(5)), with(nil, "diabetes=no"), with(place(5), "diabetes=no"), []string{}},
		{"the same fact the same way", with(nil), with(nil, "white=yes"), with(nil, "white=yes"), with(nil, "white=yes"), []string{}},
		{"the same fact differently", with(nil), with(nil, "white=yes"), with(nil, "white=no"), with(nil, "white=yes"), []string{"facts/white: not answered | yes | no"}},
		{"answered and taken back", with(nil, "white=no"), with(nil, "white=yes"), with(nil), with(nil, "white=yes"), []string{"facts/white: no | yes | not answered"}},
		{"taken back on one side", with(nil, "white=no"), with(nil, "white=no"), with(nil), with(nil), []string{}},
		{"place differently", with(nil), with(place(5)), with(place(6)), with(place(5)), []string{"position: 3 | 5 | 6"}},
		{"taken off the list", with(nil), with(nil, "white=no"), with(func(c *Case) { c.Removed = true }), with(func(c *Case) { c.Removed = true }, "white=no"), []string{}},
		{"two answers that contradict each other", with(nil, "toric=yes"), with(nil, "toric=no"), with(nil, "toric=yes", "toric-axis=90"), with(nil, "toric=no"),
			[]string{"facts/toric-axis: not answered | not answered | 90 degrees"}},
	} {
		got, questions := MergeCases(row.base, row.head, row.mine)
		if diff := DiffCases(row.want, got); len(diff) > 0 {
			t.Errorf("%s: merged differs from wanted: %v", row.name, diff)
		}
		if units := unitsOf(questions); !slices.Equal(units, row.questions) {
			t.Errorf("%s: questions %q, want %q", row.name, units, row.questions)
		}
	}
}

func TestMergeLeavesItsArgumentsAlone(t *testing.T) {
	base, head, mine := plainCase(), plainCase(), plainCase("white=yes")
	MergeCases(base, head, mine)
	if len(DiffCases(base, plainCase())) > 0 || len(DiffCases(head, plainCase())) > 0 {
		t.Error("the arguments were changed")
	}
}

func TestDiffCases(t *testing.T) {
	to := plainCase("dilated-pupil=4.5", "lens-power=-2", "allergies=latex,iodine")
	to.Position, to.Removed, to.Note = 5, true, "deaf"
	want := []string{"Place on the list: 3 → 5", "Note changed", "Taken off the list", "Dilated pupil: not answered → 4.5 mm",
		"Allergies: none → iodine, latex", "Lens power: not answered → minus 2 D"}
	if got := DiffCases(plainCase(), to); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := DiffCases(to, to); len(got) > 0 {
		t.Errorf("a case differs from itself: %q", got)
	}
}

// The laws of merging: one changed side wins, no answer is invented, and the
// sides of the questions swap with the sides.
func TestMergeCasesLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base, a, b := drawCase(t, "base"), drawCase(t, "a"), drawCase(t, "b")
		same := func(what string, x, y Case) {
			if d := DiffCases(x, y); len(d) > 0 {
				t.Fatalf("%s: %v", what, d)
			}
		}
		onlyMine, q1 := MergeCases(base, base, a)
		onlyHead, q2 := MergeCases(base, a, base)
		both, q3 := MergeCases(base, a, a)
		same("only mine changed", onlyMine, a)
		same("only head changed", onlyHead, a)
		same("changed alike", both, a)
		if len(q1)+len(q2)+len(q3) > 0 {
			t.Fatalf("questions without a conflict: %v %v %v", q1, q2, q3)
		}
		merged, questions := MergeCases(base, a, b)
		if errors := CheckCase(merged).Errors(); len(errors) > 0 {
			t.Fatalf("the merge of valid cases is not valid: %v", errors)
		}
		for id := range merged.Facts {
			u := factUnit(id)
			if v := string(rawJSON(u.get(merged))); v != string(rawJSON(u.get(a))) && v != string(rawJSON(u.get(b))) {
				t.Fatalf("%s is %s, which neither side wrote", id, v)
			}
		}
		_, swapped := MergeCases(base, b, a)
		for _, q := range questions {
			for _, s := range swapped {
				if s.Unit == q.Unit && (string(s.Head) != string(q.Mine) || string(s.Mine) != string(q.Head)) {
					t.Fatalf("question %s does not swap: %+v, %+v", q.Unit, q, s)
				}
			}
		}
	})
}
