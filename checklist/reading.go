package checklist

import "strings"

// How long a pause takes. Both figures are a proposal without literature: a
// stated pace to compare pauses by, not a measurement of any team.
const (
	wordsPerTenSeconds = 23 // 2.3 words a second, read aloud
	secondsPerAnswer   = 3
	longPauseSeconds   = 60
)

// Words counts the words of a text as they are read aloud.
func Words(text string) int {
	n := 0
	for range strings.FieldsSeq(text) {
		n++
	}
	return n
}

// ReadingSeconds says how long it takes to read that many words aloud and to
// hear that many answers. Seven questions of twelve words take 58 seconds.
func ReadingSeconds(words, answers int) int {
	return (words*10+wordsPerTenSeconds-1)/wordsPerTenSeconds + secondsPerAnswer*answers
}

func (p *Pause) reckonTime() {
	p.Words = 0
	for _, l := range p.Lines {
		p.Words += Words(l.Text)
	}
	p.Seconds = ReadingSeconds(p.Words, len(p.Lines))
	p.Long = p.Seconds > longPauseSeconds
}

// Reading is how long the fixed lines of a pause take, and how many there may be.
type Reading struct {
	Words   int  `json:"words"`
	Seconds int  `json:"seconds"`
	Long    bool `json:"long"` // passes a minute
	Most    int  `json:"most"` // fixed lines
}

// ReadingOf reckons the time of lines that are being written.
func ReadingOf(lines []string) Reading {
	p := Pause{}
	for _, text := range lines {
		p.Lines = append(p.Lines, PauseLine{Text: text})
	}
	p.reckonTime()
	return Reading{Words: p.Words, Seconds: p.Seconds, Long: p.Long, Most: maxFixedLines}
}
