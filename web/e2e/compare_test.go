package e2e

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// Two cards are chosen and stand side by side: what differs is said by a word, a number keeps its unit, what is the same is
// folded away with its count, and the way to a card of one's own begins there. The address alone brings it back, with no network.
func TestCompareTwoCards(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.installed()
	b.open("/cards/" + chopCard)
	b.tap("Compare…")
	b.sees("With another card")
	b.tap("Stop and chop")
	b.sees("differences")
	stopped := b.where()

	s.kill()
	b.reopen()
	b.open("/cards/" + chopCard + "/compare/lanternby-flip")
	b.sees("A number from one machine does not belong on another")
	for _, words := range []string{"differs", "only here", "only there", "the same"} {
		b.sees(words)
	}
	b.comparesAs("Vacuum", "90 mmHg, fixed", "60 mmHg, fixed")
	b.stacked(true)
	b.behind(desk)
	b.stacked(false)
	b.behind(phone)
	b.tap("Change sides")
	b.comparesAs("Vacuum", "60 mmHg, fixed", "90 mmHg, fixed")
	b.tap("Start an own card from this")
	b.sees("Start as a copy")
	b.open(stopped)
	b.sees("differences")
}

// comparesAs holds that a line of the first group with a label says these two things.
func (b *tablet) comparesAs(label, here, there string) {
	b.t.Helper()
	eventually(b.t, fmt.Sprintf("%s is %s here and %s there", label, here, there), func() error {
		got, err := eval[[]string](b, fmt.Sprintf(`(line => line ? [...line.querySelectorAll(".compare-text")].map(e => e.innerText.replace(/\s+/g, " ").trim()) : [])([...document.querySelectorAll(".compare-line")].find(e => e.getAttribute("aria-label") === %s))`, quoted(label)))
		if err == nil && (len(got) != 2 || got[0] != here || got[1] != there) {
			err = fmt.Errorf("it says %q", got)
		}
		return err
	})
}

// stacked holds that the two values of a line stand below each other, or beside each other.
func (b *tablet) stacked(want bool) {
	b.t.Helper()
	eventually(b.t, fmt.Sprintf("values stand below each other: %t", want), func() error {
		is, err := eval[bool](b, `(([x, y]) => y.top >= x.bottom)([...document.querySelector(".compare-line").querySelectorAll(".compare-side")].map(e => e.getBoundingClientRect()))`)
		if err == nil && is != want {
			err = fmt.Errorf("it is %t", is)
		}
		return err
	})
}

// An older revision stands beside what holds now: from the history, in the order of time, and by its address. What an edit that
// waits changes counts as what holds now. Where a value is in question both values stand, and neither passes for the card's.
func TestCompareTwoRevisions(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, desk)
	b.becomes(chopSurgeon)
	b.installed()
	b.open("/cards/" + chopCard)
	b.sees(chopTitle)
	b.changeChopVacuum("390")
	b.open("/waiting")
	b.sees("Nothing is waiting")
	b.open("/cards/" + chopCard + "/history")
	b.tap("Compare with now")
	b.sees("1 difference")
	b.comparesAs("Vacuum", "400 mmHg, fixed", "390 mmHg, fixed")
	b.fits("two revisions")
	b.onPaper("print")
	b.waitsForNoFinger()
	b.comparesAs("Vacuum", "400 mmHg, fixed", "390 mmHg, fixed")
	b.screenshot("compare-paper")
	b.pdf("compare")
	b.onPaper("")

	at := b.at()
	s.kill()
	b.open("/cards/" + chopCard + "?at=limits")
	b.tapIn("#content .phase", "Vacuum 390 mmHg")
	b.write("Vacuum", "380")
	b.tapIn("dialog", "Keep the change")
	b.sees("Kept on this device.")
	b.open(at)
	b.sees("with the edits that wait on this device")
	b.comparesAs("Vacuum", "400 mmHg, fixed", "380 mmHg, fixed")
	b.open("/cards/" + chopCard + "/compare/no-such-card")
	b.sees("The other card is not on this device.")
}

// waitsForNoFinger holds that nothing waits for a finger on paper; what is folded away keeps its count.
func (b *tablet) waitsForNoFinger() {
	b.t.Helper()
	found, err := eval[[]string](b, `[...document.querySelectorAll("button, a.button, nav a, select, input")].filter(e => e.checkVisibility() && e.getBoundingClientRect().height > 0).map(e => e.innerText || e.ariaLabel || e.className)`)
	if err == nil && len(found) > 0 {
		err = errors.New("for fingers only: " + quotedList(found))
	}
	if err != nil {
		b.t.Errorf("the paper: %v", err)
	}
}

// What nobody has decided stands with both values on its side.
func TestCompareWhatIsInQuestion(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	card := s.document("card", chopCard).Body
	for n, words := range []string{"One says this", "Another says that"} {
		s.change(n+1, card, func(c map[string]any) {
			element(c, "phases", "chop")["note"] = words
			element(c, "items", "lid-speculum")["note"] = words
			c["machine"].(map[string]any)["profile"] = words
		})
	}
	b.open("/cards/" + chopCard + "/compare/lanternby-flip")
	b.sees("Here: 3 open questions")
	b.comparesLike("Limits", "Two values, not resolved:", "One says this", "Another says that")
	b.comparesLike("Lid speculum", "Two values, not resolved:", "One says this", "Another says that")
}

// comparesLike holds that what stands here in a line with a label has all of these words.
func (b *tablet) comparesLike(label string, words ...string) {
	b.t.Helper()
	eventually(b.t, label+" says both", func() error {
		got, err := eval[string](b, fmt.Sprintf(`[...document.querySelectorAll(".compare-line")].find(e => e.getAttribute("aria-label") === %s)?.querySelector(".compare-side").innerText ?? ""`, quoted(label)))
		for _, w := range words {
			if err == nil && !strings.Contains(got, w) {
				err = fmt.Errorf("it says %q", got)
			}
		}
		return err
	})
}
