package risk

import (
	"strconv"

	"sideport/checklist"
)

// Table is a published table, ready to show. No table holds a figure of one case.
type Table struct {
	ID      string   `json:"id"`
	Title   string   `json:"title"`
	Source  string   `json:"source"`
	Columns []string `json:"columns"`
	Rows    [][]Cell `json:"rows"`
	Notes   []string `json:"notes,omitempty"`
}

// Cell is a label (without a mark) or a figure with its mark.
type Cell struct {
	Text string         `json:"text"`
	Mark checklist.Mark `json:"mark,omitempty"`
}

func label(text string) Cell { return Cell{Text: text} }

func published(text string) Cell { return Cell{text, checklist.MarkPublished} }

func memory(text string) Cell { return Cell{text, checklist.MarkMemory} }

// Tables are the published tables: the models' own first, then what was found
// elsewhere, as context. They may be shown where the assessment is off.
func Tables() []Table {
	out := []Table{muhtaseb.pointTable(), muhtaseb.groupTable(), newZealand.pointTable(), narendran.ratioTable()}
	return append(out, contextTables...)
}

func (m Model) pointTable() Table {
	t := Table{ID: string(m.ID) + "-points", Title: m.Name + ": points", Source: m.Source(), Columns: []string{"factor", "points"}}
	for _, it := range m.Items {
		worst := it.Levels[len(it.Levels)-1]
		t.Rows = append(t.Rows, []Cell{label(it.Label), {strconv.Itoa(worst.Points), worst.Mark}})
	}
	t.Notes = append([]string{m.Population + ".", m.Reading}, m.Limits...)
	return t
}

func (m Model) groupTable() Table {
	t := Table{ID: string(m.ID) + "-groups", Title: m.Name + ": what was seen in each group", Source: m.Source(),
		Columns: []string{"group", "points", "operations", "any complication, %", "capsule rupture, %", "95 % interval of rupture, %", "vitreous loss, %", "dropped nucleus, %", "wound burn or leak, %"}}
	for n, g := range m.Groups {
		t.Rows = append(t.Rows, []Cell{label(g.Name), published(m.pointsOf(n)), published(strconv.Itoa(g.Operations)), published(g.Complications),
			published(g.share() + " (" + strconv.Itoa(g.Ruptures) + ")"), {g.interval(), markReckoned}, published(g.VitreousLoss), published(g.DroppedNucleus), published(g.WoundBurnOrLeak)})
	}
	t.Rows = append(t.Rows, []Cell{label("all"), label(""), published("1000"), published("7.1"), published("2.2 (22)"), {allGroups.interval(), markReckoned}, published("1.7"), published("0.4"), published("0.3")})
	t.Notes = m.Limits
	return t
}

// markReckoned marks what is calculated here from published counts.
const markReckoned checklist.Mark = "reckoned here"

// allGroups are the table's 1,000 operations together.
var allGroups = Group{Operations: 1000, Ruptures: 22}

func (m Model) pointsOf(n int) string {
	from := m.Groups[n].From
	if n == len(m.Groups)-1 {
		return strconv.Itoa(from) + " or more"
	}
	return between(strconv.Itoa(from), strconv.Itoa(m.Groups[n+1].From-1))
}

func (m Model) ratioTable() Table {
	t := Table{ID: string(m.ID) + "-ratios", Title: m.Name + ": odds ratios", Source: m.Source(), Columns: []string{"factor", "level", "odds ratio"}}
	for _, it := range m.Items {
		for n, l := range it.Levels {
			if n == 0 {
				t.Rows = append(t.Rows, []Cell{label(it.Label), label(l.Name), label("1, reference")})
				continue
			}
			t.Rows = append(t.Rows, []Cell{label(it.Label), label(l.Name), memory(l.Ratio.String())})
		}
	}
	t.Rows = append(t.Rows,
		[]Cell{label("Baseline"), label("every factor at its reference"), memory(m.Baseline.String() + " %")},
		[]Cell{label("Average of the series"), label(m.Outcome), published(m.Average.String() + " %")})
	t.Notes = append([]string{m.Population + ".", m.Reading}, m.Limits...)
	return t
}
