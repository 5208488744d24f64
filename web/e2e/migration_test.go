package e2e

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"strings"
	"testing"
)

// A tablet whose storage was filled by an earlier version of the program opens
// this one: everything it held is shown, and what waited is sent once. Every
// schema that was ever released has its dump in testdata/devices.
func TestStorageOfTheFirstSchema(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	dump := readDump(t, "schema-1.json")
	dump.belongTo(t, s)
	before := s.document("card", chopCard)

	// What the dump calls sent is on this server too; the tablet has not read it back.
	sent := dump.store("sent").Entries[0].Value
	s.push(asText(t, sent["text"]))
	b.open("/licences.txt") // a page of the same origin that leaves the storage alone
	if done, err := eval[bool](b, fmt.Sprintf(fill, dump.json(t))); err != nil || !done {
		t.Fatalf("fill the tablet's storage: %v, %v", done, err)
	}

	s.kill()
	if version := b.schema(); version != 1 {
		t.Fatalf("the tablet's storage has version %d, want the 1 of the dump", version)
	}
	s.start()
	b.open("/waiting")
	b.sees("Nothing is waiting")
	b.sees(chopSurgeon)
	b.sees("Answers from the server")
	if version := b.schema(); version < 2 {
		t.Errorf("the tablet's storage has version %d after the program was opened", version)
	}
	if look, err := eval[string](b, `document.documentElement.dataset.look`); err != nil || look != "bright" {
		t.Errorf("the look is %q, %v; want the bright one that was chosen", look, err)
	}
	caseID := asText(t, sent["doc"])
	b.open("/sheet/" + caseID + "/setup")
	b.sees("1 of ")
	b.open("/cards/" + chopCard)
	b.sees(chopTitle)
	b.sees("Revision 2")

	if after := s.document("card", chopCard); after.Rev != before.Rev+1 || s.chopVacuum() != "390" {
		t.Errorf("the card went from revision %d to %d and its chop vacuum is %s mmHg; want one revision more, with 390", before.Rev, after.Rev, s.chopVacuum())
	}
	if got := s.document("case", caseID); got.Rev != 1 {
		t.Errorf("the case is at revision %d, want 1: it had been received", got.Rev)
	}
	own, err := eval[[]string](b, ownEdits)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{asText(t, sent["id"]), asText(t, dump.store("outbox").Entries[0].Value["id"])}
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
	body, err := s.get("/api/v1/health")
	if err != nil {
		t.Fatal(err)
	}
	var place struct {
		Epoch string
		Seq   int
	}
	if err := json.Unmarshal(body, &place); err != nil {
		t.Fatal(err)
	}
	epoch, _ := json.Marshal(place.Epoch)
	here, _ := json.Marshal(place.Seq)
	next, _ := json.Marshal(place.Seq + 1)
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

// push sends one edit as a device would.
func (s *server) push(edit string) {
	s.t.Helper()
	body := `{"protocol":1,"device":"11111111111111111111111111111111","edits":[` + edit + `]}`
	req, err := http.NewRequest(http.MethodPost, s.url("/api/v1/edits"), strings.NewReader(body))
	if err != nil {
		s.t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Sideport-Request", "1")
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		s.t.Fatal(err)
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		s.t.Fatal(errors.New(resp.Status))
	}
}
