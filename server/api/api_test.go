package api_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"sideport/cards"
	"sideport/checklist"
	"sideport/server/api"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store"
	"sideport/server/store/storetest"
	"sideport/server/vault"
	"sideport/web"
)

// bundle is a client small enough to read.
func bundle() *web.Bundle {
	return &web.Bundle{Build: "build-1", Files: map[string]web.File{
		web.Index: {Path: web.Index, Type: "text/html; charset=utf-8", Raw: []byte("<!doctype html>page"), Brotli: []byte("page in br"),
			Gzip: []byte("page in gzip"), ETag: `"page"`},
		"assets/app-0a1b.js": {Path: "assets/app-0a1b.js", Type: "text/javascript; charset=utf-8", Raw: []byte("script"), ETag: `"script"`, Immutable: true},
		"sw.js":              {Path: "sw.js", Type: "text/javascript; charset=utf-8", Raw: []byte("worker"), ETag: `"worker"`},
	}}
}

// server is an API on a port of its own with a store of its own.
type server struct {
	*client // a tablet that is enrolled, with Anna signed in
	t       *testing.T
	url     string
	store   *store.Store
	doors   *people.Doors
	api     *api.API
	pins    map[cards.PersonID]string
	log     *lockedBuffer
	passed  atomic.Int64 // how much later than its start it is, in nanoseconds
}

func start(t *testing.T) *server {
	t.Helper()
	return startOn(t, func(s *store.Store) api.Store { return s })
}

// startOn is start with something between the API and its store.
func startOn(t *testing.T, over func(*store.Store) api.Store) *server {
	t.Helper()
	srv := startWith(t, over, func(*api.Config) {})
	srv.client = srv.enrol("Tablet of the tests").signIn("anna")
	return srv
}

// lockedBuffer is a log that several write to.
type lockedBuffer struct {
	mu sync.Mutex
	bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.Buffer.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.Buffer.String()
}

// startWith starts a server on which nobody is enrolled.
func startWith(t *testing.T, over func(*store.Store) api.Store, change func(*api.Config)) *server {
	t.Helper()
	return startUnit(t, over, change, true)
}

// startUnset starts a server whose unit has people and no lead that could sign in.
func startUnset(t *testing.T) *server {
	t.Helper()
	return startUnit(t, func(s *store.Store) api.Store { return s }, func(*api.Config) {}, false)
}

