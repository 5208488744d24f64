package browser

import (
	"errors"
	"os/exec"
)

// firefoxes are the commands of Firefox on the systems developers have.
var firefoxes = []string{
	"firefox-esr", "firefox",
	"/Applications/Firefox.app/Contents/MacOS/firefox",
	`C:\Program Files\Mozilla Firefox\firefox.exe`,
}

// FindFirefox returns the path of an installed Firefox, which needs no driver, or an error that says how to get one.
func FindFirefox() (string, error) {
	for _, name := range firefoxes {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", errors.New("no Firefox was found: install one (on Debian: apt-get install -y firefox-esr)")
}
