package cards

import "strings"

// Level says how much a problem weighs.
type Level string

const (
	LevelError   Level = "error"   // the card is not kept until it is mended
	LevelCaution Level = "caution" // kept, and shown wherever the value is shown
)

// Problem is one thing wrong, or unusual, about a card, a case or a rule
// book. Code is stable and is what tests and screens compare; Text is the
// sentence people read, which always names the thing and the mend.
type Problem struct {
	Level  Level  `json:"level"`
	Code   string `json:"code"`
	Path   string `json:"path"` // the unit it concerns, for example "phases/sculpt/vacuum"
	Text   string `json:"text"`
	Source string `json:"source,omitempty"` // of the figure in Text
	Line   int    `json:"line,omitempty"`   // of a file, when one was read
}

// Problems collects every problem of one thing; one is never hidden behind another.
type Problems []Problem

// Errors returns the problems that stop the thing from being kept.
func (ps Problems) Errors() Problems { return ps.at(LevelError) }

// Cautions returns the problems that are shown and do not stop anything.
func (ps Problems) Cautions() Problems { return ps.at(LevelCaution) }

func (ps Problems) at(level Level) Problems {
	var out Problems
	for _, p := range ps {
		if p.Level == level {
			out = append(out, p)
		}
	}
	return out
}

// Error lists the problems one a line, so that Problems can travel as an error.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Text
	}
	return strings.Join(lines, "\n")
}
