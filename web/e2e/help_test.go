package e2e

import (
	"fmt"
	"strings"
	"testing"
)

// The guide opens with no network, every page of it is reached from the index, and every screen it leads to is there.
func TestHelpWithoutANetwork(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.open("/")
	b.sees("No sheet yet")
	b.installed()
	s.kill()
	b.tap("Help")
	b.sees("By what you do")
	b.fits("help")
	b.screenshot("help")
	pages := b.linksOf(".help")
	if len(pages) < 5 {
		t.Fatalf("the index names %v, want a page for each role and more", pages)
	}
	screens := map[string]string{} // by path, with the page that leads there
	for _, path := range pages {
		b.open(path)
		b.sees("All of the help")
		b.fits(path)
		b.screenshot("help-" + strings.ReplaceAll(strings.TrimPrefix(path, "/help/"), "/", "-"))
		for _, to := range b.linksOf(".help") {
			screens[to] = path
		}
	}
	for path, from := range screens {
		b.open(path)
		eventually(t, path+" shows a screen", func() error {
			heading, err := eval[string](b, `document.getElementById("heading")?.innerText ?? ""`)
			switch {
			case err != nil:
				return err
			case heading == "" || heading == "Sideport":
				return fmt.Errorf("the heading is %q", heading)
			case heading == "There is nothing at this address" || heading == "Help" && path != "/help":
				t.Fatalf("%s leads to %s, where nothing is", from, path)
			}
			return nil
		})
	}
}

// linksOf are the addresses that links in an element lead to, each once.
func (b *tablet) linksOf(selector string) []string {
	b.t.Helper()
	list, err := eval[[]string](b, fmt.Sprintf(`[...new Set([...document.querySelectorAll(%s)].map(a => a.getAttribute("href")))]`, quoted(selector+" a[href]")))
	if err != nil {
		b.t.Fatal(err)
	}
	return list
}

// Whoever is new sees the first steps of the own role; put away, they do not come back, and another role has its own.
func TestFirstSteps(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.open("/")
	b.sees("First time here?")
	b.screenshot("first-nobody")
	b.becomes("Clementine Harbourlight")
	b.open("/")
	b.sees("First steps for the scrub nurse")
	b.fits("first steps")
	b.screenshot("first-scrub")
	b.tap("Put away")
	b.gone("First steps for the scrub nurse")
	b.open("/")
	b.sees("No sheet yet")
	b.gone("First steps for")

	b.becomes(chopSurgeon)
	b.open("/")
	b.sees("First steps for the surgeon")
	b.tap("Read more")
	b.sees("Change one value")
}

// gone waits until the words stand nowhere on the screen.
func (b *tablet) gone(words string) {
	b.t.Helper()
	eventually(b.t, fmt.Sprintf("%q is gone from %s", words, b.where()), func() error {
		text, err := b.text()
		if err == nil && strings.Contains(text, words) {
			err = fmt.Errorf("the screen says: %.600s", text)
		}
		return err
	})
}

// A screen with nothing to show says so, says what to do, and leads to its page of the help.
func TestEmptyScreensLeadOn(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.open("/")
	b.sees("No sheet yet")
	for _, path := range []string{"/waiting", "/proposals", "/waiting/set-aside", "/list/2020-01-01/setup", "/records/none"} {
		b.open(path)
		b.tap("Help for this screen")
		b.sees("All of the help")
	}
}
