package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/andybalholm/brotli"
)

const (
	bestBrotli  = 11
	quickBrotli = 5
	window      = 24  // the widest one that every browser reads
	worthIt     = 200 // bytes saved below which a second form is not worth serving
)

// compress makes the compressed forms of every file. quick is for trying things out.
func (s *site) compress(quick bool) error {
	level := bestBrotli
	if quick {
		level = quickBrotli
	}
	for _, f := range s.files {
		br, err := cachedBrotli(f.Content, level)
		if err != nil {
			return fmt.Errorf("compress %s: %w", f.Path, err)
		}
		gz, err := gzipped(f.Content)
		if err != nil {
			return fmt.Errorf("compress %s: %w", f.Path, err)
		}
		f.brotli, f.gzip = smaller(br, f.Content), smaller(gz, f.Content)
	}
	return nil
}

func smaller(compressed, content []byte) []byte {
	if len(compressed)+worthIt > len(content) {
		return nil
	}
	return compressed
}

func gzipped(content []byte) ([]byte, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(content); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// slow is the size above which a result is remembered between builds: the
// core takes some ten seconds and seldom changes.
const slow = 500_000

// cachedBrotli compresses, or takes the remembered result for the same bytes.
// A remembered result counts only if it unpacks to exactly these bytes.
func cachedBrotli(content []byte, level int) ([]byte, error) {
	if len(content) < slow {
		return brotlied(content, level)
	}
	folder, err := os.UserCacheDir()
	if err != nil {
		return brotlied(content, level) // a machine without a home: only slower
	}
	sum := sha256.Sum256(content)
	path := filepath.Join(folder, "sideport", fmt.Sprintf("%s-%d-%d.br", hex.EncodeToString(sum[:]), level, window))
	if known, err := os.ReadFile(path); err == nil && unpacksTo(known, content) {
		return known, nil
	}
	fresh, err := brotlied(content, level)
	if err != nil {
		return nil, err
	}
	remember(path, fresh)
	return fresh, nil
}

// remember stores a result for the next build. If it cannot, the next build only takes longer.
func remember(path string, b []byte) {
	if os.MkdirAll(filepath.Dir(path), 0o755) == nil {
		_ = os.WriteFile(path, b, 0o644)
	}
}

func unpacksTo(compressed, content []byte) bool {
	b, err := io.ReadAll(brotli.NewReader(bytes.NewReader(compressed)))
	return err == nil && bytes.Equal(b, content)
}

func brotlied(content []byte, level int) ([]byte, error) {
	var b bytes.Buffer
	w := brotli.NewWriterOptions(&b, brotli.WriterOptions{Quality: level, LGWin: window})
	if _, err := w.Write(content); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
