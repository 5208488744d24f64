package e2e

import "testing"

// There is little room on a phone, and none of it may be had by cutting words off.
func TestMenuWordsAreWhole(t *testing.T) {
	s := startServer(t)
	for _, size := range []size{{240, 500}, {320, 640}, phone, upright, desk} {
		b := newTablet(t, s, size)
		b.becomes(scrubNurse)
		b.open("/cards")
		b.sees("Find a card")
		b.holds("every place of the menu has its words whole", `[...document.querySelectorAll(".menu-item")].map(item => {
			const word = [...item.querySelectorAll(".menu-word")].find(w => w.checkVisibility()), room = item.getBoundingClientRect();
			if (!word || !word.innerText) return item.getAttribute("href") + " has no word";
			const inside = document.createRange(); inside.selectNodeContents(word); const r = inside.getBoundingClientRect();
			return r.left < room.left - 0.5 || r.right > room.right + 0.5 || r.right > innerWidth || r.bottom > room.bottom + 0.5 || word.scrollWidth > word.clientWidth + 1 ? word.innerText + " is cut off" : "";
		}).filter(Boolean).join("; ")`)
		b.shut()
	}
}

// The way to what a caution comes from lies beside its sign on a phone, so that it makes the box no taller.
func TestWhyOfACautionTakesNoLine(t *testing.T) {
	b := newTablet(t, startServer(t), phone)
	b.becomes(chopSurgeon)
	b.firstSheet()
	b.tapIn(".setup", "cautions")
	b.targets(".specials", 78)
	b.holds("no text of a caution stands below its own way to the reason", `[...document.querySelectorAll(".special")].filter(box => {
		const end = e => box.querySelector(e).getBoundingClientRect().bottom;
		return end(".why") > end(".special-text") + 1 || end("summary") > box.getBoundingClientRect().bottom;
	}).map(box => box.innerText).join("; ")`)
	b.tapIn(".special", "Why")
	b.holds("the reason opens below the text", `[...document.querySelectorAll(".special details[open]")].filter(w =>
		w.querySelector(".why-inside").getBoundingClientRect().top < w.parentElement.querySelector(".special-text").getBoundingClientRect().bottom).map(w => w.innerText).join("; ")`)
}
