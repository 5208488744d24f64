package harness

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"testing"
)

// Call makes one request as a page of this server would.
func Call(client *http.Client, method, url string, body []byte) (answer []byte, status int, err error) {
	req, err := http.NewRequest(method, url, bytes.NewReader(body))
	if err != nil {
		return nil, 0, err
	}
	if method != http.MethodGet {
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Sideport-Request", "1")
	}
	asking := *client
	asking.Timeout = Patience
	resp, err := asking.Do(req)
	if err != nil {
		return nil, 0, err
	}
	defer resp.Body.Close()
	answer, err = io.ReadAll(resp.Body)
	return answer, resp.StatusCode, err
}

// DemoCode is the demonstration's code for a device of one kind: shared or personal. base is the server's address, without a path.
func DemoCode(t testing.TB, base, kind string) string {
	t.Helper()
	body, err := Get(base + "/api/v1/health")
	if err != nil {
		t.Fatalf("ask the server for its codes: %v", err)
	}
	var health struct {
		Codes map[string]string `json:"demo_codes"`
	}
	if err := json.Unmarshal(body, &health); err != nil {
		t.Fatal(err)
	}
	return health.Codes[kind]
}

// Enrol lets a device of the tests' own in, which reads without a browser.
func Enrol(t testing.TB, base string) (client *http.Client, id string) {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client = &http.Client{Jar: jar}
	body, err := json.Marshal(map[string]string{"code": DemoCode(t, base, "personal")})
	if err != nil {
		t.Fatal(err)
	}
	answer, status, err := Call(client, http.MethodPost, base+"/api/v1/enrol", body)
	if err != nil || status != http.StatusOK {
		t.Fatalf("enrol: %d %s (%v)", status, answer, err)
	}
	var enrolled struct{ Device struct{ ID string } }
	if err := json.Unmarshal(answer, &enrolled); err != nil {
		t.Fatal(err)
	}
	return client, enrolled.Device.ID
}

// EnrolScript lets a browser in by a code, without a press on the screen; it gives the status of the answer.
func EnrolScript(code string) string {
	return fmt.Sprintf(`fetch("/api/v1/enrol", {method: "POST", headers: {"Content-Type": "application/json", "Sideport-Request": "1"},
		body: JSON.stringify({code: %s})}).then(r => r.status)`, Quoted(code))
}
