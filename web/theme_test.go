package web_test

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"testing"
)

// The colours of both looks are checked against the published definition of
// contrast: W3C, Web Content Accessibility Guidelines (WCAG) 2.2, "relative
// luminance" and "contrast ratio".

// readable lists what text stands on what. 7 to 1 is WCAG 2.2, success
// criterion 1.4.6 (enhanced), kept here for all text because the room is dark.
var readable = []pair{
	{"ink", "ground"}, {"ink", "surface"}, {"ink", "raised"}, {"ink", "accent-wash"},
	{"ink-quiet", "ground"}, {"ink-quiet", "surface"}, {"ink-quiet", "raised"},
	{"accent", "ground"}, {"accent", "surface"}, {"accent", "raised"},
	{"accent-ink", "accent"},
	{"caution", "ground"}, {"caution", "surface"},
	{"stop", "ground"}, {"stop", "surface"},
	{"ok", "ground"}, {"ok", "surface"}, {"ground", "ok"},
}

// seen lists the edges of things that are touched. 3 to 1 is WCAG 2.2, success criterion 1.4.11.
var seen = []pair{
	{"edge", "ground"}, {"edge", "surface"},
	{"accent", "accent-wash"}, {"stop", "surface"}, {"caution", "surface"},
}

type pair struct{ front, back string }

func TestContrastOfBothLooks(t *testing.T) {
	for name, look := range looks(t) {
		for _, p := range readable {
			atLeast(t, name, look, p, 7)
		}
		for _, p := range seen {
			atLeast(t, name, look, p, 3)
		}
	}
}

func atLeast(t *testing.T, name string, look map[string]string, p pair, want float64) {
	t.Helper()
	front, back := look[p.front], look[p.back]
	if front == "" || back == "" {
		t.Errorf("%s: theme.css does not give --%s and --%s as #rrggbb", name, p.front, p.back)
		return
	}
	if got := contrast(t, front, back); got < want {
		t.Errorf("%s: --%s %s on --%s %s has a contrast of %.2f to 1, want at least %g to 1", name, p.front, front, p.back, back, got, want)
	}
}

// The formula itself is checked against figures outside this project.
func TestContrastFormula(t *testing.T) {
	cases := []struct {
		front, back string
		want        float64
		source      string
	}{
		{"#000000", "#ffffff", 21, "WCAG 2.2, contrast ratio: ranges from 1 to 21"},
		{"#ffffff", "#ffffff", 1, "WCAG 2.2, contrast ratio: ranges from 1 to 21"},
		{"#767676", "#ffffff", 4.54, "the grey commonly named as the lightest that passes 4.5 to 1 on white; value from memory, unconfirmed"},
	}
	for _, c := range cases {
		if got := contrast(t, c.front, c.back); math.Abs(got-c.want) > 0.005 {
			t.Errorf("contrast of %s on %s = %.3f, want %g (%s)", c.front, c.back, got, c.want, c.source)
		}
	}
}

// TestLooksNameTheSameColours makes sure that no colour of one look is left over in the other.
func TestLooksNameTheSameColours(t *testing.T) {
	l := looks(t)
	for name := range l["dim"] {
		if l["bright"][name] == "" {
			t.Errorf("theme.css: the bright look does not say what --%s is", name)
		}
	}
	for name := range l["bright"] {
		if l["dim"][name] == "" {
			t.Errorf("theme.css: the dim look does not say what --%s is", name)
		}
	}
}

var (
	lookBlock = regexp.MustCompile(`(?s):root(\[data-look="bright"\])?\s*\{(.*?)\n\}`)
	colour    = regexp.MustCompile(`--([a-z-]+):\s*(#[0-9a-f]{6});`)
)

// looks reads the colours of theme.css by look.
func looks(t *testing.T) map[string]map[string]string {
	t.Helper()
	css, err := os.ReadFile("app/theme.css")
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]map[string]string{"dim": {}, "bright": {}}
	for _, block := range lookBlock.FindAllStringSubmatch(string(css), -1) {
		name := "dim"
		if block[1] != "" {
			name = "bright"
		}
		for _, c := range colour.FindAllStringSubmatch(block[2], -1) {
			found[name][c[1]] = c[2]
		}
	}
	if len(found["dim"]) == 0 || len(found["bright"]) == 0 {
		t.Fatal("theme.css has no colours under :root or none under :root[data-look=\"bright\"]")
	}
	return found
}

// contrast is (L1 + 0.05) / (L2 + 0.05), L1 being the lighter.
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	la, lb := luminance(t, a), luminance(t, b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

// luminance is 0.2126 R + 0.7152 G + 0.0722 B of the linear channels.
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	n, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil {
		t.Fatalf("%s is not a colour: %v", hex, err)
	}
	channel := func(v uint64) float64 {
		c := float64(v&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(n>>16) + 0.7152*channel(n>>8) + 0.0722*channel(n)
}

// A browser that translates by itself would put other words into a list of instruments (HTML standard, attribute “translate”).
func TestThePageIsNotTranslated(t *testing.T) {
	page, err := os.ReadFile("app/index.html")
	if err != nil {
		t.Fatal(err)
	}
	if !regexp.MustCompile(`<html [^>]*translate="no"`).Match(page) {
		t.Error("the page lets the browser translate it")
	}
}
