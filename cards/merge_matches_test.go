package cards

import (
	"runtime"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// plainMatches is the textbook's longest common subsequence with its whole
// table (Wagner and Fischer 1974, value from memory), against which the thrifty one is held.
func plainMatches(a, b []string) []int {
	table := make([][]int, len(a)+1)
	for i := range table {
		table[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i] == b[j] {
				table[i][j] = table[i+1][j+1] + 1
			} else {
				table[i][j] = max(table[i+1][j], table[i][j+1])
			}
		}
	}
	partner := make([]int, len(a))
	for i, j := 0, 0; i < len(a); i++ {
		partner[i] = -1
		for j < len(b) && a[i] != b[j] && table[i][j+1] >= table[i+1][j] {
			j++
		}
		if j < len(b) && a[i] == b[j] {
			partner[i] = j
			j++
		}
	}
	return partner
}

func TestMatchesAreThoseOfTheWholeTable(t *testing.T) {
	paragraphs := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c", "d", ""}), 0, 25)
	rapid.Check(t, func(t *rapid.T) {
		a, b := paragraphs.Draw(t, "a"), paragraphs.Draw(t, "b")
		if got, want := matches(a, b), plainMatches(a, b); !slices.Equal(got, want) {
			t.Errorf("%q and %q: %v, want %v", a, b, got, want)
		}
	})
}

// Notes of 16 kB hold at most about five thousand paragraphs.
func TestMatchingTinyParagraphsTakesLittleMemory(t *testing.T) {
	const n, most = 5400, 8 << 20
	a, b := make([]string, n), make([]string, n)
	for i := range n {
		a[i], b[i] = strconv.Itoa(i%7), strconv.Itoa(i%5)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	matches(a, b)
	runtime.ReadMemStats(&after)
	if took := after.TotalAlloc - before.TotalAlloc; took > most {
		t.Errorf("matching %d with %d paragraphs took %d MB", n, n, took>>20)
	}
}
