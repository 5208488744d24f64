package checklist

import (
	"slices"
	"testing"

	"sideport/cards"
)

func TestTrySaysWhichLinesChange(t *testing.T) {
	hooks := cards.Item{Key: "iris-hooks", Name: "Iris hooks", Kind: "consumable", Quantity: 5, State: cards.HaveReady}
	base := unitBook(func(b *RuleBook) {
		b.Rules[0].Do = []Action{{Kind: AddItem, Item: &hooks},
			{Kind: AddQuestion, Pause: SignIn, Line: &ActionLine{Text: "How many mm is it now?", Ask: RoleReader, Answer: RoleSurgeon}}}
	})
	try := func(from, to RuleBook, facts ...string) []string {
		got := Try(from, to, TrialCase{Card: plainCard(), Case: plainCase(facts...)})
		if len(got.Problems) > 0 {
			t.Fatal(got.Problems)
		}
		var out []string
		for _, c := range got.Changes {
			out = append(out, c.Part+" "+string(c.Change)+": "+c.Text)
		}
		return out
	}
	four := cloned(base)
	settingValue("small-pupil", 4)(&four)
	for _, row := range []struct {
		name     string
		from, to RuleBook
		facts    string
		want     []string
	}{
		{"the same book", base, base, "dilated-pupil=4.5", nil},
		{"a pupil no longer small", base, four, "dilated-pupil=4.5", []string{"Sign in removed: How many mm is it now?", "Set up changed: 1 × Iris hooks, have ready"}},
		{"a pupil newly small", four, base, "dilated-pupil=4.5", []string{"Set up changed: 5 × Iris hooks, have ready", "Sign in added: How many mm is it now?"}},
		{"a pupil small either way: only the reason", base, four, "dilated-pupil=3", []string{"Set up reason: 5 × Iris hooks, have ready", "Sign in reason: How many mm is it now?"}},
		{"a pupil never small", base, four, "dilated-pupil=7", nil},
	} {
		if got := try(row.from, row.to, row.facts); !slices.Equal(got, row.want) {
			t.Errorf("%s: got %q, want %q", row.name, got, row.want)
		}
	}
}

func TestTrySaysWhyThereIsNoSheet(t *testing.T) {
	other := plainCase()
	other.Card = "another-card"
	got := Try(unitBook(), unitBook(), TrialCase{Card: plainCard(), Case: other})
	if len(got.Problems) == 0 || len(got.Changes) > 0 || got.Changes == nil {
		t.Errorf("got %+v", got)
	}
}
