package main

import (
	"bufio"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// certify writes a certificate of its own for a name and this machine, and returns it.
func certify(t *testing.T, cert, key, name string, serial int64) *x509.Certificate {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{SerialNumber: big.NewInt(serial), Subject: pkix.Name{CommonName: name}, DNSNames: []string{name}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(365 * 24 * time.Hour), KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true, IsCA: true}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &private.PublicKey, private)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(os.WriteFile(cert, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600),
		os.WriteFile(key, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: raw}), 0o600)); err != nil {
		t.Fatal(err)
	}
	made, err := x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	return made
}

var listeningAt = regexp.MustCompile(`"msg":"listening","addr":"([^"]+)"`)

// secured starts the server with TLS under a name and returns it with the address it listens on.
func secured(t *testing.T, dir string, more ...string) (c *child, addr, cert, key string) {
	t.Helper()
	cert, key = filepath.Join(dir, "cards.pem"), filepath.Join(dir, "cards.key")
	certify(t, cert, key, "cards.example.org", 1)
	log, err := os.Create(filepath.Join(dir, "log"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = log.Close() })
	args := append([]string{"-data", filepath.Join(dir, "data"), "-origin", "https://cards.example.org", "-tls-cert", cert, "-tls-key", key}, more...)
	c, line := beginInto(t, log, args...)
	if line != "Sideport: https://cards.example.org/\n" {
		t.Fatalf("the program said %q", line)
	}
	said, err := os.ReadFile(log.Name())
	if m := listeningAt.FindSubmatch(said); err == nil && m != nil {
		return c, string(m[1]), cert, key
	}
	t.Fatalf("no address in the log: %s, %v", said, err)
	return nil, "", "", ""
}

// over speaks TLS with whoever shows that name.
func over(config *tls.Config) *http.Client {
	config.ServerName = "cards.example.org"
	return &http.Client{Timeout: 10 * time.Second, Transport: &http.Transport{TLSClientConfig: config, DisableKeepAlives: true}}
}

func TestServesOverTLSAndReadsTheCertificateAgain(t *testing.T) {
	dir := t.TempDir()
	c, addr, cert, key := secured(t, dir)
	shown := func(config *tls.Config) (*tls.ConnectionState, error) {
		config.ServerName, config.InsecureSkipVerify = "cards.example.org", true
		conn, err := tls.DialWithDialer(&net.Dialer{Timeout: 10 * time.Second}, "tcp", addr, config)
		if err != nil {
			return nil, err
		}
		defer conn.Close()
		state := conn.ConnectionState()
		return &state, nil
	}
	if _, err := shown(&tls.Config{MinVersion: tls.VersionTLS10, MaxVersion: tls.VersionTLS11}); err == nil {
		t.Error("TLS 1.1 is spoken")
	}
	for _, version := range []uint16{tls.VersionTLS12, tls.VersionTLS13} {
		if state, err := shown(&tls.Config{MinVersion: version, MaxVersion: version}); err != nil || state.Version != version {
			t.Errorf("%s: %v", tls.VersionName(version), err)
		}
	}
	serial := func() int64 {
		state, err := shown(&tls.Config{})
		if err != nil {
			t.Fatal(err)
		}
		return state.PeerCertificates[0].SerialNumber.Int64()
	}
	if n := serial(); n != 1 {
		t.Errorf("certificate %d is shown", n)
	}
	if err := os.WriteFile(cert, []byte("half a file"), 0o600); err != nil {
		t.Fatal(err)
	}
	time.Sleep(lookAgain + 100*time.Millisecond)
	if n := serial(); n != 1 {
		t.Errorf("while the file is being written certificate %d is shown", n)
	}
	certify(t, cert, key, "cards.example.org", 2)
	for limit := time.Now().Add(20 * time.Second); serial() != 2; time.Sleep(100 * time.Millisecond) {
		if time.Now().After(limit) {
			t.Fatal("the renewed certificate is not shown")
		}
	}
	// The commands of this machine reach the server under its name.
	if out, err := runProgram("health", "-addr", addr, "-origin", "https://cards.example.org", "-tls-cert", cert); err != nil || out != "" {
		t.Errorf("health: %v: %s", err, out)
	}
	if out, err := runProgram("health", "-addr", addr, "-origin", "https://cards.example.org"); err == nil || !strings.Contains(out, "is not trusted here: name it with -tls-cert") {
		t.Errorf("health without trust: %v: %s", err, out)
	}
	to := filepath.Join(dir, "copy.db")
	if out, err := runProgram("backup", "-data", filepath.Join(dir, "data"), "-to", to, "-addr", addr, "-origin", "https://cards.example.org", "-tls-cert", cert); err != nil || out != "" {
		t.Errorf("backup: %v: %s", err, out)
	}
	if out, err := runProgram("verify", "-file", to); err != nil {
		t.Errorf("the copy: %v: %s", err, out)
	}
	c.stop(t)
	if _, err := os.Stat(filepath.Join(dir, "data", operatorFile)); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the operator's word outlives the server: %v", err)
	}
}

