package e2e

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
)

// writesVacuum changes the vacuum of the chop from elsewhere, as the card's owner, counted from the card as it stands.
func (s *server) writesVacuum(n int, value string) {
	s.t.Helper()
	now := s.document("card", chopCard)
	var body map[string]any
	if err := json.Unmarshal(now.Body, &body); err != nil {
		s.t.Fatal(err)
	}
	element(body, "phases", "chop")["limits"].(map[string]any)["vacuum"] = value
	s.makes(map[string]any{"id": strings.Repeat(fmt.Sprint(n), 32), "kind": "card", "doc": chopCard, "parent": now.Rev,
		"author": "kofi-brambledene", "made": "2026-11-25T08:00:00Z", "reason": "elsewhere", "body": body})
}

// A value is kept as the card writes it, however it was typed, and taken back from there. What it was stands beside it
// while the card says what was kept here: not once it is taken back, changed elsewhere, or somebody signed out.
func TestOneValueAndWhatItWas(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.open("/")
	h := &hand{tablet: b}

	h.presses(".own", "Vacuum 400 mmHg")
	h.thumbs("390.0")
	h.presses("dialog", "Keep the change")
	b.sees("Chop vacuum 400 → 390 mmHg")
	b.sees("Was 400 mmHg.")
	b.tapIn(".toast", "Undo")
	b.sees("Taken back. It is 400 mmHg again")
	b.isGone(".limits-was")

	h.presses(".own", "Vacuum 400 mmHg")
	h.thumbs("390")
	h.presses("dialog", "Keep the change")
	b.sees("Was 400 mmHg.")
	s.wantLimit("chop", "vacuum", "390")
	s.writesVacuum(1, "385")
	b.sees("Vacuum 385 mmHg")
	b.isGone(".limits-was")

	h.presses(".own", "Vacuum 385 mmHg")
	h.thumbs("370")
	h.presses("dialog", "Keep the change")
	b.sees("Was 385 mmHg.")
	b.goes("/person")
	b.tap("Sign out")
	b.signsIn(chopSurgeon)
	b.goes("/")
	b.sees("Vacuum 370 mmHg")
	b.isGone(".limits-was")
}

// A draft that changes nothing is begun anew from the card as it stands, and where one does change something the panel
// still says what is on the card now. The reason is part of what was typed and stays with it.
func TestOneValueAfterTheCardMoved(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.open("/")
	h := &hand{tablet: b}
	h.presses(".own", "Vacuum 400 mmHg")
	h.thumbs("390")
	b.write("Vacuum", "400") // as it was, and the page goes before the panel is closed
	s.writesVacuum(1, "385")
	b.open("/")
	h.presses(".own", "Vacuum 385 mmHg")
	b.showsValues("385 mmHg", "385 mmHg")

	b.write("Vacuum", "370")
	b.write("Reason, in one line", "Softer this week")
	b.besidePanel()
	b.sees("Not kept. What you typed stays here")
	s.writesVacuum(2, "355")
	b.sees("Vacuum 355 mmHg")
	h.presses(".own", "Vacuum 355 mmHg")
	b.showsValues("355 mmHg", "370 mmHg")
	b.holds("the reason is there", `[...document.querySelectorAll("dialog input, dialog textarea")].some(e => e.value === "Softer this week") ? "" : "there is: " + [...document.querySelectorAll("dialog input, dialog textarea")].map(e => e.value)`)
}

// showsValues holds what the panel says is on the card, and what it would become.
func (b *tablet) showsValues(onCard, becomes string) {
	b.t.Helper()
	want := quoted(onCard + " → " + becomes)
	b.holds("the panel says "+want, fmt.Sprintf(`(is => is === %s ? "" : "it says " + (document.querySelector("dialog") ?? document.querySelector("#content")).innerText)([...document.querySelectorAll(".change-values dd")].map(e => e.innerText.replace(/\s+/g, " ").trim()).join(" → "))`, want))
}

// Where the browser refuses to store what is typed, nobody is told that it stays.
func TestOneValueWhereDraftsAreRefused(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	b.injects(`Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };`)
	b.open("/")
	h := &hand{tablet: b}
	h.presses(".own", "Vacuum 400 mmHg")
	h.thumbs("390")
	b.sees("This browser refuses to store drafts")
	b.besidePanel()
	b.sees("Not kept, and what you typed is lost")
}

// Where the panel cannot be read a touch on a number says so and leaves the page as it is, and the next touch asks again.
func TestOneValueWherePanelIsMissing(t *testing.T) {
	l := newLine(t, startServer(t))
	b := newTablet(t, l.server, phone)
	b.expectComplaints("the panel cannot be read")
	l.puts(func(_ *line, w http.ResponseWriter, r *http.Request) bool {
		if !strings.HasPrefix(r.URL.Path, "/assets/desk-") {
			return false
		}
		http.NotFound(w, r)
		return true
	})
	b.open("/cards/" + chopCard + "?at=limits")
	b.sees("Vacuum")
	b.remembers("me", "kofi-brambledene")
	b.open("/cards/" + chopCard + "?at=limits")
	for range 2 {
		b.tapIn("#content .phase", "Vacuum 400 mmHg")
		b.sees("This screen could not be read on this device")
		b.sees("400 mmHg")
		b.tapIn(".toast", "Close")
		b.gone("This screen could not be read on this device")
	}
	l.wasMet()
}

// remembers writes what the device remembers.
func (b *tablet) remembers(key, value string) {
	b.t.Helper()
	b.runs(fmt.Sprintf(`await new Promise((done, failed) => {
		const opening = indexedDB.open("sideport");
		opening.onerror = () => failed(opening.error);
		opening.onsuccess = () => {
			const db = opening.result, tx = db.transaction("meta", "readwrite");
			tx.objectStore("meta").put(%s, %s);
			tx.oncomplete = () => { db.close(); done(); };
			tx.onabort = () => failed(tx.error);
		};
	})`, quoted(value), quoted(key)))
}
