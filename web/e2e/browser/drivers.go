package browser

import (
	"fmt"
	"os/exec"
	"path/filepath"
)

// Chromium is a browser with the driver that speaks the W3C protocol for it.
type Chromium struct{ Browser, Driver string }

// FindChromium returns both, or an error that says how to get what is missing.
func FindChromium() (Chromium, error) {
	path, err := Find()
	if err != nil {
		return Chromium{}, err
	}
	driver, err := find("chromedriver", "the driver of Chromium", "chromium-driver")
	return Chromium{Browser: path, Driver: driver}, err
}

// WebKit is the small browser that comes with WebKitGTK, its driver, and the screen that it draws on.
type WebKit struct{ Browser, Driver, Screen string }

// places are where distributions put the browser of WebKitGTK, which is not among the commands.
var places = []string{"/usr/lib/*/webkit2gtk-4.1/MiniBrowser", "/usr/lib*/webkit2gtk-4.1/MiniBrowser", "/usr/libexec/webkit2gtk-4.1/MiniBrowser"}

// FindWebKit returns all three, or an error that says how to get what is missing.
func FindWebKit() (WebKit, error) {
	driver, err := find("WebKitWebDriver", "the driver of WebKitGTK", "webkit2gtk-driver")
	if err != nil {
		return WebKit{}, err
	}
	screen, err := find("Xvfb", "a screen for WebKitGTK", "xvfb")
	if err != nil {
		return WebKit{}, err
	}
	for _, place := range places {
		if found, _ := filepath.Glob(place); len(found) > 0 {
			return WebKit{Browser: found[0], Driver: driver, Screen: screen}, nil
		}
	}
	return WebKit{}, fmt.Errorf("the browser of WebKitGTK was not found at %q: install WebKitGTK 4.1 with its driver (on Debian: apt-get install -y webkit2gtk-driver)", places)
}

func find(command, what, debian string) (string, error) {
	path, err := exec.LookPath(command)
	if err != nil {
		return "", fmt.Errorf("%s (%s) was not found: install it (on Debian: apt-get install -y %s)", what, command, debian)
	}
	return path, nil
}
