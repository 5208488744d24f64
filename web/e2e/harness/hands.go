package harness

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// The scripts below find what a person would find, in any browser. Each is an
// expression; those that wait give a promise.

// Finder finds something visible with these words on it.
const Finder = `(words, kinds) => {
	const seen = e => { const r = e.getBoundingClientRect(); return r.width > 0 && r.height > 0 && getComputedStyle(e).visibility !== "hidden" };
	const says = e => ((e.getAttribute("aria-label") || "") + " " + (e.innerText || e.value || "")).replace(/\s+/g, " ").trim();
	const all = [...document.querySelectorAll(kinds)].filter(e => seen(e) && !e.disabled);
	const exact = all.find(e => says(e) === words || (e.innerText || "").replace(/\s+/g, " ").trim() === words || e.getAttribute("aria-label") === words);
	return exact || all.find(e => says(e).includes(words));
}`

const tappable = `button, a, summary, label, [role=button], [role=tab], [role=radio], [role=checkbox], [role=switch], input[type=button], input[type=submit]`

// Spot is where a press would go, as the script of FindSpot gives it; nil when nothing has the words.
type Spot struct {
	X, Y        float64
	Still, Free bool
}

// Wrong says why a press there would be none; the text of the screen helps whoever reads it.
func (s *Spot) Wrong(text string) error {
	switch {
	case s == nil:
		return fmt.Errorf("nothing with these words; the screen says: %.1500s", text)
	case !s.Still:
		return errors.New("it is moving")
	case !s.Free:
		return errors.New("something lies over it")
	}
	return nil
}

// FindSpot is the script that finds where to press what carries the words inside the selector, or anywhere for "document".
// A finger goes to what stands still: the element must be at the same place two frames later.
func FindSpot(selector, words string) string {
	scope := tappable
	if selector != "document" {
		parts := strings.Split(tappable, ", ")
		for i, p := range parts {
			parts[i] = selector + " " + p
		}
		scope = strings.Join(parts, ", ")
	}
	return fmt.Sprintf(`(async () => { const e = (%s)(%s, %s); if (!e) return null;
		e.scrollIntoView({block: "center", behavior: "instant"}); const before = e.getBoundingClientRect();
		for (let frame = 0; frame < 2; frame++) await new Promise(next => { requestAnimationFrame(next); setTimeout(next, 500); }); // a browser short of time may draw no frame
		const r = e.getBoundingClientRect(), x = r.x + r.width/2, y = r.y + r.height/2, top = document.elementFromPoint(x, y);
		window.tapped = null; addEventListener("click", c => { window.tapped = e === c.target || e.contains(c.target) || (e.control !== undefined && e.control === c.target); }, {capture: true, once: true});
		return {x, y, still: r.x === before.x && r.y === before.y, free: top !== null && (e.contains(top) || top.contains(e))}; })()`, Finder, Quoted(words), Quoted(scope))
}

// HasLanded is the script that says whether the last press reached what it was meant for: null when it reached nothing,
// true as well when it opened another page.
const HasLanded = `window.tapped === undefined ? true : window.tapped`

// Landed judges what HasLanded gave. On a slow machine the page may have drawn something above what was pressed in
// between; then nothing that was pressed may count, and the press is made again.
func Landed(hit *bool, lost error) error {
	switch {
	case lost != nil:
		return nil // the page went away under the press, which is what it was for
	case hit == nil:
		return errors.New("the press reached nothing")
	case !*hit:
		return errors.New("the press reached something else")
	}
	return nil
}

// FocusField is the script that puts the focus into the field with the label and selects what is in it; it gives what is
// wrong, or nothing. Keys typed before the field has the focus go nowhere, as they would under a person's finger.
func FocusField(label string) string {
	return fmt.Sprintf(`(() => { const words = %s;
		const named = e => (e.getAttribute("aria-label") || "") + " " + [...(e.labels || [])].map(l => l.innerText).join(" ");
		const f = [...document.querySelectorAll("input, textarea")].find(e => named(e).replace(/\s+/g, " ").includes(words));
		if (!f) return "no such field"; f.scrollIntoView({block: "center", behavior: "instant"}); f.focus(); f.select();
		return document.activeElement === f ? "" : "the field does not take the focus: what it stands in is not open yet"; })()`, Quoted(label))
}

// Text is the script of what the screen says, with white space folded. A long card comes part after part: what it says is
// not known before all of it is there.
const Text = `(() => { if (document.querySelector("main [aria-busy=true]:not(button)")) throw new Error("the screen is still being drawn");
	return document.body.innerText.replace(/\s+/g, " "); })()`

// Installed is the script that says whether everything needed offline is on the tablet: the worker active and the core, which is fetched last, in its store.
const Installed = `navigator.serviceWorker.getRegistration().then(async r => { if (!r || !r.active) return false;
	for (const name of await caches.keys()) for (const request of await (await caches.open(name)).keys())
		if (request.url.endsWith(".wasm")) return true;
	return false; })`

// Quoted is the text as a script says it.
func Quoted(s string) string {
	b, err := json.Marshal(s)
	if err != nil {
		panic(err)
	}
	return string(b)
}
