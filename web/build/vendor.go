package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
)

// vendor is one third-party library in web/vendor, as vendor.json tells.
type vendor struct {
	Folder  string       `json:"folder"`
	Name    string       `json:"name"`
	Version string       `json:"version"`
	Licence string       `json:"licence"`
	Why     string       `json:"why"`
	Files   []vendorFile `json:"files"`
}

type vendorFile struct {
	Path   string `json:"path"` // inside web/vendor
	SHA256 string `json:"sha256"`
}

func readVendor(folder string) ([]vendor, error) {
	path := filepath.Join(folder, "vendor.json")
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("read the list of vendored code: %w", err)
	}
	var list []vendor
	if err := json.Unmarshal(b, &list); err != nil {
		return nil, fmt.Errorf("read %s: %w", path, err)
	}
	return list, nil
}
