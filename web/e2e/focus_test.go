package e2e

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Every screen is walked with the tab key alone, from its first stop to its
// last: everything that can be used is reached, in the order of the page, is
// seen to have the focus, is not covered (WCAG 2.2, success criteria 2.1.1,
// 2.4.3, 2.4.7 and 2.4.11), and nothing keeps the focus (2.1.2).
func TestWalkedByKeyboard(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	for _, g := range []glass{{"phone", phone}, {"desk", desk}, {"desk at 200 %", size{640, 400}}} {
		b.behind(g.size)
		for _, screen := range screens {
			t.Run(g.name+"/"+screen.name, func(t *testing.T) {
				b.t = t
				b.show(screen, id)
				b.walks()
			})
		}
	}
	b.t = t
}

// calm waits until nothing on the page has changed for a while.
const calm = `new Promise(done => { let timer; const quiet = () => { clearTimeout(timer); timer = setTimeout(() => { watch.disconnect(); done(true); }, 400); };
	const watch = new MutationObserver(quiet); watch.observe(document, {subtree: true, childList: true, attributes: true, characterData: true}); quiet(); })`

// walking is brought into the page before the first press of the tab key.
const walking = `(() => {
	const seen = e => e.checkVisibility({visibilityProperty: true}) && !e.closest("[inert]");
	const groups = new Set();
	const once = e => { if (e.type !== "radio") return true; // a group of choices is one stop: the chosen one or the first
		if (groups.has(e.name) || (!e.checked && document.querySelector('input[type=radio][name="' + e.name + '"]:checked'))) return false;
		return groups.add(e.name) && true; };
	const name = e => e.tagName.toLowerCase() + " " + (e.ariaLabel || e.innerText || e.labels?.[0]?.innerText || e.className || "").replace(/\s+/g, " ").slice(0, 60);
	const ringed = e => [e, e.parentElement, ...e.parentElement.children].some(x => { const s = getComputedStyle(x); return s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2; });
	const covered = e => { const box = (e.labels?.[0] && e.getBoundingClientRect().width < 3 ? e.labels[0] : e), r = box.getBoundingClientRect(); let by = null;
		for (const x of [.5, .1, .9]) for (const y of [.5, .1, .9]) { const top = document.elementFromPoint(r.x + r.width * x, r.y + r.height * y);
			if (top && (box.contains(top) || top.contains(box) || e.contains(top))) return "";
			by ??= top; }
		return by ? "it is covered by " + name(by) : "it is not on the screen, but at " + Math.round(r.x) + ", " + Math.round(r.y); };
	const first = document.createElement("i"); // the walk begins where it stood
	first.tabIndex = -1;
	document.body.prepend(first);
	first.focus();
	first.remove();
	window.walk = {
		stops: [...document.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex='0']")].filter(e => !e.disabled && e.tabIndex >= 0 && seen(e) && once(e)),
		been: [],
		step() { const e = document.activeElement, last = this.been.at(-1);
			if (!e || e === document.body || e === this.been[0]) return {end: true, wrong: []};
			const wrong = [];
			if (e === last) wrong.push("the focus stays at it");
			if (last && !(last.compareDocumentPosition(e) & Node.DOCUMENT_POSITION_FOLLOWING)) wrong.push("it stands before the stop before it, " + name(last));
			if (!ringed(e)) wrong.push("nothing shows that it has the focus");
			if (covered(e)) wrong.push(covered(e));
			this.been.push(e);
			return {end: false, wrong: wrong.map(w => name(e) + ": " + w)}; },
		missed() { return this.stops.filter(e => !this.been.includes(e) && e.isConnected && seen(e)).map(name); },
	};
	return window.walk.stops.length; })()`

// walks presses the tab key until the focus leaves the page or comes back to the first stop.
func (b *tablet) walks() {
	b.t.Helper()
	if _, err := eval[bool](b, calm); err != nil { // a screen that opens at one of its parts goes there when it is drawn
		b.t.Fatal(err)
	}
	stops, err := eval[int](b, walking)
	if err != nil {
		b.t.Fatal(err)
	}
	for press := 0; ; press++ {
		if press > stops+30 {
			b.t.Fatalf("after %d presses the focus has not left the page, which has %d stops", press, stops)
		}
		b.press(kb.Tab)
		step, err := eval[struct {
			End   bool
			Wrong []string
		}](b, "walk.step()")
		if err != nil {
			b.t.Fatal(err)
		}
		for _, w := range step.Wrong {
			b.t.Error(w)
		}
		if step.End {
			break
		}
	}
	missed, err := eval[[]string](b, "walk.missed()")
	if err != nil || len(missed) > 0 {
		b.t.Errorf("not reached with the tab key: %s %v", strings.Join(missed, "; "), err)
	}
}

