package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// notInlined are the packages compiled without inlining for the browser, which
// takes about a tenth off the compressed size. The runtime and reflection
// keep their inlining: without it anywhere a sheet takes twice as long.
var notInlined = []string{
	"github.com/yuin/goldmark/...", "sideport/cards", "sideport/checklist/...", "sideport/web/core",
	"bufio", "bytes", "embed", "encoding/base64", "encoding/json", "errors", "fmt", "html", "io", "io/fs", "iter", "math/big", "math/rand", "net/netip",
	"net/url", "os", "path", "regexp/...", "slices", "sort", "strconv", "strings", "syscall", "syscall/js", "time", "unicode", "unicode/utf16", "unique", "weak",
	"internal/bisect", "internal/fmtsort", "internal/reflectlite", "internal/strconv", "math/bits",
}

// compileCore compiles web/core to WebAssembly. The flags leave out whatever
// differs between machines (paths, build ids, version control), so that the
// same sources give the same bytes.
func compileCore(web string) ([]byte, error) {
	folder, err := os.MkdirTemp("", "sideport-core-")
	if err != nil {
		return nil, fmt.Errorf("make a folder for the core: %w", err)
	}
	defer os.RemoveAll(folder)
	target := filepath.Join(folder, "core.wasm")
	args := []string{"build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w -buildid=", "-o", target}
	for _, pattern := range notInlined {
		args = append(args, "-gcflags="+pattern+"=-l")
	}
	if _, err := goTool(web, []string{"GOOS=js", "GOARCH=wasm", "GOWASM=", "GOFLAGS=", "GOEXPERIMENT="}, append(args, "./core")...); err != nil {
		return nil, fmt.Errorf("compile the core: %w", err)
	}
	b, err := os.ReadFile(target)
	if err != nil {
		return nil, fmt.Errorf("read the core: %w", err)
	}
	return b, nil
}

// wasmGlue reads Go's own JavaScript for WebAssembly from the toolchain in use.
func wasmGlue(web string) (string, error) {
	root, err := goTool(web, nil, "env", "GOROOT")
	if err != nil {
		return "", fmt.Errorf("find the Go installation: %w", err)
	}
	b, err := os.ReadFile(filepath.Join(strings.TrimSpace(root), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return "", fmt.Errorf("the Go installation lacks its WebAssembly support, install Go from its own archive: %w", err)
	}
	return string(b), nil
}

func goTool(folder string, env []string, args ...string) (string, error) {
	c := exec.Command("go", args...)
	c.Dir = folder
	c.Env = append(os.Environ(), env...)
	var complaints bytes.Buffer
	c.Stderr = &complaints
	out, err := c.Output()
	if err != nil {
		return "", fmt.Errorf("go %s: %w\n%s", args[0], err, complaints.String())
	}
	return string(out), nil
}
