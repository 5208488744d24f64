// Package harness is what the journeys of every browser need besides the
// browser: the built server, its process, and patience. The server is killed,
// not mocked.
package harness

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"

	"sideport/web"
)

// Program is the built server, built once for all journeys of a package.
var Program = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "sideport-e2e-")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "sideport")
	out, err := exec.Command("go", "build", "-o", path, "sideport/server").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("build the server: %w\n%s", err, out)
	}
	return path, nil
})

// Clean removes what was built; for the end of TestMain.
func Clean() {
	if path, err := Program(); err == nil {
		os.RemoveAll(filepath.Dir(path))
	}
}

// NextBuild names the client of the next version; real ones are hashes, and of the same length.
const NextBuild = "fedcba9876543210fedcba9876543210"

// NextProgram is the server with the next version of the client: the page and the
// service worker are other bytes, and name another build, as after any change.
var NextProgram = sync.OnceValues(func() (string, error) {
	now, err := Program() // its folder is removed at the end, and this with it
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
	dist, err := distFolder()
	if err != nil {
		return nil, err
	}
	page, worker := assets.Files[web.Index].Raw, assets.Files["sw.js"].Raw
	nextPage := bytes.ReplaceAll(page, []byte(assets.Build), []byte(NextBuild))
	nextWorker := bytes.ReplaceAll(worker, []byte(assets.Build), []byte(NextBuild))
	nextWorker = bytes.ReplaceAll(nextWorker, []byte(integrity(page)), []byte(integrity(nextPage)))
	if bytes.Equal(nextPage, page) || bytes.Equal(nextWorker, bytes.ReplaceAll(worker, []byte(assets.Build), []byte(NextBuild))) {
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

// distFolder is where the built client lies, from whatever package the journey is in.
func distFolder() (string, error) {
	out, err := exec.Command("go", "list", "-f", "{{.Dir}}", "sideport/web").Output()
	if err != nil {
		return "", fmt.Errorf("find the folder of the client: %w", err)
	}
	return filepath.Join(string(bytes.TrimSpace(out)), "dist"), nil
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
	bundle.Build = NextBuild
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
