package e2e

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"sideport/web"
)

// nextBuild names the client of the next version; real ones are hashes, and of the same length.
const nextBuild = "fedcba9876543210fedcba9876543210"

// nextProgram is the server with the next version of the client: the page and the
// service worker are other bytes, and name another build, as after any change.
var nextProgram = sync.OnceValues(func() (string, error) {
	now, err := program() // its folder is removed at the end, and this with it
	if err != nil {
		return "", err
	}
	dir := filepath.Dir(now)
	replace, err := nextClient(filepath.Join(dir, "next"))
	if err != nil {
		return "", err
	}
	overlay := filepath.Join(dir, "overlay.json")
	list, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return "", err
	}
	if err := os.WriteFile(overlay, list, 0o644); err != nil {
		return "", err
	}
	path := filepath.Join(dir, "sideport-next")
	if out, err := exec.Command("go", "build", "-overlay", overlay, "-o", path, "sideport/server").CombinedOutput(); err != nil {
		return "", fmt.Errorf("build the server with the next client: %w\n%s", err, out)
	}
	return path, nil
})

// nextClient writes the files that differ in the next version and says what each stands in for.
func nextClient(dir string) (map[string]string, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	assets, err := web.Assets()
	if err != nil {
		return nil, err
	}
	dist, err := filepath.Abs("../dist")
	if err != nil {
		return nil, err
	}
	page, worker := assets.Files[web.Index].Raw, assets.Files["sw.js"].Raw
	nextPage := bytes.ReplaceAll(page, []byte(assets.Build), []byte(nextBuild))
	nextWorker := bytes.ReplaceAll(worker, []byte(assets.Build), []byte(nextBuild))
	nextWorker = bytes.ReplaceAll(nextWorker, []byte(integrity(page)), []byte(integrity(nextPage)))
	if bytes.Equal(nextPage, page) || bytes.Equal(nextWorker, bytes.ReplaceAll(worker, []byte(assets.Build), []byte(nextBuild))) {
		return nil, errors.New("the page does not name its build, or the service worker does not hold the page's hash")
	}
	list, err := os.ReadFile(filepath.Join(dist, "bundle.json"))
	if err != nil {
		return nil, err
	}
	list, err = relisted(list, map[string][]byte{web.Index: nextPage, "sw.js": nextWorker})
	if err != nil {
		return nil, err
	}
	replace := map[string]string{}
	for name, content := range map[string][]byte{web.Index: nextPage, "sw.js": nextWorker, "bundle.json": list} {
		replace[filepath.Join(dist, name)] = filepath.Join(dir, name)
		if err := os.WriteFile(filepath.Join(dir, name), content, 0o644); err != nil {
			return nil, err
		}
	}
	return replace, nil
}

// relisted is the list of the client's files with other contents for some, which then come uncompressed.
func relisted(list []byte, changed map[string][]byte) ([]byte, error) {
	var bundle struct {
		Build string           `json:"build"`
		Files []map[string]any `json:"files"`
	}
	if err := json.Unmarshal(list, &bundle); err != nil {
		return nil, err
	}
	bundle.Build = nextBuild
	for _, f := range bundle.Files {
		if content, ok := changed[f["file"].(string)]; ok {
			sum := sha256.Sum256(content)
			f["sha256"], f["brotli"], f["gzip"] = hex.EncodeToString(sum[:]), false, false
		}
	}
	return json.Marshal(bundle)
}

func integrity(content []byte) string {
	sum := sha256.Sum256(content)
	return base64.StdEncoding.EncodeToString(sum[:])
}

// updates puts the next version of the program in the place of this one, with the data it has.
func (s *server) updates() {
	s.t.Helper()
	if _, err := nextProgram(); err != nil {
		s.t.Fatal(err)
	}
	s.kill()
	now := program
	program = nextProgram
	defer func() { program = now }()
	s.start()
}

// A new version comes while edits wait: it is offered when it is wholly on the
// tablet and not before, taken when somebody says so, and sends what the
// version before it kept.
func TestBatteryNewVersionWithEditsWaiting(t *testing.T) {
	rounds(t, func(t *testing.T, draw *rand.Rand) {
		w, l, b := someone(t)
		b.expectComplaints("a sign-in page answers in the middle of an update")
		if err := w.updated(l, b, draw); err != nil {
			t.Fatal(err)
		}
	})
}

// updated keeps edits before the next version is there, before it is taken and after, and has them sent by it.
func (w *witness) updated(l *line, b *tablet, draw *rand.Rand) error {
	t := w.s.t
	t.Helper()
	var kept []*intent
	keep := func() {
		i := w.means(phases[len(kept)], fmt.Sprint(300+draw.IntN(50)))
		b.changes(i)
		kept = append(kept, i)
	}
	l.puts(away)
	keep()
	w.s.updates()
	busy := sending(says(http.StatusServiceUnavailable, map[string]string{"Retry-After": "1"}, `{"code":"unavailable","text":"Come again later."}`))
	b.isOfferedNoHalf(l, busy)
	l.puts(busy)
	if draw.IntN(2) == 0 {
		keep()
	}
	b.open("/")
	b.sees(newVersion)
	b.sees(fmt.Sprintf("%d edit", len(kept)))
	b.takes()
	keep()
	l.puts(nil)
	b.sends()
	wrong := []error{w.judge()}
	for _, i := range kept {
		wrong = append(wrong, w.stands(i))
	}
	return errors.Join(wrong...)
}

// isOfferedNoHalf has the next version's service worker arrive and the page it names not: half a version, which is not offered.
func (b *tablet) isOfferedNoHalf(l *line, besides fault) {
	b.t.Helper()
	l.puts(first(only(http.MethodGet, "/", signIn()), besides))
	b.open("/")
	l.wasMet()
	b.runs("await (await navigator.serviceWorker.getRegistration()).update().catch(() => {})")
	if text, err := b.text(); err != nil || strings.Contains(text, newVersion) || isForeign(text) {
		b.t.Fatalf("half a version is offered (%v): %s", err, text)
	}
}

// takes takes the new version. Where the browser lets the old service worker go on all the same, the program is closed
// and opened again, as a person would; that is noted, as it is no fault of what was kept.
func (b *tablet) takes() {
	b.t.Helper()
	b.tap(takeIt)
	for end := time.Now().Add(patience / 3); time.Now().Before(end); time.Sleep(200 * time.Millisecond) {
		if b.isOf(nextBuild) == nil {
			return
		}
	}
	b.t.Log("the new version did not take over when it was asked to: the program is closed and opened again")
	b.reopen()
	eventually(b.t, "the page is of the next version", func() error {
		b.open("/")
		return b.isOf(nextBuild)
	})
}

func (b *tablet) isOf(build string) error {
	is, err := eval[string](b, `document.querySelector("meta[name=build]").content`)
	if err == nil && is != build {
		err = fmt.Errorf("it is of %s", is)
	}
	return err
}

const takeIt = "Take it now"

const newVersion = "A new version is ready."
