package e2e

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

const (
	moved = "Phaco handpiece"
	// The card has it at the back, on the right.
	movedKey = "phaco-handpiece"
)

// An item is moved by buttons in the editor and kept; the card's drawing has it
// at its new place, and on the other side when it is mirrored for a left-handed
// surgeon. The list says the same words as the drawing.
func TestTrolleyArranged(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.installed() // keeping looks at what changed, and needs the core for it
	b.open("/cards/" + chopCard + "/edit?part=items")
	b.tap("Arrange the trolley")
	b.liesAt(moved, "back right")
	b.tapIn(".arrange", moved)
	b.tap("Further to the front")
	b.liesAt(moved, "front right")
	b.tap("To the left")
	b.tap("To the left")
	b.liesAt(moved, "front left")
	b.apart()
	b.screenshot("arrange")
	b.tap("Look and keep")
	b.sees(" → ")
	b.write("Reason, in one line", "Nearer to the hand")
	b.tap("Keep")
	b.sees("Kept on this device.")

	b.open("/cards/" + chopCard)
	b.tapIn(".cardsection-setup", "Drawing")
	b.liesAt(moved, "front left")
	b.apart()
	b.tap("Mirror for a left-handed surgeon")
	b.sees("left and right are swapped against what the card says")
	b.liesAt(moved, "front right")
	b.apart()
	eventually(t, "the place is on the server", func() error {
		if got := s.placeOf(movedKey); got != "front left" {
			return fmt.Errorf("the card has it at %q", got)
		}
		return nil
	})
}

// A left-handed surgeon takes a card that was written for a right-handed one:
// the sheet says so, and its list and its drawing are mirrored alike.
func TestTrolleyForTheOtherHand(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := s.caseOf("lanternby-vertical-chop")
	b.open("/case/" + id)
	b.tap("Other surgeons' cards")
	b.tapIn(".case-others", chopTitle)
	b.tap("Make the sheet")
	b.sees("The card was written for a right-handed surgeon; Saffron Lanternby is left-handed.")
	b.sees("Phaco handpiece back left") // the card says back right
	b.tap("Drawing")
	b.liesAt(moved, "back left")
	b.apart()
	b.screenshot("other-hand")
	b.tap("Mirror for a left-handed surgeon")
	b.liesAt(moved, "back right")
}

// The arrow keys move the chosen item, and the focus stays with it.
func TestTrolleyByKeyboard(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, desk)
	b.becomes(chopSurgeon)
	b.open("/cards/" + chopCard + "/edit?part=items")
	b.tap("Arrange the trolley")
	b.tapIn(".arrange", moved)
	b.press(kb.ArrowLeft)
	b.liesAt(moved, "back middle")
	b.press(kb.ArrowDown)
	b.liesAt(moved, "front middle")
}

// A finger or the mouse drags an item by its handle to the place it is let go over.
func TestTrolleyDragged(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	b.open("/cards/" + chopCard + "/edit?part=items")
	b.tap("Arrange the trolley")
	b.liesAt(moved, "back right")
	b.drag(moved, "front middle")
	b.liesAt(moved, "front middle")
	b.drag(moved, "") // below the trolley: no place
	b.liesAt(moved, "")
	b.sees(moved + ": place not stated")
}

// drag takes the item by its handle and lets it go over the place.
func (b *tablet) drag(name, place string) {
	b.t.Helper()
	spots, err := eval[*[2][2]float64](b, fmt.Sprintf(`(() => { document.querySelector(%s === "" ? ".trolley > h3" : ".trolley-top").scrollIntoView({block: "center", behavior: "instant"});
		const item = [...document.querySelectorAll(".arrange-one")].find(e => e.innerText.includes(%s)), to = document.querySelector('.trolley [data-place=' + JSON.stringify(%s) + ']');
		if (!item || !to) return null;
		const a = item.querySelector(".arrange-handle").getBoundingClientRect(), c = to.getBoundingClientRect();
		return [[a.x + a.width / 2, a.y + a.height / 2], [c.x + 30, c.y + 20]]; })()`, quoted(place), quoted(name), quoted(place)))
	if err != nil || spots == nil {
		b.t.Fatalf("find the handle of %s and the place %q: %v", name, place, err)
	}
	from, to := spots[0], spots[1]
	for _, e := range []input.DispatchMouseEventParams{
		{Type: input.DispatchMouseEventTypeMousePressed, X: from[0], Y: from[1]},
		{Type: input.DispatchMouseEventTypeMouseMoved, X: (from[0] + to[0]) / 2, Y: (from[1] + to[1]) / 2},
		{Type: input.DispatchMouseEventTypeMouseMoved, X: to[0], Y: to[1]},
		{Type: input.DispatchMouseEventTypeMouseReleased, X: to[0], Y: to[1]},
	} {
		e.Button, e.Buttons, e.ClickCount = input.MouseButtonLeft, 1, 1
		b.do("drag "+name, func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
			_, err := chromedp.Call(ctx, input.DispatchMouseEvent, e)
			return chromedp.Void{}, err
		})
	}
}

