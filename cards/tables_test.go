package cards

import (
	"encoding/csv"
	"encoding/json"
	"math/big"
	"os"
	"testing"
)

// published reads a table of testdata/tables; its first lines name the source.
func published(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../testdata/tables/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) == 0 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	return rows
}

// places counts the decimals a figure was printed with.
func places(figure string) int {
	for n := range len(figure) {
		if figure[n] == '.' {
			return len(figure) - n - 1
		}
	}
	return 0
}

// agrees compares with a printed figure at the decimals it was printed with; "" is not in the table.
func agrees(t *testing.T, what string, got *big.Rat, want string) {
	t.Helper()
	if want != "" && got.FloatString(places(want)) != want {
		t.Errorf("%s: got %s, published %s", what, got.FloatString(places(want)+2), want)
	}
}

// reckon does a calculation that must have no errors.
func reckon(t *testing.T, name, in string) Working {
	t.Helper()
	w, ps := Reckon(name, json.RawMessage(in))
	if len(ps.Errors()) > 0 {
		t.Fatalf("%s %s: %v", name, in, ps)
	}
	return w
}

// result is the first shown value with the id.
func result(t *testing.T, w Working, id string) string {
	t.Helper()
	for _, s := range w.Result {
		if s.ID == id {
			return s.Value
		}
	}
	t.Errorf("no result %q in %+v", id, w.Result)
	return ""
}

// nearTo reports whether r is within a billionth of a reference reckoned in floating point.
func nearTo(r *big.Rat, reference float64) bool {
	f, _ := r.Float64()
	d := f - reference
	return d < 1e-9 && d > -1e-9
}