func startUnit(t *testing.T, over func(*store.Store) api.Store, change func(*api.Config), setUp bool) *server {
	t.Helper()
	dir := t.TempDir()
	if err := store.Create(dir, store.Random); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	employ(t, s)
	log := &lockedBuffer{}
	logger := slog.New(slog.NewJSONHandler(log, nil))
	srv := &server{t: t, store: s, pins: map[cards.PersonID]string{}, log: log}
	now := func() time.Time { return storetest.Start.Add(time.Duration(srv.passed.Load())) }
	doors, err := people.Open(people.Config{Store: vault.Of(s), Now: now, Random: store.Random, Log: logger})
	if err != nil {
		t.Fatal(err)
	}
	srv.doors = doors
	if setUp {
		srv.pinOf("anna") // a unit whose lead has a PIN is set up
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	config := api.Config{Store: over(s), Doors: doors, Assets: bundle(), Now: now,
		Log: logger, Heartbeat: 20 * time.Millisecond, Operator: "word of the operator",
		Backup: func(name string) (api.Backup, error) {
			if name == "taken" {
				return api.Backup{}, fmt.Errorf("%w: taken", fs.ErrExist)
			}
			return api.Backup{Path: "/backups/" + name}, nil
		}}
	change(&config)
	a := api.New(config)
	served := make(chan error, 1)
	go func() { served <- a.Serve(l) }()
	srv.url, srv.api = "http://"+l.Addr().String(), a
	srv.waitUntilUp()
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		if err := errors.Join(a.Close(ctx), <-served); err != nil {
			t.Error(err)
		}
		report, err := s.Verify(store.Full)
		if err != nil || len(report.Findings) > 0 {
			t.Errorf("verify: %v, %v", report.Findings, err)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return srv
}

func (s *server) waitUntilUp() {
	s.t.Helper()
	for range 100 {
		if answer, err := http.Get(s.url + "/api/v1/health"); err == nil {
			answer.Body.Close()
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	s.t.Fatal("the server does not answer")
}

// answer is what came back.
type answer struct {
	status int
	header http.Header
	body   []byte
}

func (a answer) code() string {
	var e api.Error
	if json.Unmarshal(a.body, &e) != nil {
		return ""
	}
	return string(e.Code)
}

// send sends one request as it is told to.
func (s *server) send(method, path, body string, headers ...string) answer {
	s.t.Helper()
	r, err := http.NewRequest(method, s.url+path, strings.NewReader(body))
	if err != nil {
		s.t.Fatal(err)
	}
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Sideport-Request", "1")
	}
	for i := 0; i < len(headers); i += 2 {
		switch headers[i] {
		case "Host":
			r.Host = headers[i+1]
		default:
			r.Header.Set(headers[i], headers[i+1])
		}
		if headers[i+1] == "" {
			r.Header.Del(headers[i])
		}
	}
	res, err := (&http.Transport{DisableCompression: true}).RoundTrip(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return answer{res.StatusCode, res.Header, b}
}

// into decodes a good answer.
func (a answer) into(t *testing.T, v any) {
	t.Helper()
	if a.status != http.StatusOK {
		t.Fatalf("status %d: %s", a.status, a.body)
	}
	if err := json.Unmarshal(a.body, v); err != nil {
		t.Fatalf("%v: %s", err, a.body)
	}
}

type pushed struct {
	Epoch    string
	Seq      edits.Seq
	Receipts []edits.Receipt
}

type mirror struct {
	Protocol  int
	Epoch     string
	Seq       edits.Seq
	Head      string
	Core, Now string
	Docs      []struct {
		Kind, ID  string
		Rev       int
		Body      json.RawMessage
		View      *json.RawMessage
		Questions []json.RawMessage
		History   []edits.Revision
	}
}

func TestSnapshotChangesAndRevision(t *testing.T) {
	s := start(t)
	p := s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()), s.edit(2, edits.Person, "cara", 0, cara()))
	if len(p.Receipts) != 2 || p.Receipts[1].Outcome != edits.Applied || p.Seq != begun+2 {
		t.Fatalf("pushed: %+v", p)
	}
	var m mirror
	s.get("/api/v1/snapshot").into(t, &m)
	if m.Protocol != 1 || m.Seq != begun+2 || m.Core != "build-1" || m.Epoch != p.Epoch || len(m.Head) != 64 || m.Now != "2027-03-31T07:42:00Z" || len(m.Docs) != 2+len(staff) {
		t.Errorf("snapshot: %+v", m)
	}
	for _, d := range m.Docs {
		if (d.View != nil) != (d.Kind == "card") || d.Questions == nil || len(d.History) != 1 {
			t.Errorf("document: %+v", d)
		}
	}
	var changed mirror
	s.get(since(1)).into(t, &changed)
	if len(changed.Docs) != 1 || changed.Docs[0].ID != "cara" {
		t.Errorf("changes: %+v", changed.Docs)
	}
	var none mirror
	s.get(since(2)).into(t, &none)
	if none.Docs == nil || len(none.Docs) != 0 {
		t.Errorf("no changes: %+v", none.Docs)
	}
	var old struct {
		Rev  int
		Body json.RawMessage
		View *json.RawMessage
	}
	s.get("/api/v1/docs/card/anna-chop/revisions/1").into(t, &old)
	if old.Rev != 1 || old.View == nil || !bytes.Equal(old.Body, s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()).Body) {
		t.Errorf("revision: %+v", old)
	}
}

// A device learns of a proposal and of its answer as of any change, and the card it reads with them is not touched.
func TestProposalsAreReadWithTheCard(t *testing.T) {
	s := start(t)
	card := storetest.Card()
	storetest.Vacuum("chop", "300")(&card)
	ben := s.enrol("Phone of Ben").signIn("ben")
	proposed := ben.edit(2, edits.Card, "anna-chop", 1, card)
	declined := s.edit(3, edits.Card, "anna-chop", 1, storetest.Card())
	declined.Declines = []edits.Decline{{Proposal: proposed.ID, Reason: "Too slow."}}
	var p pushed
	s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()))
	p = ben.push(proposed)
	if len(p.Receipts) != 1 || p.Receipts[0].Outcome != edits.Proposed || p.Receipts[0].Rev != 0 || p.Seq != begun+2 {
		t.Fatalf("receipts: %+v", p)
	}
	var m struct{ Docs []edits.Document }
	s.get(since(1)).into(t, &m)
	if len(m.Docs) != 1 || m.Docs[0].Rev != 1 || len(m.Docs[0].Proposals) != 1 || m.Docs[0].Proposals[0].By != "ben" || strings.Contains(string(m.Docs[0].Body), `"300"`) {
		t.Fatalf("after the proposal: %+v", m.Docs)
	}
	p = s.push(declined)
	m.Docs = nil
	s.get(since(2)).into(t, &m)
	if len(m.Docs) != 1 || m.Docs[0].Rev != 1 || len(m.Docs[0].Proposals) != 0 || len(m.Docs[0].Answered) != 1 || m.Docs[0].Answered[0].Why != "Too slow." {
		t.Fatalf("after the answer (%+v): %+v", p.Receipts, m.Docs)
	}
	var one struct {
		Edit    edits.Edit
		Receipt edits.Receipt
	}
	s.do(http.MethodGet, "/api/v1/edits/"+string(proposed.ID), "").into(t, &one)
	if one.Receipt.Outcome != edits.Proposed || !strings.Contains(string(one.Edit.Body), `"300"`) {
		t.Errorf("the proposal is not readable any more: %+v", one)
	}
}

