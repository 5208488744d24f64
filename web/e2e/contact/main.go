// Command contact makes the contact sheets under docs/pictures: every screen of
// the app in both looks at the sizes of a phone, a tablet and a desk, and the
// screens of the theatre as people with other colour vision see them. It runs
// the journey that visits all screens, has the browser lay its pictures out and
// keeps the result with a palette, so that it stays small.
//
//	go run ./web/e2e/contact
//	go run ./web/e2e/contact /tmp/pictures      # from pictures that were taken before
package main

import (
	"bytes"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"sideport/web/e2e/browser"
)

// sheet is one contact sheet: which pictures stand on it and how wide each is shown.
type sheet struct {
	name, title    string
	wanted         *regexp.Regexp // its groups are what is written above it
	columns, width int
	height         int // of one picture
}

var sheets = []sheet{
	{"contact-phone-dim", "Phone, 390 × 844, dim look", regexp.MustCompile(`^(.+)-dim-390x844\.png$`), 9, 150, 325},
	{"contact-phone-bright", "Phone, 390 × 844, bright look", regexp.MustCompile(`^(.+)-bright-390x844\.png$`), 9, 150, 325},
	{"contact-tablet-dim", "Tablet, 820 × 1180, dim look", regexp.MustCompile(`^(.+)-dim-820x1180\.png$`), 7, 205, 295},
	{"contact-tablet-bright", "Tablet, 820 × 1180, bright look", regexp.MustCompile(`^(.+)-bright-820x1180\.png$`), 7, 205, 295},
	{"contact-desk-dim", "Desk, 1280 × 800, dim look", regexp.MustCompile(`^(.+)-dim-1280x800\.png$`), 5, 288, 180},
	{"contact-desk-bright", "Desk, 1280 × 800, bright look", regexp.MustCompile(`^(.+)-bright-1280x800\.png$`), 5, 288, 180},
	{"contact-colour-vision", "Theatre screens with simulated colour vision", regexp.MustCompile(`^(.+)-seen-with-(.+)-820x1180\.png$`), 8, 164, 236},
}

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "contact:", err)
		os.Exit(1)
	}
}

func run() error {
	pictures, done, err := taken()
	if err != nil {
		return err
	}
	defer done()
	names, err := filepath.Glob(filepath.Join(pictures, "*.png"))
	if err != nil {
		return err
	}
	for _, s := range sheets {
		if err := s.make(pictures, names); err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
	}
	return nil
}

// taken is the folder with the pictures, and what to do when they were used.
func taken() (folder string, done func(), err error) {
	if len(os.Args) > 1 {
		folder, err = filepath.Abs(os.Args[1])
		return folder, func() {}, err
	}
	if folder, err = os.MkdirTemp("", "sideport-contact-"); err != nil {
		return "", nil, err
	}
	done = func() { os.RemoveAll(folder) }
	if err = visit(folder); err != nil {
		done()
	}
	return folder, done, err
}

// visit has the journey take its pictures.
func visit(pictures string) error {
	cmd := exec.Command("go", "test", "sideport/web/e2e", "-count=1", "-run", "TestScreens$")
	cmd.Env = append(os.Environ(), "SIDEPORT_PICTURES="+pictures)
	cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("visit every screen: %w", err)
	}
	return nil
}

// make lays the sheet's pictures out and writes it to docs/pictures.
func (s sheet) make(folder string, names []string) error {
	var on []string
	for _, n := range names {
		if m := s.wanted.FindStringSubmatch(filepath.Base(n)); m != nil {
			on = append(on, figure(filepath.Base(n), strings.Join(m[1:], ", "), s.width, s.height))
		}
	}
	if len(on) == 0 {
		return fmt.Errorf("no picture is named like %s", s.wanted)
	}
	slices.Sort(on)
	const gap, caption, head = 10, 22, 50
	rows := (len(on) + s.columns - 1) / s.columns
	width := gap + s.columns*(s.width+gap)
	height := head + rows*(s.height+caption+gap)
	page := fmt.Sprintf(layout, width, height, s.columns, s.width, gap, html.EscapeString(s.title), strings.Join(on, "\n"))
	if err := os.WriteFile(filepath.Join(folder, s.name+".html"), []byte(page), 0o644); err != nil {
		return err
	}
	drawn, err := draw(filepath.Join(folder, s.name+".html"), filepath.Join(folder, s.name+".sheet.png"), width, height)
	if err != nil {
		return err
	}
	return keep(filepath.Join("docs", "pictures", s.name+".png"), drawn)
}

