package e2e

import (
	"fmt"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"
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
	left := b.scrolled()
	b.does(`window.partsSeen = []`)
	b.does(`document.querySelector("nav.menu a[href='/']").click()`) // a finger of this test would scroll to what it presses
	b.sees("No sheet yet")
	b.does("history.back()")
	b.sees(chopTitle)
	b.drewParts("come back to", 9)
	b.holds("the card is where it was left", fmt.Sprintf(`Math.abs(scrollY - %f) < 1 ? "" : "it is at " + scrollY`, left))

	b.does("(window.partsSeen = [], location.reload())")
	b.sees(chopTitle)
	b.drewParts("read anew", 9)

	for _, place := range []string{"?at=drugs", "#drugs"} {
		b.open("/licences.txt") // another page, so that the place is not one of the page that is there
		b.open("/cards/" + chopCard + place)
		b.sees(chopTitle)
		b.drewParts("asked for a part by "+place, 9)
	}
}

// Who presses the way to a part that is not drawn yet is led there all the same.
func TestAPressLeadsToAPartThatIsNotThereYet(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.before(partsSeen + `
		const real = setTimeout; window.setTimeout = (f, millis, ...more) => real(f, millis === 0 && more.length > 0 ? 1e6 : millis, ...more); // the next turn never comes`)
	b.open("/cards/" + chopCard)
	b.drewParts("stopped after the first", 1)
	at, err := eval[[]float64](b, `(() => { const r = document.querySelector(".jump a[href='#limits']").getBoundingClientRect(); return [r.x + r.width/2, r.y + r.height/2]; })()`)
	if err != nil {
		t.Fatal(err)
	}
	b.do("press the way to the limits", chromedp.MouseClickXY(at[0], at[1]))
	b.drewParts("led to a part", 1, 9)
	b.holds("the part is in sight", `(() => { const { top } = document.getElementById("limits").getBoundingClientRect(); return top > 0 && top < innerHeight / 2 ? "" : "it is at " + top; })()`)
}

// cameAfter notes in which order the unit was answered, the service worker registered and the core's worker made; the
// answer comes late, or never.
const cameAfter = `window.came = []; const real = globalThis.fetch, workers = navigator.serviceWorker, register = workers.register.bind(workers);
	globalThis.Worker = class extends Worker { constructor(...how) { super(...how); came.push("core"); } };
	workers.register = (...how) => { came.push("service worker"); return register(...how); };
	globalThis.fetch = (to, ...how) => String(to).endsWith("/api/v1/snapshot")
		? new Promise(go => { if (%t) setTimeout(() => { came.push("unit"); go(real(to, ...how)); }, 200); }) : real(to, ...how);`

// On a device that holds nothing yet the unit is read before what may follow: the service worker, which fetches all of the
// program, and the core. A server that does not answer holds them up for some seconds and not for ever.
func TestTheUnitComesFirst(t *testing.T) {
	s := startServer(t)
	for name, answers := range map[string]bool{"the server answers late": true, "the server never answers": false} {
		t.Run(name, func(t *testing.T) {
			b := newTablet(t, s, phone)
			b.before(fmt.Sprintf(cameAfter, answers))
			b.open("/cards/" + chopCard)
			want := "service worker, core"
			if answers {
				want = "unit, " + want
				b.sees(chopTitle)
			}
			b.installed()
			b.holds("there came "+want, fmt.Sprintf(`came.join(", ") === %s ? "" : "there came " + came.join(", ")`, quoted(want)))
		})
	}
}

func (b *tablet) scrolled() float64 {
	b.t.Helper()
	y, err := eval[float64](b, "scrollY")
	if err != nil || y < 1000 {
		b.t.Fatalf("scrolled to %.0f px (%v)", y, err)
	}
	return y
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