// What changes by itself or out of sight is said in a polite region that was on
// the page before (WCAG 2.2, success criterion 4.1.3, status messages): a
// region that comes with its words is not spoken by every screen reader.
func TestChangesAreSaid(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	b.installed()

	b.open("/sheet/" + id + "/setup")
	b.sees("Lid speculum")
	b.listens()
	b.tapIn("main", "Lid speculum")
	b.sees("1 of ")
	b.tapUntil("Lid speculum", "0 of ")
	b.says("Lid speculum")

	b.open("/sheet/" + id + "/aloud?pause=sign%20in")
	b.sees("Start")
	b.listens()
	b.begins()
	b.tapUntil("Answered", "Stored")
	b.says("Is it the same as what was just said?")

	b.open("/cards")
	b.sees("Find a card")
	b.listens()
	b.write("Find a card", "flip")
	b.says("card")

	b.open("/cards/" + chopCard)
	b.sees(chopTitle)
	b.listens()
	s.kill()
	b.says("no network")
	b.open("/cards/" + chopCard + "/edit?part=limits&phase=chop")
	b.write("Vacuum", "390")
	b.tap("Look and keep")
	b.write("Reason, in one line", "Softer today")
	b.listens()
	b.tap("Keep")
	b.says("Kept on this device.")
	b.says("1 edit waiting")
}

const polite = `[aria-live="polite"], [role="status"]`

// listens remembers the regions that are spoken from.
func (b *tablet) listens() {
	b.t.Helper()
	n, err := eval[int](b, `(window.regions = [...document.querySelectorAll(`+quoted(polite)+`)]).length`)
	if err == nil && n == 0 {
		err = errors.New("no polite region")
	}
	if err != nil {
		b.t.Fatal(err)
	}
}

// says waits until one of the regions that were there before has the words.
func (b *tablet) says(words string) {
	b.t.Helper()
	eventually(b.t, fmt.Sprintf("%q is said", words), func() error {
		all, err := eval[[]string](b, `window.regions.filter(e => e.isConnected).map(e => e.textContent)`)
		if err == nil && !strings.Contains(strings.Join(all, "\n"), words) {
			err = fmt.Errorf("the regions say %q", all)
		}
		return err
	})
}

// For who asked the system for less motion nothing moves (WCAG 2.2, success
// criterion 2.3.3): no screen has anything that does, and what would move is
// stopped by the style of every screen, as a planted one shows.
func TestReducedMotion(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	planted, err := eval[string](b, `(() => { const e = document.body.appendChild(document.createElement("p")); e.style.transition = "all 1s"; return e.tagName; })()`)
	if moving := b.moves(); err != nil || len(moving) != 1 || !strings.HasPrefix(moving[0], planted) {
		t.Fatalf("what was planted moves, and nothing else: %q %v", moving, err)
	}
	b.prefers("reduce")
	if moving := b.moves(); len(moving) > 0 {
		t.Fatalf("what was planted is not stopped: %q", moving)
	}
	for _, screen := range screens {
		b.show(screen, id)
		if moving := b.moves(); len(moving) > 0 {
			t.Errorf("%s: these move: %s", screen.name, strings.Join(moving, "; "))
		}
	}
}

// prefers answers the media feature prefers-reduced-motion.
func (b *tablet) prefers(motion string) {
	b.t.Helper()
	b.do("prefer "+motion, func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: motion}}})
		return chromedp.Void{}, err
	})
}

// moves names what has a transition or an animation.
func (b *tablet) moves() []string {
	b.t.Helper()
	found, err := eval[[]string](b, `[...document.querySelectorAll("*")].flatMap(e => ["", "::before", "::after"].filter(p => { const s = getComputedStyle(e, p || null);
		return s.animationName !== "none" || s.scrollBehavior === "smooth" || s.transitionDuration.split(",").some(d => parseFloat(d) > 0); }).map(p => e.tagName + "." + e.className + p))`)
	if err != nil {
		b.t.Fatal(err)
	}
	return found
}