// The pictures of a technique follow the steps of the card, for either eye; on
// the sheet they are drawn for the eye of the case alone.
func TestTechniqueDrawn(t *testing.T) {
	s := startServer(t)
	for _, size := range []size{phone, upright, desk} {
		b := newTablet(t, s, size)
		b.open("/cards/" + chopCard)
		b.sees("Picture 1 of")
		for n := 2; n <= 4; n++ {
			b.tap("Next picture")
			b.sees(fmt.Sprintf("Picture %d of", n))
		}
		b.tap("left eye")
		b.sees("left eye · Picture 4 of")
		b.fits("drawing of the technique")
		b.oneRow(".drawn-tools.row > *")
		b.pictured("technique")
	}
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	b.open("/sheet/" + id + "/limits")
	b.tapUntil("Next", "Drawing of the technique")
	b.tap("Drawing of the technique")
	b.sees("Drawn for right eye")
	b.sees("First chop · right eye · Picture 1 of")
	b.pictured("technique-sheet")

	// The groove is cracked in its own step, and "Stop" is the turn.
	b.open("/cards/quillfeather-stop-and-chop")
	for n, words := range []string{"Incisions", "One groove", "One groove", "Stop", "Chop each half", "Pieces out"} {
		b.sees(fmt.Sprintf("%s · right eye · Picture %d of 6", words, n+1))
		if n < 5 {
			b.tap("Next picture")
		}
		if n == 2 {
			b.sees("The second instrument turns the nucleus in the bag")
		}
	}

	b.open("/cards/willowmarch-layer-by-layer")
	b.sees("There is no drawing of a technique of the unit's own.")
}

// oneRow holds that what the selector names stands side by side: a second row would push the picture off a phone.
func (b *tablet) oneRow(selector string) {
	b.t.Helper()
	apart, err := eval[float64](b, fmt.Sprintf(`(() => { const middles = [...document.querySelectorAll(%s)].map(e => { const r = e.getBoundingClientRect(); return r.top + r.height / 2; });
		return Math.max(...middles) - Math.min(...middles); })()`, quoted(selector)))
	if err == nil && apart > 20 {
		err = fmt.Errorf("%s stands in rows %.0f px apart", selector, apart)
	}
	if err != nil {
		b.t.Errorf("the buttons of the drawing: %v", err)
	}
}

// pictured shows the drawing at the middle of the screen in both looks and keeps a picture of each.
func (b *tablet) pictured(name string) {
	b.t.Helper()
	for _, look := range []string{"dim", "bright"} {
		b.wear(look)
		if _, err := eval[bool](b, `(document.querySelector(".drawn-now").scrollIntoView({block: "start", behavior: "instant"}), true)`); err != nil {
			b.t.Fatal(err)
		}
		b.settle()
		b.screenshot(name + "-" + look)
	}
}

// liesAt waits until the trolley's drawing has the item at the place, and nowhere else.
func (b *tablet) liesAt(name, place string) {
	b.t.Helper()
	script := fmt.Sprintf(`[...document.querySelectorAll(".trolley [data-place]")].filter(c => [...c.querySelectorAll(".thing")].some(e => e.innerText.includes(%s))).map(c => c.dataset.place).join(", ")`, quoted(name))
	eventually(b.t, fmt.Sprintf("%s lies at %s", name, place), func() error {
		at, err := eval[string](b, script)
		if err == nil && at != place {
			err = fmt.Errorf("it lies at %q", at)
		}
		return err
	})
}

// apart holds that no two things of the drawing lie on one another, as they are on the screen.
func (b *tablet) apart() {
	b.t.Helper()
	over, err := eval[string](b, `(() => { const all = [...document.querySelectorAll(".trolley .thing")].map(e => [e.innerText, e.getBoundingClientRect()]);
		for (const [i, [a, p]] of all.entries()) for (const [c, q] of all.slice(i + 1))
			if (p.left < q.right && q.left < p.right && p.top < q.bottom && q.top < p.bottom) return a + " and " + c;
		return all.length > 20 ? "" : "only " + all.length + " things are drawn"; })()`)
	if err == nil && over != "" {
		err = errors.New(over)
	}
	if err != nil {
		b.t.Errorf("the drawing of the trolley: %v", err)
	}
}

func (s *server) placeOf(key string) string {
	s.t.Helper()
	var body struct{ Items []struct{ Key, Place string } }
	if err := json.Unmarshal(s.document("card", chopCard).Body, &body); err != nil {
		s.t.Fatal(err)
	}
	for _, i := range body.Items {
		if i.Key == key {
			return i.Place
		}
	}
	s.t.Fatalf("the card has no item %s", key)
	return ""
}