func TestFirstRunOverTLS(t *testing.T) {
	dir := t.TempDir()
	c, addr, cert, _ := secured(t, dir)
	roots := x509.NewCertPool()
	b, err := os.ReadFile(cert)
	if err != nil || !roots.AppendCertsFromPEM(b) {
		t.Fatal(err)
	}
	client := over(&tls.Config{RootCAs: roots})
	ask := func(method, path, body string, headers ...string) (*http.Response, string) {
		t.Helper()
		r, err := http.NewRequest(method, "https://"+addr+path, strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		r.Host = "cards.example.org"
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Sideport-Request", "1")
		for i := 0; i < len(headers); i += 2 {
			r.Header.Set(headers[i], headers[i+1])
		}
		res, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		answer, err := io.ReadAll(res.Body)
		if err != nil {
			t.Fatal(err)
		}
		return res, string(answer)
	}
	if res, body := ask("GET", "/api/v1/snapshot", ""); res.StatusCode != 403 || !strings.Contains(body, "needs set-up") {
		t.Errorf("before the set-up: %d %s", res.StatusCode, body)
	}
	code := c.said(t, setUpLine)
	res, body := ask("POST", "/api/v1/setup", `{"code":"`+code+`","unit":"Unit of the tests","name":"Lena Lead","device_name":"Desk","shared":false}`, "Origin", "https://cards.example.org", "Sec-Fetch-Site", "same-origin")
	if res.StatusCode != 200 {
		t.Fatalf("set up: %d %s", res.StatusCode, body)
	}
	if res.Header.Get("Strict-Transport-Security") == "" {
		t.Error("no HSTS")
	}
	var cookies []string
	for _, cookie := range res.Cookies() {
		if !strings.HasPrefix(cookie.Name, "__Host-sideport-") || !cookie.Secure || !cookie.HttpOnly || cookie.SameSite != http.SameSiteStrictMode || cookie.Path != "/" || cookie.Domain != "" {
			t.Errorf("cookie: %s", cookie)
		}
		cookies = append(cookies, cookie.Name+"="+cookie.Value)
	}
	if res, body := ask("GET", "/api/v1/devices", "", "Cookie", strings.Join(cookies, "; ")); res.StatusCode != 200 || len(cookies) != 2 {
		t.Errorf("the first lead: %d %s", res.StatusCode, body)
	}
	r, err := http.NewRequest(http.MethodGet, "https://"+addr+"/api/v1/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Host = "cards.example.org"
	r.Header.Set("Cookie", strings.Join(cookies, "; "))
	live, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer live.Body.Close()
	if line, err := bufio.NewReader(live.Body).ReadString('\n'); err != nil || line != "event: seq\n" {
		t.Errorf("the live stream begins with %q, %v", line, err)
	}
	c.stop(t)
}

func TestHeadsAreNoted(t *testing.T) {
	dir := t.TempDir()
	heads := filepath.Join(dir, "heads")
	c := launch(t, "-data", filepath.Join(dir, "data"), "-heads", heads)
	c.setUp(t)
	c.stop(t)
	b, err := os.ReadFile(heads)
	lines := strings.Split(strings.TrimSpace(string(b)), "\n")
	form := regexp.MustCompile(`^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ \d+ [0-9a-f]{64} \d+ [0-9a-f]{64}$`)
	if err != nil || len(lines) != 2 || !form.MatchString(lines[0]) || !form.MatchString(lines[1]) {
		t.Fatalf("%v: %q", err, b)
	}
	report := verified(t, filepath.Join(dir, "data"))
	if end := strings.Fields(lines[1]); end[2] != report.Info.Head || end[4] != report.EventHead || strings.Fields(lines[0])[2] == end[2] {
		t.Errorf("noted %q, the data end with %s and %s", lines, report.Info.Head, report.EventHead)
	}
}

func TestDemoPrintsWhatItTakesToComeIn(t *testing.T) {
	c := launch(t, "-demo")
	shared := c.said(t, regexp.MustCompile(`^Code for a shared tablet: (\S+)`))
	b := newBrowser(c.url)
	for range 2 { // it can be used again and again
		b.post(t, "api/v1/enrol", map[string]string{"code": shared}, &struct{}{})
	}
	pin := c.said(t, regexp.MustCompile(`^PIN (\d{6})  Oriel Stonebarrow\n`))
	var in struct{ Roles []string }
	b.post(t, "api/v1/sign-in", map[string]string{"person": "oriel-stonebarrow", "pin": pin}, &in)
	if len(in.Roles) != 1 || in.Roles[0] != "unit lead" {
		t.Errorf("roles: %v", in.Roles)
	}
	c.stop(t)
	if strings.Contains(c.log.String(), pin) || strings.Contains(c.log.String(), shared) {
		t.Errorf("the log holds what was printed: %s", c.log)
	}
}

// A lead who is the only one and has lost the PIN comes in again as docs/operations.md says.
func TestLeadWhoLostThePINComesInAgain(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	c := launch(t, "-data", dir)
	first := c.setUp(t)
	c.stop(t)
	people := filepath.Join(t.TempDir(), "people.json")
	if err := os.WriteFile(people, []byte(`[{"id":"`+string(first.person)+`","name":"Lena Lead","roles":["scrub"]}]`), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := runProgram("load", "-data", dir, people); err != nil {
		t.Fatalf("load: %v: %s", err, out)
	}
	c = launch(t, "-data", dir)
	again := c.setUp(t)
	if again.person != first.person || again.device == first.device {
		t.Errorf("%s on %s came in as %s on %s", first.person, first.device, again.person, again.device)
	}
	var h struct{ Device, Person *any }
	first.at(c.url).get(t, "api/v1/health", &h)
	if h.Device == nil || h.Person != nil {
		t.Errorf("the session with the PIN before: %+v", h)
	}
	c.stop(t)
	verified(t, dir)
}
