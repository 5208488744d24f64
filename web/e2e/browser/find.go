// Package browser finds the browser the journeys drive: an installed Chrome,
// Chromium or Edge. The journeys never run without one and never skip.
package browser

import (
	"fmt"
	"os"
	"os/exec"
)

// names are the commands of the browsers that speak the protocol the journeys
// use, on the systems developers have.
var names = []string{
	"chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome",
	"microsoft-edge", "microsoft-edge-stable",
	"/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
	"/Applications/Chromium.app/Contents/MacOS/Chromium",
	"/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
	`C:\Program Files\Google\Chrome\Application\chrome.exe`,
	`C:\Program Files (x86)\Microsoft\Edge\Application\msedge.exe`,
}

// Variable names the environment variable that points at a browser elsewhere.
const Variable = "SIDEPORT_BROWSER"

// Find returns the path of an installed browser, or an error that says how to get one.
func Find() (string, error) {
	if path := os.Getenv(Variable); path != "" {
		if _, err := exec.LookPath(path); err != nil {
			return "", fmt.Errorf("%s names %q, which cannot be run: %w", Variable, path, err)
		}
		return path, nil
	}
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", fmt.Errorf("no Chrome, Chromium or Edge was found: install one, or set %s to its path (on Debian: apt-get install -y chromium)", Variable)
}
