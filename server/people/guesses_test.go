package people

import (
	"testing"
	"time"
)

// How many PINs somebody with enrolled devices and all the time there is can
// try for one name. docs/security.md gives the figures.
func TestHowManyGuesses(t *testing.T) {
	for _, c := range []struct {
		devices, days, want int
	}{
		{1, 1, 20},
		{10, 1, 20},
		{1, 365, 7300},
		{10, 365, 7300},
	} {
		if got := guesses(c.devices, c.days); got != c.want {
			t.Errorf("on %d devices in %d days: %d guesses, want %d", c.devices, c.days, got, c.want)
		}
	}
}

// guesses tries on every device as soon as it may, and counts.
func guesses(devices, days int) int {
	begin := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	rows := make([]triesRow, devices)
	var day dayRow
	n := 0
	for now := begin; now.Before(begin.AddDate(0, 0, days)); now = now.Add(time.Minute) {
		for i := range rows {
			for {
				t := tries{here: rows[i], day: recent(day, now)}
				if t.wait(now) > 0 {
					break
				}
				t = t.charged(now)
				rows[i], day = t.here, t.day
				n++
			}
		}
	}
	return n
}

func recent(d dayRow, now time.Time) dayRow {
	var kept dayRow
	for _, at := range d.At {
		if now.Sub(at) < tryDay {
			kept.At = append(kept.At, at)
		}
	}
	return kept
}
