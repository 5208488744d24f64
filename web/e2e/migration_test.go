package e2e

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"
)

// A tablet whose storage was filled by an earlier version of the program opens
// this one: everything it held is shown and kept. What waited was signed by
// nobody, on a device that the server had not let in yet: it is sent once, and
// set aside there, whole, with the reason on the screen. Every schema that was
// ever released has its dump in testdata/devices.
func TestStorageOfEarlierSchemas(t *testing.T) {
	for version, name := range map[int]string{1: "schema-1.json", 2: "schema-2.json"} {
		t.Run(name, func(t *testing.T) { opensStorageOf(t, version, name) })
	}
}

func opensStorageOf(t *testing.T, version int, name string) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	dump := readDump(t, name)
	before := s.document("card", chopCard)

	// What the dump calls sent is on this server too; the tablet has not read it back.
	sent := dump.store("sent").Entries[0].Value
	var edit map[string]any
	if err := json.Unmarshal([]byte(asText(t, sent["text"])), &edit); err != nil {
		t.Fatal(err)
	}
	dump.belongTo(t, s)
	s.makes(edit)
	if done, err := eval[bool](b, fmt.Sprintf(fill, dump.json(t))); err != nil || !done {
		t.Fatalf("fill the tablet's storage: %v, %v", done, err)
	}

	s.kill()
	if is := b.schema(); is != version {
		t.Fatalf("the tablet's storage has version %d, want the %d of the dump", is, version)
	}
	s.start()
	b.open("/waiting")
	b.sees("Nothing is waiting")
	b.sees(chopSurgeon + ", locked")
	b.sees("Answers from the server")
	b.sees("It was made on a device that is not enrolled in this unit.")
	if is := b.schema(); is < 3 {
		t.Errorf("the tablet's storage has version %d after the program was opened", is)
	}
	if look, err := eval[string](b, `document.documentElement.dataset.look`); err != nil || look != "bright" {
		t.Errorf("the look is %q, %v; want the bright one that was chosen", look, err)
	}
	caseID := asText(t, sent["doc"])
	b.open("/sheet/" + caseID + "/setup")
	b.sees("1 of ")
	b.open("/cards/" + chopCard)
	b.sees(chopTitle)

	if after := s.document("card", chopCard); after.Rev != before.Rev {
		t.Errorf("the card went from revision %d to %d by an edit that nobody signed", before.Rev, after.Rev)
	}
	waited := asText(t, dump.store("outbox").Entries[0].Value["id"])
	if aside, err := s.get("/api/v1/set-aside"); err != nil || !strings.Contains(string(aside), `"id":"`+waited+`"`) {
		t.Errorf("the edit that waited is not set aside (%v): %.500s", err, aside)
	}
	if got := s.document("case", caseID); got.Rev != 1 {
		t.Errorf("the case is at revision %d, want 1: it had been received", got.Rev)
	}
	own, err := eval[[]string](b, ownEdits)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{asText(t, sent["id"]), waited}
	if strings.Join(own, " ") != strings.Join(want, " ") {
		t.Errorf("the tablet keeps %q as its own received edits, want the one received before and the one sent now: %q", own, want)
	}
}

// dump is the storage of a device as it was stored under testdata/devices.
type dump struct {
	About   string      `json:"about"`
	Version int         `json:"version"`
	Stores  []dumpStore `json:"stores"`
}

type dumpStore struct {
	Name          string          `json:"name"`
	KeyPath       *string         `json:"keyPath"`
	AutoIncrement bool            `json:"autoIncrement"`
	Indexes       json.RawMessage `json:"indexes"`
	Entries       []struct {
		Key   json.RawMessage `json:"key"`
		Value value           `json:"value"`
	} `json:"entries"`
}

// value is a stored object; anything else is kept under the empty name.
type value map[string]json.RawMessage

func (v *value) UnmarshalJSON(b []byte) error {
	var fields map[string]json.RawMessage
	if json.Unmarshal(b, &fields) != nil {
		fields = map[string]json.RawMessage{"": append(json.RawMessage(nil), b...)}
	}
	*v = fields
	return nil
}

func (v value) MarshalJSON() ([]byte, error) {
	if plain, ok := v[""]; ok {
		return plain, nil
	}
	return json.Marshal(map[string]json.RawMessage(v))
}

func readDump(t *testing.T, name string) *dump {
	t.Helper()
	b, err := os.ReadFile("../../testdata/devices/" + name)
	if err != nil {
		t.Fatal(err)
	}
	d := &dump{}
	if err := json.Unmarshal(b, d); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return d
}

func (d *dump) store(name string) *dumpStore {
	for i := range d.Stores {
		if d.Stores[i].Name == name {
			return &d.Stores[i]
		}
	}
	return &dumpStore{}
}

// belongTo puts the place of a running server where the dump has that of the
// server it was taken at: each has an epoch of its own.
func (d *dump) belongTo(t *testing.T, s *server) {
	t.Helper()
	at, seq := s.place()
	epoch, _ := json.Marshal(at)
	here, _ := json.Marshal(seq)
	next, _ := json.Marshal(seq + 1)
	for _, e := range d.store("meta").Entries {
		if string(e.Key) == `"mirror"` {
			e.Value["epoch"], e.Value["seq"] = epoch, here
		}
	}
	for _, e := range d.store("sent").Entries {
		e.Value["epoch"], e.Value["seq"] = epoch, next
	}
}

func (d *dump) json(t *testing.T) string {
	t.Helper()
	b, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func asText(t *testing.T, raw json.RawMessage) string {
	t.Helper()
	var s string
	if err := json.Unmarshal(raw, &s); err != nil {
		t.Fatal(err)
	}
	return s
}

// fill makes the storage that a dump describes.
const fill = `(dump => new Promise((ok, no) => { const open = indexedDB.open("sideport", dump.version);
	open.onerror = () => no(open.error);
	open.onupgradeneeded = () => { for (const s of dump.stores) {
		const store = open.result.createObjectStore(s.name, {keyPath: s.keyPath, autoIncrement: s.autoIncrement});
		for (const i of s.indexes) store.createIndex(i.name, i.keyPath, {unique: i.unique});
		for (const e of s.entries) s.keyPath === null ? store.put(e.value, e.key) : store.put(e.value); } };
	open.onsuccess = () => { open.result.close(); ok(true); }; }))(%s)`

const ownEdits = `new Promise((ok, no) => { const r = indexedDB.open("sideport"); r.onerror = () => no(r.error); r.onsuccess = () => {
	const all = r.result.transaction("own").objectStore("own").getAll(); all.onerror = () => no(all.error);
	all.onsuccess = () => { r.result.close(); ok(all.result.map(e => e.id)); }; }; })`

// schema is the version of the tablet's storage.
func (b *tablet) schema() int {
	b.t.Helper()
	version, err := eval[int](b, `indexedDB.databases().then(all => (all.find(d => d.name === "sideport") || {version: 0}).version)`)
	if err != nil {
		b.t.Fatal(err)
	}
	return version
}
