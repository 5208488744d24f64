package e2e

import (
	"encoding/json"
	"net/http"
	"strings"

	"sideport/web/e2e/harness"
)

// caller is an enrolled device of the tests' own, which reads what the server
// holds and puts edits on it without a browser.
type caller struct {
	s      *server
	client *http.Client
	id     string
	who    string // signed in; empty: nobody
}

// caller gives the device, and enrols it where the server does not know it: the first time, and after a restore.
func (s *server) caller() *caller {
	s.t.Helper()
	if s.calls == nil {
		s.calls = s.newCaller()
	}
	return s.calls
}

func (s *server) newCaller() *caller {
	s.t.Helper()
	c := &caller{s: s}
	c.client, c.id = harness.Enrol(s.t, s.url(""))
	return c
}

// pin is the PIN of an invented person, as the demonstration prints it.
func (s *server) pin(person string) string {
	s.t.Helper()
	if s.through != nil {
		return s.through.pin(person)
	}
	return s.process.PIN(s.t, person)
}

// post sends a body and reads the answer into what is pointed to.
func (c *caller) post(path string, body, to any) {
	c.s.t.Helper()
	b, err := json.Marshal(body)
	if err != nil {
		c.s.t.Fatal(err)
	}
	answer, status, err := harness.Call(c.client, http.MethodPost, c.s.url(path), b)
	if err != nil || status != http.StatusOK {
		c.s.t.Fatalf("%s answered %d: %s (%v)", path, status, answer, err)
	}
	if to == nil {
		return
	}
	if err := json.Unmarshal(answer, to); err != nil {
		c.s.t.Fatalf("%s answered %s: %v", path, answer, err)
	}
}

// signIn signs a person of the unit in on the caller, by id.
func (c *caller) signIn(person string) {
	c.s.t.Helper()
	if c.who == person {
		return
	}
	name := c.s.document("person", person).Body
	var p struct{ Name string }
	if err := json.Unmarshal(name, &p); err != nil {
		c.s.t.Fatal(err)
	}
	c.post("/api/v1/sign-in", map[string]any{"person": person, "pin": c.s.pin(p.Name)}, nil)
	c.who = person
}

// makes has the author of an edit sign in on the caller and push it from there, unsigned.
func (s *server) makes(edit map[string]any) {
	s.t.Helper()
	c := s.caller()
	c.signIn(edit["author"].(string))
	edit["device"] = c.id
	c.post("/api/v1/edits", map[string]any{"protocol": 1, "device": c.id, "edits": []any{edit}}, nil)
}

// enrols lets a tablet in without a press on the screen, by the demonstration's code for a device of one kind. The
// page learns of it from the server. The presses are tried by TestEnrolByButton alone: they cost a second each.
func (b *tablet) enrols(kind string) *tablet {
	b.t.Helper()
	b.do("open a page that leaves the storage alone", navigate(b.s.url("/licences.txt")))
	script := harness.EnrolScript(harness.DemoCode(b.t, b.s.url(""), kind))
	if status, err := eval[int](b, script); err != nil || status != http.StatusOK {
		b.t.Fatalf("the tablet was not let in: %d, %v", status, err)
	}
	return b
}

// becomes signs a person in, and waits until the tablet says so.
func (b *tablet) becomes(person string) {
	b.t.Helper()
	b.open("/person")
	b.signsIn(person)
}

// signsIn taps a name on the screen where people sign in and types the PIN. Whoever was at a locked tablet is asked at once.
func (b *tablet) signsIn(person string) {
	b.t.Helper()
	b.sees("Who is editing?")
	asked, err := eval[string](b, `document.querySelector(".pin label")?.innerText ?? ""`)
	if err != nil {
		b.t.Fatal(err)
	}
	if asked != "" && asked != "PIN of "+person {
		b.tap("Back to the names")
		asked = ""
	}
	if asked == "" {
		b.tapIn(".names", person)
	}
	b.types(person, b.s.pin(person))
	b.sees("Editing as " + person)
	b.person = person
}

// types types a PIN where it is asked for.
func (b *tablet) types(person, pin string) {
	b.t.Helper()
	b.write("PIN of "+person, pin)
}

// unlocks types the PIN that keeping asks for on a locked tablet.
func (b *tablet) unlocks(person string) {
	b.t.Helper()
	b.sees("Your PIN, to keep this")
	b.types(person, b.s.pin(person))
}

// isUnknown reports whether the server does not know the device that asked.
func isUnknown(status int, answer []byte) bool {
	return status == http.StatusUnauthorized && strings.Contains(string(answer), `"not enrolled"`)
}
