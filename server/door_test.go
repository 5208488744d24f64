package main

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/http/cookiejar"
	"regexp"
	"testing"
	"time"

	"sideport/cards"
	"sideport/server/edits"
)

// browser is one device: what it was told to keep, and who it is. It outlives
// the server, as a tablet does.
type browser struct {
	client *http.Client
	url    string // of the server it speaks to
	device edits.DeviceID
	person cards.PersonID
	pin    string
}

func newBrowser(at string) *browser {
	jar, err := cookiejar.New(nil)
	if err != nil {
		panic(err)
	}
	return &browser{client: &http.Client{Jar: jar}, url: at}
}

// at lets the browser speak to a server that was started again, perhaps on
// another port: cookies belong to a name, whatever the port.
func (b *browser) at(url string) *browser { b.url = url; return b }

// ask sends a request and returns the status and the body; status 0 is no answer at all.
func (b *browser) ask(method, path string, body []byte) (int, []byte) {
	r, err := http.NewRequest(method, b.url+path, bytes.NewReader(body))
	if err != nil {
		panic(err)
	}
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Sideport-Request", "1")
	}
	res, err := b.client.Do(r)
	if err != nil {
		return 0, nil
	}
	defer res.Body.Close()
	answer, err := io.ReadAll(res.Body)
	if err != nil {
		return 0, nil
	}
	return res.StatusCode, answer
}

// get reads a good answer.
func (b *browser) get(t *testing.T, path string, into any) {
	t.Helper()
	status, answer := b.ask(http.MethodGet, path, nil)
	if err := json.Unmarshal(answer, into); err != nil || status != http.StatusOK {
		t.Fatalf("%s: %d %s, %v", path, status, answer, err)
	}
}

// getSlowly is get for what asks more often than a device does: it waits as it is told to.
func (b *browser) getSlowly(t *testing.T, path string, into any) {
	t.Helper()
	for {
		status, answer := b.ask(http.MethodGet, path, nil)
		if status == http.StatusTooManyRequests {
			time.Sleep(100 * time.Millisecond)
			continue
		}
		if err := json.Unmarshal(answer, into); err != nil || status != http.StatusOK {
			t.Fatalf("%s: %d %s, %v", path, status, answer, err)
		}
		return
	}
}

// post sends a value and reads a good answer.
func (b *browser) post(t *testing.T, path string, body, into any) {
	t.Helper()
	raw, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	status, answer := b.ask(http.MethodPost, path, raw)
	if err := json.Unmarshal(answer, into); err != nil || status != http.StatusOK {
		t.Fatalf("%s: %d %s, %v", path, status, answer, err)
	}
}

// push sends edits and returns the status and the receipts.
func (b *browser) push(list ...edits.Edit) (int, []edits.Receipt) {
	raw, err := edits.Encode(map[string]any{"protocol": 1, "device": b.device, "edits": list})
	if err != nil {
		panic(err)
	}
	status, body := b.ask(http.MethodPost, "api/v1/edits", raw)
	var answer struct{ Receipts []edits.Receipt }
	if json.Unmarshal(body, &answer) != nil {
		return 0, nil
	}
	return status, answer.Receipts
}

var setUpLine = regexp.MustCompile(`Set-up code: (\S+)`)

// setUp makes the first lead of the unit with the code that the server prints.
func (c *child) setUp(t *testing.T) *browser {
	t.Helper()
	code := c.said(t, setUpLine)
	b := newBrowser(c.url)
	var done struct {
		Device struct{ ID edits.DeviceID }
		Person cards.PersonID
		PIN    string
	}
	b.post(t, "api/v1/setup", map[string]any{"code": code, "unit": "Unit of the tests", "name": "Lena Lead", "device_name": "Desk", "shared": false}, &done)
	b.device, b.person, b.pin = done.Device.ID, done.Person, done.PIN
	if !edits.IsHex32(string(b.device)) || b.person == "" || len(b.pin) != 6 {
		t.Fatalf("set up: %+v", done)
	}
	return b
}

// said reads what the program prints until a line says what is looked for.
func (c *child) said(t *testing.T, what *regexp.Regexp) string {
	t.Helper()
	for {
		line, err := c.out.ReadString('\n')
		if m := what.FindStringSubmatch(line); m != nil {
			return m[1]
		}
		if err != nil {
			t.Fatalf("the program never said %s: %v", what, err)
		}
	}
}

// inDemo enrols in a demonstration with the code that health tells, and signs its unit lead in.
func (c *child) inDemo(t *testing.T) *browser {
	t.Helper()
	b := newBrowser(c.url)
	var h struct {
		Codes struct{ Shared, Personal string } `json:"demo_codes"`
	}
	b.get(t, "api/v1/health", &h)
	var in struct {
		Device struct{ ID edits.DeviceID }
	}
	b.post(t, "api/v1/enrol", map[string]string{"code": h.Codes.Shared}, &in)
	b.device = in.Device.ID
	return b
}
