// Command ensure makes sure that there are browsers for the journeys, and
// drivers for those that need one. On Debian as root it installs what is
// missing from the distribution and says so; anywhere else it fails with the
// one line that mends it.
package main

import (
	"fmt"
	"os"
	"os/exec"
	"strings"

	"sideport/web/e2e/browser"
)

// needs are what the journeys drive, and the packages it comes in.
var needs = []struct {
	name     string
	packages []string
	find     func() error
}{
	{"a browser", []string{"chromium"}, func() error { _, err := browser.Find(); return err }},
	{"a driver for Chromium", []string{"chromium", "chromium-driver"}, func() error { _, err := browser.FindChromium(); return err }},
	{"WebKit with its driver and a screen", []string{"webkit2gtk-driver", "xvfb"}, func() error { _, err := browser.FindWebKit(); return err }},
	{"Firefox", []string{"firefox-esr"}, func() error { _, err := browser.FindFirefox(); return err }},
}

func main() {
	for _, need := range needs {
		missing := need.find()
		if missing != nil && canInstall() {
			fmt.Printf("ensure: %s is missing; installing %s with apt-get\n", need.name, strings.Join(need.packages, " "))
			if err := install(need.packages); err != nil {
				fail(fmt.Errorf("%w; apt-get answered: %v", missing, err))
			}
			missing = need.find()
		}
		if missing != nil {
			fail(missing)
		}
		fmt.Println("ensure: there is", need.name)
	}
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, "ensure:", err)
	os.Exit(1)
}

// canInstall is true on Debian and its children, as root.
func canInstall() bool {
	_, err := os.Stat("/etc/debian_version")
	return err == nil && os.Geteuid() == 0
}

func install(packages []string) error {
	for _, args := range [][]string{{"update"}, append([]string{"install", "-y", "--no-install-recommends"}, packages...)} {
		cmd := exec.Command("apt-get", args...)
		cmd.Env = append(os.Environ(), "DEBIAN_FRONTEND=noninteractive")
		cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
		if err := cmd.Run(); err != nil {
			return fmt.Errorf("apt-get %s: %w", args[0], err)
		}
	}
	return nil
}
