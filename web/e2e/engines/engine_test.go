package engines

import (
	"bufio"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"sideport/web/e2e/browser"
	"sideport/web/e2e/engines/webdriver"
	"sideport/web/e2e/harness"
)

// engine is a browser engine and how its driver is started.
type engine struct {
	name string
	// keeps is true when the profile outlives the process of the browser.
	keeps bool
	// driver is the command that listens at the port, for a browser with the profile.
	driver func(port, profile string) (*exec.Cmd, error)
	// capabilities ask the driver for the browser with the profile.
	capabilities func(profile string) (map[string]any, error)
}

var engines = []engine{webkit, chromium}

var chromium = engine{name: "chromium", keeps: true,
	driver: func(port, _ string) (*exec.Cmd, error) {
		found, err := browser.FindChromium()
		return exec.Command(found.Driver, "--port="+port), err
	},
	capabilities: func(profile string) (map[string]any, error) {
		found, err := browser.FindChromium()
		args := []string{"--headless=new", "--user-data-dir=" + profile, "--disable-component-update", "--disable-quic"}
		if os.Geteuid() == 0 {
			args = append(args, "--no-sandbox") // the browser refuses to run as root with it
		}
		return map[string]any{"goog:chromeOptions": map[string]any{"binary": found.Browser, "args": args}}, err
	},
}

var webkit = engine{name: "webkit",
	driver: func(port, profile string) (*exec.Cmd, error) {
		found, err := browser.FindWebKit()
		if err != nil {
			return nil, err
		}
		display, err := screen()
		if err != nil {
			return nil, err
		}
		cmd := exec.Command(found.Driver, "--port="+port)
		cmd.Env = append(os.Environ(), "DISPLAY="+display, "GDK_BACKEND=x11", "HOME="+profile,
			"XDG_CACHE_HOME="+filepath.Join(profile, "cache"), "XDG_DATA_HOME="+filepath.Join(profile, "data"))
		return cmd, nil
	},
	capabilities: func(string) (map[string]any, error) {
		found, err := browser.FindWebKit()
		return map[string]any{"browserName": "MiniBrowser",
			"webkitgtk:browserOptions": map[string]any{"binary": found.Browser, "args": []string{"--automation"}}}, err
	},
}

// shown is the screen that windows open on, once one was needed.
var shown *exec.Cmd

// screen starts a screen for all windows and gives its name.
var screen = sync.OnceValues(func() (string, error) {
	found, err := browser.FindWebKit()
	if err != nil {
		return "", err
	}
	cmd := exec.Command(found.Screen, "-displayfd", "1", "-screen", "0", "1400x1400x24", "-nolisten", "tcp")
	out, err := cmd.StdoutPipe()
	if err != nil {
		return "", err
	}
	if err := cmd.Start(); err != nil {
		return "", fmt.Errorf("start a screen: %w", err)
	}
	shown = cmd
	number, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		return "", fmt.Errorf("start a screen: %w", err)
	}
	return ":" + strings.TrimSpace(number), nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if shown != nil {
		shown.Process.Kill()
		shown.Wait()
	}
	harness.Clean()
	os.Exit(code)
}

// starts starts the driver and gives its address; it ends with the test.
func (e engine) starts(t *testing.T, profile string) string {
	t.Helper()
	_, port, err := net.SplitHostPort(harness.FreeAddress(t))
	if err != nil {
		t.Fatal(err)
	}
	cmd, err := e.driver(port, profile)
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatalf("start the driver of %s: %v", e.name, err)
	}
	t.Cleanup(func() {
		cmd.Process.Kill()
		cmd.Wait()
	})
	address := "http://127.0.0.1:" + port
	harness.Eventually(t, "the driver of "+e.name+" is ready", func() error { return webdriver.Ready(address) })
	return address
}

// everyEngine runs the journey once with each.
func everyEngine(t *testing.T, journey func(t *testing.T, e engine)) {
	t.Helper()
	for _, e := range engines {
		t.Run(e.name, func(t *testing.T) { journey(t, e) })
	}
}

var errNotYet = errors.New("not yet")
