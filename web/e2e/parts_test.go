package e2e

import (
	"fmt"
	"slices"
	"testing"
)

// partsSeen notes each time how many parts of a card stand on the page.
const partsSeen = `window.partsSeen = []; new MutationObserver(() => {
	const n = document.querySelectorAll(".cardsection").length;
	if (n > 0 && n !== window.partsSeen.at(-1)) window.partsSeen.push(n); }).observe(document, {subtree: true, childList: true});`

// A long card is drawn part after part, so that a slow device hears a touch in between; where somebody comes back to it, or
// asks for a place in it, it is there at once, and so is the place.
func TestACardComesPartAfterPart(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.before(partsSeen)
	b.open("/cards/" + chopCard)
	b.sees(chopTitle)
	b.drewParts("opened", 1, 2, 3, 4, 5, 6, 7, 8, 9)

	b.does(`document.getElementById("drugs").scrollIntoView({behavior: "instant"})`)
	left, err := eval[float64](b, `(window.partsSeen = [], scrollY)`)
	if err != nil || left < 1000 {
		t.Fatalf("scrolled to %.0f px (%v)", left, err)
	}
	b.does(`document.querySelector("nav.menu a[href='/']").click()`) // a finger of this test would scroll to what it presses
	b.sees("No sheet yet")
	b.does("history.back()")
	b.sees(chopTitle)
	b.drewParts("come back to", 9)
	eventually(t, "the card is where it was left", func() error {
		now, err := eval[float64](b, "scrollY")
		if err == nil && (now < left-1 || now > left+1) {
			err = fmt.Errorf("at %.0f px, left at %.0f px", now, left)
		}
		return err
	})

	b.open("/cards/" + chopCard + "?at=drugs")
	b.sees(chopTitle)
	b.drewParts("asked for a part", 9)
}

func (b *tablet) does(script string) {
	b.t.Helper()
	if _, err := eval[bool](b, "("+script+", true)"); err != nil {
		b.t.Fatalf("%s: %v", script, err)
	}
}

// drewParts waits until so many parts stood there one time after the other.
func (b *tablet) drewParts(when string, want ...int) {
	b.t.Helper()
	eventually(b.t, when+", the card had all its parts", func() error {
		got, err := eval[[]int](b, "window.partsSeen")
		if err == nil && !slices.Equal(got, want) {
			err = fmt.Errorf("it had %v, want %v", got, want)
		}
		return err
	})
}