const layout = `<!doctype html><meta charset="utf-8"><style>
	body { margin: 0; width: %dpx; height: %dpx; background: #777; color: #fff; font: 14px/20px sans-serif; overflow: hidden }
	h1 { font-size: 18px; line-height: 50px; margin: 0 10px } main { display: grid; grid-template-columns: repeat(%d, %dpx); gap: %dpx; padding: 0 10px }
	figure { margin: 0 } img { display: block } figcaption { height: 22px; overflow: hidden; white-space: nowrap }
</style><h1>%s</h1><main>
%s
</main>`

func figure(file, name string, width, height int) string {
	return fmt.Sprintf(`<figure><figcaption>%s</figcaption><img src="%s" width="%d" height="%d"></figure>`, html.EscapeString(name), html.EscapeString(file), width, height)
}

// draw has the browser draw the page into a file and reads it.
func draw(page, out string, width, height int) (image.Image, error) {
	path, err := browser.Find()
	if err != nil {
		return nil, err
	}
	profile, err := os.MkdirTemp("", "sideport-contact-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(profile)
	args := []string{"--headless", "--hide-scrollbars", "--user-data-dir=" + profile, "--screenshot=" + out, fmt.Sprintf("--window-size=%d,%d", width, height)}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox") // the browser refuses to run as root with it
	}
	if said, err := exec.Command(path, append(args, "file://"+page)...).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("draw the sheet: %w\n%s", err, said)
	}
	b, err := os.ReadFile(out)
	if err != nil {
		return nil, err
	}
	return png.Decode(bytes.NewReader(b))
}

// colours is how many a sheet keeps: few enough to be small, enough that letters stay smooth.
const colours = 48

// keep writes the picture with a palette of its most used colours.
func keep(path string, from image.Image) error {
	palette := mostUsed(from)
	to := image.NewPaletted(from.Bounds(), palette)
	nearest := map[color.RGBA]uint8{}
	for y := from.Bounds().Min.Y; y < from.Bounds().Max.Y; y++ {
		for x := from.Bounds().Min.X; x < from.Bounds().Max.X; x++ {
			c := color.RGBAModel.Convert(from.At(x, y)).(color.RGBA)
			at, known := nearest[c]
			if !known {
				at = uint8(palette.Index(c))
				nearest[c] = at
			}
			to.SetColorIndex(x, y, at)
		}
	}
	var out bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, to); err != nil {
		return err
	}
	fmt.Printf("%s: %d bytes\n", path, out.Len())
	return os.WriteFile(path, out.Bytes(), 0o644)
}

// mostUsed is the palette: the picture's colours in coarse boxes, the fullest boxes first, each with its own mean.
func mostUsed(of image.Image) color.Palette {
	type box struct{ n, r, g, b int }
	boxes := map[[3]uint8]*box{}
	for y := of.Bounds().Min.Y; y < of.Bounds().Max.Y; y++ {
		for x := of.Bounds().Min.X; x < of.Bounds().Max.X; x++ {
			c := color.RGBAModel.Convert(of.At(x, y)).(color.RGBA)
			at := [3]uint8{c.R >> 4, c.G >> 4, c.B >> 4}
			if boxes[at] == nil {
				boxes[at] = &box{}
			}
			in := boxes[at]
			in.n, in.r, in.g, in.b = in.n+1, in.r+int(c.R), in.g+int(c.G), in.b+int(c.B)
		}
	}
	full := make([]*box, 0, len(boxes))
	for _, in := range boxes {
		full = append(full, in)
	}
	slices.SortFunc(full, func(a, b *box) int {
		if a.n != b.n {
			return b.n - a.n
		}
		return (a.r + a.g + a.b) - (b.r + b.g + b.b)
	})
	var palette color.Palette
	for _, in := range full[:min(colours, len(full))] {
		palette = append(palette, color.RGBA{uint8(in.r / in.n), uint8(in.g / in.n), uint8(in.b / in.n), 255})
	}
	return palette
}
