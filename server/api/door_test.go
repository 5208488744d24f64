package api_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/netip"
	"strings"
	"testing"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

// The people of every test. Each is in the log before the server starts.
var staff = []cards.Person{
	{ID: "anna", Name: "Anna Example", Roles: []cards.PersonRole{cards.PersonSurgeon, cards.PersonUnitLead}, Invented: true},
	{ID: "ben", Name: "Ben Example", Roles: []cards.PersonRole{cards.PersonSurgeon}, Invented: true},
	{ID: "nora", Name: "Nora Example", Roles: []cards.PersonRole{cards.PersonScrub}, Invented: true},
	{ID: "rita", Name: "Rita Example", Roles: []cards.PersonRole{cards.PersonReader}, Invented: true},
}

// cara is a person whom the tests write down.
func cara() cards.Person {
	return cards.Person{ID: "cara", Name: "Cara Example", Roles: []cards.PersonRole{cards.PersonScrub}, Invented: true}
}

// since is the question for what changed after the n-th edit of a test.
func since(n edits.Seq) string { return fmt.Sprintf("/api/v1/changes?after=%d", begun+n) }

// begun is how many records the log has before anything is done.
var begun = edits.Seq(len(staff))

// employ puts the staff into the log, as the operator does with the load command.
func employ(t *testing.T, s *store.Store) {
	t.Helper()
	for n, p := range staff {
		body, err := edits.Encode(p)
		if err != nil {
			t.Fatal(err)
		}
		r, err := s.Accept(storetest.Start, edits.Edit{ID: storetest.ID(9_000_000 + n), Kind: edits.Person, Doc: string(p.ID), Author: "sideport",
			Device: edits.ServerDevice, Made: "2027-03-31T07:00:00Z", Body: body})
		if err != nil || r.Outcome != edits.Applied {
			t.Fatalf("%+v, %v", r, err)
		}
	}
}

// operator is whoever makes the first codes and PINs in these tests.
var operator = people.Who{Person: "anna", Name: "Anna Example", Roles: staff[0].Roles}

// client is one browser: its cookies and the device it is.
type client struct {
	s       *server
	cookies map[string]string
	id      edits.DeviceID
	person  cards.PersonID // who is signed in
	answers []answer       // everything the server ever said to it
}

// enrol makes a code and a browser that came in with it.
func (s *server) enrol(name string) *client {
	s.t.Helper()
	code, err := s.doors.NewCode(operator, name, true)
	if err != nil {
		s.t.Fatal(err)
	}
	c := s.stranger()
	var in struct {
		Device struct{ ID edits.DeviceID }
	}
	c.post("/api/v1/enrol", map[string]string{"code": code.Text}).into(s.t, &in)
	c.id = in.Device.ID
	if !edits.IsHex32(string(c.id)) || c.cookies["sideport-device"] == "" {
		s.t.Fatalf("enrolled as %q with %v", c.id, c.cookies)
	}
	return c
}

// stranger is a browser that nobody has let in.
func (s *server) stranger() *client { return &client{s: s, cookies: map[string]string{}} }

// signIn issues a PIN and types it. (A PIN that is issued ends the person's other sessions.)
func (c *client) signIn(person cards.PersonID) *client {
	c.s.t.Helper()
	return c.typePIN(person, c.s.pinOf(person))
}

func (c *client) typePIN(person cards.PersonID, pin string) *client {
	c.s.t.Helper()
	got := c.post("/api/v1/sign-in", map[string]string{"person": string(person), "pin": pin})
	if got.status != http.StatusOK {
		c.s.t.Fatalf("%s does not come in: %d %s", person, got.status, got.body)
	}
	c.person = person
	return c
}

// pinOf is the person's PIN; it is issued the first time.
func (s *server) pinOf(person cards.PersonID) string {
	s.t.Helper()
	if s.pins[person] == "" {
		pin, err := s.doors.IssuePIN(operator, person)
		if err != nil {
			s.t.Fatal(err)
		}
		s.pins[person] = pin
	}
	return s.pins[person]
}

// do sends what a browser sends and keeps the cookies it is told to keep.
func (c *client) do(method, path, body string, headers ...string) answer {
	c.s.t.Helper()
	headers = append([]string{"Cookie", c.cookieHeader()}, headers...)
	a := c.s.send(method, path, body, headers...)
	c.keep(a)
	return a
}

func (c *client) cookieHeader() string {
	var cookies []string
	for name, value := range c.cookies {
		cookies = append(cookies, name+"="+value)
	}
	return strings.Join(cookies, "; ")
}

func (c *client) keep(a answer) {
	for _, cookie := range (&http.Response{Header: a.header}).Cookies() {
		if cookie.Value == "" {
			delete(c.cookies, cookie.Name)
		} else {
			c.cookies[cookie.Name] = cookie.Value
		}
	}
	c.answers = append(c.answers, a)
}

func (c *client) get(path string, headers ...string) answer {
	c.s.t.Helper()
	return c.do(http.MethodGet, path, "", headers...)
}

// post sends a value as JSON, or text as it is.
func (c *client) post(path string, body any, headers ...string) answer {
	c.s.t.Helper()
	text, ok := body.(string)
	if !ok {
		b, err := json.Marshal(body)
		if err != nil {
			c.s.t.Fatal(err)
		}
		text = string(b)
	}
	return c.do(http.MethodPost, path, text, headers...)
}

// edit is one by who is signed in, made on this device.
func (c *client) edit(n int, kind edits.Kind, doc string, parent int, body any) edits.Edit {
	raw, err := edits.Encode(body)
	if err != nil {
		panic(err)
	}
	return edits.Edit{ID: storetest.ID(n), Kind: kind, Doc: doc, Parent: parent, Author: c.person, Device: c.id,
		Made: "2027-03-31T07:42:00Z", Body: raw}
}

func (c *client) pushBody(list ...edits.Edit) string {
	b, err := edits.Encode(map[string]any{"protocol": 1, "device": c.id, "edits": list})
	if err != nil {
		panic(err)
	}
	return string(b)
}

func (c *client) push(list ...edits.Edit) pushed {
	c.s.t.Helper()
	var p pushed
	c.post("/api/v1/edits", c.pushBody(list...)).into(c.s.t, &p)
	return p
}

// loopbackAlone is this machine as a proxy.
var loopbackAlone = []netip.Prefix{netip.MustParsePrefix("127.0.0.1/32")}