func TestMirrorIsCompressedWhereTheBrowserTakesIt(t *testing.T) {
	s := start(t)
	s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()))
	plain := s.get("/api/v1/snapshot")
	packed := s.get("/api/v1/snapshot", "Accept-Encoding", "gzip, br")
	if packed.header.Get("Content-Encoding") != "gzip" || packed.header.Get("Vary") != "Accept-Encoding" || len(packed.body) >= len(plain.body) {
		t.Fatalf("%v, %d bytes for %d", packed.header, len(packed.body), len(plain.body))
	}
	r, err := gzip.NewReader(bytes.NewReader(packed.body))
	if err != nil {
		t.Fatal(err)
	}
	if b, err := io.ReadAll(r); err != nil || !bytes.Equal(b, plain.body) {
		t.Errorf("unpacked it differs: %v", err)
	}
}

func TestViewFollowsTheRevision(t *testing.T) {
	s := start(t)
	card := storetest.Card()
	s.push(s.edit(1, edits.Card, "anna-chop", 0, card))
	s.get("/api/v1/snapshot")
	storetest.Vacuum("chop", "420")(&card)
	s.push(s.edit(2, edits.Card, "anna-chop", 1, card))
	var m mirror
	s.get("/api/v1/snapshot").into(t, &m)
	if m.Docs[0].View == nil || !bytes.Contains(*m.Docs[0].View, []byte(`"420"`)) {
		t.Errorf("the view is that of an older revision: %+v", m.Docs[0])
	}
}

func TestEditsCanBeReadWhateverBecameOfThem(t *testing.T) {
	s := start(t)
	bad := storetest.Card()
	storetest.Vacuum("chop", "9999")(&bad)
	s.push(s.edit(1, edits.Card, "anna-chop", 0, bad))
	var one struct {
		Edit    edits.Edit
		Receipt edits.Receipt
	}
	s.get("/api/v1/edits/"+string(storetest.ID(1))).into(t, &one)
	if one.Receipt.Outcome != edits.SetAside || len(one.Edit.Body) == 0 {
		t.Errorf("edit: %+v", one)
	}
	var list struct{ Edits []json.RawMessage }
	s.get("/api/v1/set-aside").into(t, &list)
	if len(list.Edits) != 1 {
		t.Errorf("set aside: %s", list.Edits)
	}
	s.get(fmt.Sprintf("/api/v1/set-aside?after=%d", begun+1)).into(t, &list)
	if len(list.Edits) != 0 {
		t.Errorf("set aside after the last: %s", list.Edits)
	}
}

