package e2e

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"sideport/web/e2e/harness"
)

// paper is a size of paper as ISO 216 gives it, in millimetres.
type paper struct {
	name          string
	width, height float64
}

var (
	a4 = paper{"A4", 210, 297}
	a5 = paper{"A5", 148, 210}
)

// Every card of the demonstration is on one A4 page, and in short on one A5 page; all of it on A5 says how many there are. Nothing that belongs there
// is missing and nothing is too small to read, with the network gone: that is when paper is wanted.
func TestACardIsOnePage(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, desk)
	b.open("/cards")
	b.sees("Find a card")
	b.installed()
	cards := s.cards()
	s.kill()
	for _, c := range cards {
		t.Run(c.ID, func(t *testing.T) {
			b.t = t
			b.open("/cards/" + c.ID + "/paper")
			if said := b.onPages("a4", c.names()...); said != 1 {
				t.Errorf("it says that it takes %d A4 pages, want 1", said)
			}
			b.prints("card-"+c.ID, a4, 1)
			b.tap("A5, in short")
			if said := b.onPages("a5", c.namesInShort()...); said != 1 {
				t.Errorf("in short it says that it takes %d A5 pages, want 1", said)
			}
			b.prints("short-"+c.ID, a5, 1)
			b.tap("A5, as A4")
			said := b.onPages("a5", c.names()...)
			b.prints("card-"+c.ID, a5, said)
		})
	}
	b.t = t
}

// The set-up of a case is one page and the pauses are another, for every case of the list.
func TestACaseIsTwoPages(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, desk)
	b.open("/")
	b.sees("No sheet yet")
	ids, err := eval[[]string](b, `[...document.querySelectorAll("a[href^='/sheet/']")].map(a => a.getAttribute("href").split("/")[2])`)
	if err != nil || len(ids) == 0 {
		t.Fatalf("the list of the demonstration: %v %v", ids, err)
	}
	for _, id := range ids {
		t.Run(id, func(t *testing.T) {
			b.t = t
			b.open("/sheet/" + id + "/setup")
			b.tapUntil("Make the sheet", "0 of ")
			b.tap("Print the set-up")
			b.onPages("a4", "Case ", "Starting limits", "Set up", "Drugs", "If…", "(C) is counted at sign out")
			b.prints("setup-"+id, a4, 1)
			b.open("/sheet/" + id + "/setup")
			b.tap("Print the pauses")
			b.onPages("a4", "Team brief", "Sign in", "Time out", "Lens check", "Sign out", "Debrief")
			b.prints("pauses-"+id, a4, 1)
		})
	}
	b.t = t
}

// Where two people have not agreed, the paper shows both values and neither alone, on the card and on the set-up.
func TestPaperShowsBothValues(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, desk)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	card := s.document("card", chopCard).Body
	for n, words := range []string{"One says this", "Another says that"} {
		s.change(n+1, card, func(c map[string]any) {
			element(c, "items", "lid-speculum")["note"] = words
		})
	}
	for _, path := range []string{"/cards/" + chopCard + "/paper", "/sheet/" + id + "/paper"} {
		b.open(path)
		b.onPages("a4", "Two values, not resolved", "One says this", "Another says that")
	}
}

// names are what must stand on the paper of a card.
func (c paperCard) names() []string {
	return c.namesOf(c.Items, c.Drugs, c.Phases, c.Steps, c.Triggers, c.Variants)
}

// namesInShort are what must stand on the part of a card for the machine.
func (c paperCard) namesInShort() []string {
	return append(c.namesOf(c.Phases, c.Steps, c.Variants), "Not on this page: what to set up, what a variant adds to it or leaves out, drugs, how each step is done, drills, the card's notes.")
}

func (c paperCard) namesOf(parts ...[]named) []string {
	list := []string{c.Title, "Revision 1", "Check that revision 1 is still current", "Demonstration: invented unit"}
	for _, part := range parts {
		for _, n := range part {
			list = append(list, n.Name+n.Title)
		}
	}
	return list
}

type named struct{ Name, Title string }

type paperCard struct {
	ID, Title                                       string
	Items, Drugs, Phases, Steps, Triggers, Variants []named
}

// cards are all cards the server has.
func (s *server) cards() []paperCard {
	s.t.Helper()
	body, err := s.get("/api/v1/snapshot")
	if err != nil {
		s.t.Fatal(err)
	}
	var snapshot struct {
		Docs []struct {
			Kind string
			Body json.RawMessage
		}
	}
	if err := json.Unmarshal(body, &snapshot); err != nil {
		s.t.Fatal(err)
	}
	var list []paperCard
	for _, d := range snapshot.Docs {
		if d.Kind != "card" {
			continue
		}
		var c paperCard
		if err := json.Unmarshal(d.Body, &c); err != nil {
			s.t.Fatal(err)
		}
		list = append(list, c)
	}
	if len(list) == 0 {
		s.t.Fatal("the server has no cards")
	}
	return list
}

