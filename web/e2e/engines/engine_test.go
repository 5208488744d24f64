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

// engine is a browser engine.
type engine struct {
	name string
	// keeps is true when the profile outlives the process of the browser.
	keeps bool
	// prints is true when its driver has the command for it.
	prints bool
	// ready gives what opens the browser with the profile, as often as it is asked. What it starts ends with the test.
	ready func(t *testing.T, profile string) (opens func() webdriver.Session)
}

var engines = []engine{
	{name: "webkit", ready: webkit.ready},
	{name: "chromium", keeps: true, prints: true, ready: chromium.ready},
	{name: "firefox", keeps: true, prints: true, ready: firefox},
}

// driven is a browser that needs a driver beside it.
type driven struct {
	// driver is the command that listens at the port, for a browser with the profile.
	driver func(port, profile string) (*exec.Cmd, error)
	// capabilities ask the driver for the browser with the profile.
	capabilities func(profile string) (map[string]any, error)
}

var chromium = driven{
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

var webkit = driven{
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
		cmd.Env = append(os.Environ(), "DISPLAY="+display, "GDK_BACKEND=x11", "HOME="+profile, "MESA_SHADER_CACHE_DISABLE=true",
			"WEBKIT_DISABLE_DMABUF_RENDERER=1", // without a graphics card its pictures are black with it
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

// ready starts the driver and has it open the browser.
func (d driven) ready(t *testing.T, profile string) func() webdriver.Session {
	t.Helper()
	address := d.starts(t, profile)
	return func() webdriver.Session {
		t.Helper()
		capabilities, err := d.capabilities(profile)
		if err != nil {
			t.Fatal(err)
		}
		session, err := webdriver.Open(address, capabilities, harness.Patience)
		if err != nil {
			t.Fatal(err)
		}
		return session
	}
}

// starts starts the driver and gives its address; it ends with the test.
func (d driven) starts(t *testing.T, profile string) string {
	t.Helper()
	_, port, err := net.SplitHostPort(harness.FreeAddress(t))
	if err != nil {
		t.Fatal(err)
	}
	cmd, err := d.driver(port, profile)
	if err != nil {
		t.Fatal(err)
	}
	apart(cmd)
	if err := cmd.Start(); err != nil {
		t.Fatalf("start the driver: %v", err)
	}
	t.Cleanup(func() {
		killGroup(cmd) // a browser that is still busy ending would write into the profile while it is removed
		cmd.Wait()
	})
	address := "http://127.0.0.1:" + port
	harness.Eventually(t, "the driver is ready", func() error { return webdriver.Ready(address) })
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
