package e2e

import (
	"errors"
	"strings"
	"testing"
)

// Mistakes that programs of this kind have made, planted into the page before
// it starts. A battery that does not notice them is worth nothing.

// onSending wraps what the page sends: change may rewrite the edits, and answer the reply.
const onSending = `const send = window.fetch;
	window.fetch = async (path, init) => {
		if (path !== "/api/v1/edits" || init?.method !== "POST") return send(path, init);
		const request = JSON.parse(init.body);
		const answer = await change(request);
		const response = await send(path, { ...init, body: JSON.stringify(request) });
		return answer ? answer(response) : response;
	};`

// parentRefreshed is last writer wins: every edit claims to have been made from the newest revision.
const parentRefreshed = `const change = async request => {
			const { docs } = await (await send("/api/v1/snapshot")).json();
			for (const e of request.edits) { // once for each edit: the server refuses an id that comes again with other contents
				const newest = docs.find(d => d.kind === e.kind && d.id === e.doc).rev;
				e.parent = Number(localStorage.getItem(e.id) ?? newest); localStorage.setItem(e.id, e.parent); delete e.after;
			}
		};` + onSending

type planted struct {
	name, script string
	row          func(w *witness, l *line, b *tablet) error
	caught       string // what the row must say
	slow         bool   // planted in the long form only
}

func plantedFaults() []planted {
	return []planted{
		{"told before it is stored", `const add = IDBObjectStore.prototype.add;
		IDBObjectStore.prototype.add = function (value) {
			if (this.name !== "outbox") return add.apply(this, arguments);
			const db = this.transaction.db;
			setTimeout(() => add.call(db.transaction("outbox", "readwrite").objectStore("outbox"), value), 60_000);
			return this.count();
		};`, keptThenLoadedAgain, "the server never got it", false},
		{"any page that says 200 is a receipt", `const change = request => response => response.ok && new Response(JSON.stringify({ protocol: 1, epoch: "", seq: 0,
			receipts: request.edits.map(e => ({ id: e.id, outcome: "applied", kind: e.kind, doc: e.doc, rev: 0, seq: 0 })) }));` + onSending, keptBehindASignInPage, "the server never got it", false},
		{"a new id for every try", `const change = request => {
			const ids = request.edits.map(e => [e.id, e.id = crypto.randomUUID().replaceAll("-", "")]);
			return async response => new Response(ids.reduce((text, [old, fresh]) => text.replaceAll(fresh, old), await response.text()), response);
		};` + onSending, replyCut, "set aside was", false},
		{"newest first", `const change = request => void request.edits.sort((a, b) => a.made < b.made ? 1 : -1);` + onSending, twoInOrder, "the history has the order", false},
		{"parent refreshed on sending", parentRefreshed, samePhaseInTwoTabs, "is neither on the card", false},
		{"waiting edits dropped by the next version", `document.addEventListener("DOMContentLoaded", () => {
			if (document.querySelector("meta[name=build]")?.content !== "` + nextBuild + `") return;
			const r = indexedDB.open("sideport"); r.onsuccess = () => r.result.transaction("outbox", "readwrite").objectStore("outbox").clear();
		});`, updatedLater, "the server never got it", true},
	}
}

// Ensure that every planted fault is caught by the row it would do its harm in.
func TestBatteryPlantedFaults(t *testing.T) {
	s := startServer(t)
	l := newLine(t, s)
	for _, p := range plantedFaults() {
		if p.slow && !*long {
			continue
		}
		t.Run(p.name, func(t *testing.T) {
			l.puts(nil)
			b := newTablet(t, l.server, upright) // with nothing in it that an earlier fault left
			b.plants(p.script)
			b.becomes(chopSurgeon)
			err := p.row(witnesses(s), l, b)
			if err == nil || !strings.Contains(err.Error(), p.caught) {
				t.Fatalf("the row says %v, want %q", err, p.caught)
			}
			t.Logf("caught: %v", strings.ReplaceAll(err.Error(), "\n", "; "))
		})
	}
}

func (b *tablet) plants(script string) {
	b.t.Helper()
	b.expectComplaints("a fault is planted into the page")
	b.injects(script)
}

func keptThenLoadedAgain(w *witness, l *line, b *tablet) error {
	l.puts(away)
	b.changes(w.means("chop", "301"))
	b.open("/waiting")
	l.puts(nil)
	b.sends()
	return w.judge()
}

func keptBehindASignInPage(w *witness, l *line, b *tablet) error {
	l.puts(sending(signIn()))
	b.changes(w.means("chop", "302"))
	l.wasMet()
	b.sends()
	l.puts(nil)
	return w.judge()
}

func replyCut(w *witness, l *line, b *tablet) error {
	l.puts(sending(cut(0.5)))
	b.changes(w.means("chop", "303"))
	l.wasMet()
	l.puts(nil)
	b.sends()
	return w.judge()
}

func twoInOrder(w *witness, l *line, b *tablet) error {
	l.puts(away)
	earlier, later := w.means("segment-removal", "304"), w.means("epinucleus", "305")
	b.changes(earlier)
	b.changes(later)
	l.puts(nil)
	b.sends()
	return errors.Join(w.judge(), w.order(earlier, later))
}

func updatedLater(w *witness, l *line, b *tablet) error {
	b.installed()
	return w.updated(l, b, drawn(*seed))
}

func samePhaseInTwoTabs(w *witness, l *line, b *tablet) error {
	other := b.tab()
	other.plants(parentRefreshed)
	return w.inTwoTabs(l, b, other, [2]string{"chop", "chop"}, 1, drawn(*seed))
}