// onPages waits until pages of that size hold all the words in print that can be read, and returns how many pages they say there are.
func (b *tablet) onPages(size string, words ...string) int {
	b.t.Helper()
	type laid struct {
		Text  string
		Small []string
	}
	var now laid
	eventually(b.t, "pages of "+size+" stand on "+b.where(), func() error {
		var err error
		now, err = eval[laid](b, fmt.Sprintf(`(() => { const leaves = [...document.querySelectorAll(".paper > section.leaf-%s")];
			const small = leaves.flatMap(l => [...l.querySelectorAll("*")]).filter(e => parseFloat(getComputedStyle(e).fontSize) < %f).map(e => e.className + " " + e.textContent);
			return { text: leaves.map(l => l.innerText).join(" ").replace(/\s+/g, " "), small } })()`, size, eightPoint))
		if err != nil {
			return err
		}
		for _, w := range words {
			if !strings.Contains(now.Text, w) {
				return fmt.Errorf("%q is not on it: %.3000s", w, now.Text)
			}
		}
		return nil
	})
	if len(now.Small) > 0 {
		b.t.Errorf("smaller than 8 pt: %.500q", now.Small)
	}
	said := regexp.MustCompile(`page 1 of (\d+)`).FindStringSubmatch(now.Text)
	if said == nil {
		b.t.Fatalf("the page does not say how many there are: %.3000s", now.Text)
	}
	n, err := strconv.Atoi(said[1])
	if err != nil {
		b.t.Fatal(err)
	}
	return n
}

// eightPoint is the smallest type on paper in CSS pixels, of which 96 make an inch (CSS Values and Units 4, 6.2), less what rounding takes.
const eightPoint = 8*96.0/72 - 0.01

// mediaBox is the size of a page in a PDF, in points of 1/72 inch: ISO 32000-1, 14.11.2.
var mediaBox = regexp.MustCompile(`/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]`)

// prints holds that it comes out on so many pages of that size. SIDEPORT_PICTURES keeps the file.
func (b *tablet) prints(name string, p paper, want int) {
	b.t.Helper()
	b.portraits(name+"-"+p.name, want)
	pdf := b.pdf(name + "-" + p.name)
	if got := harness.Pages(pdf); got != want {
		b.t.Errorf("it prints on %d %s pages, want %d", got, p.name, want)
	}
	boxes := mediaBox.FindAllSubmatch(pdf, -1)
	if len(boxes) == 0 {
		b.t.Error("the pages have no size")
	}
	for _, box := range boxes {
		if w, h := millimetres(b, box[1]), millimetres(b, box[2]); math.Abs(w-p.width) > 1 || math.Abs(h-p.height) > 1 {
			b.t.Errorf("a page of %.0f × %.0f mm, want %s", w, h, p.name)
		}
	}
}

func millimetres(b *tablet, points []byte) float64 {
	b.t.Helper()
	f, err := strconv.ParseFloat(string(points), 64)
	if err != nil {
		b.t.Fatal(err)
	}
	return f / 72 * 25.4
}

// The code on the page, read by a decoder that is none of this program's, is the address of the card on this server.
func TestTheCodeOnPaperLeadsBack(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, desk)
	b.open("/cards/" + chopCard)
	b.tap("Print")
	b.onPages("a4", chopTitle)
	eventually(t, "the code can be read", func() error {
		got, err := b.decoded(".paper > .leaf .leaf-code")
		if want := s.url("/cards/" + chopCard); err == nil && got != want {
			err = fmt.Errorf("it leads to %q, want %q", got, want)
		}
		return err
	})
}

// decoded reads the QR code (ISO/IEC 18004) in a picture of what a selector names, with the Go port of a decoder that many readers use.
func (b *tablet) decoded(selector string) (string, error) {
	// Nothing that lies over the page may be in the picture.
	if _, err := eval[bool](b, fmt.Sprintf(`(document.querySelector(%s)?.scrollIntoView({ block: "center", behavior: "instant" }), true)`, quoted(selector))); err != nil {
		return "", err
	}
	data, err := b.pictureOf(selector, 4)
	if err != nil {
		return "", err
	}
	picture, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return "", err
	}
	bitmap, err := gozxing.NewBinaryBitmapFromImage(picture)
	if err != nil {
		return "", err
	}
	found, err := qrcode.NewQRCodeReader().Decode(bitmap, nil)
	if err != nil {
		return "", err
	}
	return found.GetText(), nil
}

// pictureOf is a picture of what a selector names, whether it fits the screen or not.
func (b *tablet) pictureOf(selector string, scale float64) ([]byte, error) {
	at, err := eval[*page.Viewport](b, fmt.Sprintf(`(() => { const e = document.querySelector(%s); if (!e) return null;
		const r = e.getBoundingClientRect(); return { x: r.x + scrollX, y: r.y + scrollY, width: r.width, height: r.height, scale: %f } })()`, quoted(selector), scale))
	if err != nil {
		return nil, err
	}
	if at == nil {
		return nil, fmt.Errorf("there is no %s", selector)
	}
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	beyond := true
	shot, err := chromedp.Run(ctx, func(ctx context.Context, _ *chromedp.Target) (page.CaptureScreenshotResult, error) {
		return chromedp.Call(ctx, page.CaptureScreenshot, page.CaptureScreenshotParams{Clip: at, CaptureBeyondViewport: &beyond})
	})
	if err != nil {
		return nil, fmt.Errorf("take the picture of %s: %w", selector, err)
	}
	return shot.Data, nil
}

// portraits keeps a picture of each page when SIDEPORT_PICTURES names a folder.
func (b *tablet) portraits(name string, pages int) {
	b.t.Helper()
	dir := os.Getenv("SIDEPORT_PICTURES")
	if dir == "" {
		return
	}
	b.onPaper("print") // without what lies over the page on a screen
	defer b.onPaper("")
	for n := range pages {
		picture, err := b.pictureOf(fmt.Sprintf(".paper > .leaf:nth-of-type(%d)", n+1), 1.6)
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, fmt.Sprintf("page-%s-%d.png", name, n+1)), picture, 0o644)
		}
		if err != nil {
			b.t.Errorf("picture of page %d of %s: %v", n+1, name, err)
		}
	}
}
