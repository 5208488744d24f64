package e2e

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"regexp"
	"strings"
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
	jar, err := cookiejar.New(nil)
	if err != nil {
		s.t.Fatal(err)
	}
	c := &caller{s: s, client: &http.Client{Jar: jar}}
	var enrolled struct{ Device struct{ ID string } }
	c.post("/api/v1/enrol", map[string]any{"code": s.demoCode("personal")}, &enrolled)
	c.id = enrolled.Device.ID
	return c
}

// demoCode is the demonstration's code for a device of one kind: shared or personal.
func (s *server) demoCode(kind string) string {
	s.t.Helper()
	body, status, err := s.call(http.DefaultClient, http.MethodGet, "/api/v1/health", nil)
	if err != nil || status != http.StatusOK {
		s.t.Fatalf("ask the server for its codes: %d, %v", status, err)
	}
	var health struct {
		Codes map[string]string `json:"demo_codes"`
	}
	if err := json.Unmarshal(body, &health); err != nil {
		s.t.Fatal(err)
	}
	return health.Codes[kind]
}

// pin is the PIN of an invented person, as the demonstration prints it.
func (s *server) pin(person string) string {
	s.t.Helper()
	if s.through != nil {
		return s.through.pin(person)
	}
	line := regexp.MustCompile(`^PIN (\d{6})  ` + regexp.QuoteMeta(person) + `$`)
	pin := ""
	eventually(s.t, "the server prints the PIN of "+person, func() error {
		s.mu.Lock()
		defer s.mu.Unlock()
		for _, told := range s.told {
			if found := line.FindStringSubmatch(told); found != nil {
				pin = found[1]
				return nil
			}
		}
		return fmt.Errorf("it printed %q", s.told)
	})
	return pin
}

// call makes one request as a page of this server would.
func (s *server) call(client *http.Client, method, path string, body []byte) ([]byte, int, error) {
	req, err := http.NewRequest(method, s.url(path), bytes.NewReader(body))
	if err != nil {
		return nil, 0, err
	}
	if method != http.MethodGet {
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Sideport-Request", "1")
	}
	asking := *client
	asking.Timeout = patience
	resp, err := asking.Do(req)
	if err != nil {
		return nil, 0, err
	}
	defer resp.Body.Close()
	answer, err := io.ReadAll(resp.Body)
	return answer, resp.StatusCode, err
}

// post sends a body and reads the answer into what is pointed to.
func (c *caller) post(path string, body, to any) {
	c.s.t.Helper()
	b, err := json.Marshal(body)
	if err != nil {
		c.s.t.Fatal(err)
	}
	answer, status, err := c.s.call(c.client, http.MethodPost, path, b)
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
	script := fmt.Sprintf(`fetch("/api/v1/enrol", {method: "POST", headers: {"Content-Type": "application/json", "Sideport-Request": "1"}, body: JSON.stringify({code: %s})}).then(r => r.status)`,
		quoted(b.s.demoCode(kind)))
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