func TestGenerate(t *testing.T) {
	s := start(t)
	s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()), s.edit(2, edits.Rules, edits.HouseRules, 0, checklist.Starter()))
	encode := func(v any) string {
		b, err := edits.Encode(v)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	var sheet checklist.Sheet
	s.do("POST", "/api/v1/generate", `{"case":`+encode(storetest.Case())+`}`).into(t, &sheet)
	if sheet.Made.Card != "anna-chop" || sheet.Made.CardRevision != 1 || sheet.Made.RulesRevision != 1 || len(sheet.Setup) == 0 {
		t.Errorf("sheet: %+v", sheet.Made)
	}
	draft := storetest.Card()
	storetest.Vacuum("chop", "420")(&draft)
	got := s.do("POST", "/api/v1/generate", `{"case":`+encode(storetest.Case())+`,"card":`+encode(draft)+`}`)
	if got.status != 200 || !bytes.Contains(got.body, []byte("420")) {
		t.Errorf("from a draft: %d %s", got.status, got.body)
	}
	wrong := storetest.Case()
	wrong.Facts["eye"] = checklist.Value{"third eye"}
	refused := s.do("POST", "/api/v1/generate", `{"case":`+encode(wrong)+`}`)
	var e api.Error
	if err := json.Unmarshal(refused.body, &e); err != nil || refused.status != 400 || len(e.Problems) == 0 {
		t.Errorf("a wrong case: %d %s", refused.status, refused.body)
	}
	absent := storetest.Case()
	absent.Card = "nobody-has-this"
	if got := s.do("POST", "/api/v1/generate", `{"case":`+encode(absent)+`}`); got.code() != "not found" {
		t.Errorf("a missing card: %d %s", got.status, got.body)
	}
	if got := s.do("POST", "/api/v1/generate", `{}`); got.code() != "bad request" {
		t.Errorf("no case: %d %s", got.status, got.body)
	}
}

func TestHealthGivesTheNonceBack(t *testing.T) {
	s := start(t)
	var h struct {
		OK, ReadOnly, Demo bool
		Nonce, Epoch, Core string
	}
	s.get("/api/v1/health?nonce=a%20b%22c").into(t, &h)
	if !h.OK || h.ReadOnly || h.Demo || h.Nonce != `a b"c` || !edits.IsHex32(h.Epoch) || h.Core != "build-1" {
		t.Errorf("health: %+v", h)
	}
	if got := s.get("/healthz"); got.status != 200 {
		t.Errorf("ready to take edits: %d %s", got.status, got.body)
	}
	if got := s.get("/api/v1/health?nonce=" + strings.Repeat("x", 101)); got.code() != "bad request" {
		t.Errorf("a long nonce: %d %s", got.status, got.body)
	}
}

func TestBackup(t *testing.T) {
	s := start(t)
	var b api.Backup
	s.do("POST", "/api/v1/backup", `{"name":"monday.db"}`).into(t, &b)
	if b.Path != "/backups/monday.db" {
		t.Errorf("backup: %+v", b)
	}
	for _, name := range []string{"", "../monday", "a/b", `a\\b`, ".hidden", "-w", "Monday", "x.part", strings.Repeat("a", 81), "taken", "con:", "nul", "con.db", "com1", "lpt9.monday.db", "aux.", "monday."} {
		if got := s.do("POST", "/api/v1/backup", `{"name":"`+name+`"}`); got.code() != "bad request" {
			t.Errorf("name %q: %d %s", name, got.status, got.body)
		}
	}
}
