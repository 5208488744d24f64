package engines

import (
	"bufio"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"sideport/web/e2e/browser"
	"sideport/web/e2e/engines/webdriver"
	"sideport/web/e2e/harness"
)

// preferences of a profile. Everything but the loopback goes to a proxy that is not there, so that no journey depends on
// another machine and none hears of it.
var preferences = map[string]any{
	"network.proxy.type":                           1,
	"network.proxy.http":                           "127.0.0.1",
	"network.proxy.http_port":                      9, // the discard service of RFC 863, which nothing here offers
	"network.proxy.ssl":                            "127.0.0.1",
	"network.proxy.ssl_port":                       9,
	"network.proxy.allow_hijacking_localhost":      false,
	"network.proxy.failover_direct":                false,
	"network.dns.disabled":                         true,  // no name is looked up; the loopback needs none
	"network.trr.mode":                             5,     // nor over HTTP
	"network.manage-offline-status":                false, // a machine with a loopback alone is not offline
	"network.captive-portal-service.enabled":       false,
	"network.connectivity-service.enabled":         false,
	"network.dns.disablePrefetch":                  true,
	"network.prefetch-next":                        false,
	"dom.serviceWorkers.enabled":                   true,
	"dom.push.connection.enabled":                  false,
	"app.update.enabled":                           false,
	"app.normandy.enabled":                         false,
	"app.shield.optoutstudies.enabled":             false,
	"extensions.update.enabled":                    false,
	"extensions.systemAddon.update.enabled":        false,
	"browser.safebrowsing.malware.enabled":         false,
	"browser.safebrowsing.phishing.enabled":        false,
	"browser.safebrowsing.downloads.enabled":       false,
	"browser.safebrowsing.update.enabled":          false,
	"browser.region.network.url":                   "",
	"browser.topsites.contile.enabled":             false,
	"browser.newtabpage.enabled":                   false,
	"browser.startup.page":                         0,
	"browser.startup.homepage_override.mstone":     "ignore",
	"browser.aboutwelcome.enabled":                 false,
	"browser.shell.checkDefaultBrowser":            false,
	"browser.sessionstore.resume_from_crash":       false,
	"datareporting.policy.dataSubmissionEnabled":   false,
	"datareporting.healthreport.uploadEnabled":     false,
	"termsofuse.bypassNotification":                true,
	"toolkit.telemetry.enabled":                    false,
	"toolkit.telemetry.unified":                    false,
	"toolkit.telemetry.server":                     "",
	"toolkit.telemetry.shutdownPingSender.enabled": false,
	"toolkit.startup.max_resumed_crashes":          -1, // a browser that a journey ended starts as any other
	"signon.rememberSignons":                       false,
}

// firefox opens a browser that needs no driver: it speaks the protocol itself.
func firefox(t *testing.T, profile string) func() webdriver.Session {
	t.Helper()
	path, err := browser.FindFirefox()
	if err != nil {
		t.Fatal(err)
	}
	var lines strings.Builder
	for _, name := range slices.Sorted(maps.Keys(preferences)) {
		fmt.Fprintf(&lines, "user_pref(%q, %#v);\n", name, preferences[name])
	}
	if err := os.WriteFile(filepath.Join(profile, "user.js"), []byte(lines.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	var last *firefoxProcess
	t.Cleanup(func() {
		if last != nil {
			last.kill() // of one that was closed there is nothing left
		}
	})
	return func() webdriver.Session {
		t.Helper()
		p := startFirefox(t, path, profile)
		last = p
		session, err := webdriver.Connect(p.address(t), harness.Patience)
		if err != nil {
			t.Fatal(err)
		}
		return closing{session, p}
	}
}

// closing is a session whose end is the end of the browser: nothing of it runs when Close returns.
type closing struct {
	webdriver.Session
	process *firefoxProcess
}

func (c closing) Close() error {
	err := c.Session.Close()
	c.process.ends()
	return err
}

// firefoxProcess is a running browser with the processes that it starts, as one group.
type firefoxProcess struct {
	cmd   *exec.Cmd
	found chan string   // where it listens
	gone  chan struct{} // closed when all of the group have ended
	mu    sync.Mutex
	said  []string
}

func startFirefox(t *testing.T, path, profile string) *firefoxProcess {
	t.Helper()
	cmd := exec.Command(path, "--headless", "--no-remote", "--remote-debugging-port=0", "--profile", profile, "about:blank")
	cmd.Env = append(os.Environ(), "HOME="+profile, "MOZ_CRASHREPORTER_DISABLE=1")
	apart(cmd)
	out, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatalf("start Firefox: %v", err)
	}
	p := &firefoxProcess{cmd: cmd, found: make(chan string, 1), gone: make(chan struct{})}
	go p.hears(out)
	return p
}

var listens = regexp.MustCompile(`^WebDriver BiDi listening on (ws://127\.0\.0\.1:\d+)$`)

// hears reads what the group says until the last of it has ended.
func (p *firefoxProcess) hears(out io.Reader) {
	defer close(p.gone)
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if match := listens.FindStringSubmatch(lines.Text()); match != nil {
			p.found <- match[1]
		}
		p.mu.Lock()
		p.said = append(p.said, lines.Text())
		p.mu.Unlock()
	}
	io.Copy(io.Discard, out) // a line too long to be read
	p.cmd.Wait()
}

// address waits until the browser listens.
func (p *firefoxProcess) address(t *testing.T) string {
	t.Helper()
	select {
	case address := <-p.found:
		return address
	case <-p.gone:
	case <-time.After(harness.Patience):
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	t.Fatalf("Firefox does not listen; it said %q", p.said)
	return ""
}

// ends waits until the browser has stored what it had in hand and is gone, and kills one that does not go.
func (p *firefoxProcess) ends() {
	select {
	case <-p.gone:
	case <-time.After(harness.Patience):
		p.kill()
	}
}

func (p *firefoxProcess) kill() {
	select {
	case <-p.gone: // its number may be another's by now
	default:
		killGroup(p.cmd)
		select {
		case <-p.gone:
		case <-time.After(oneTry):
		}
	}
}
