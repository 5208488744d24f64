package harness

import (
	"bytes"
	"compress/zlib"
	"io"
	"regexp"
)

var (
	// page is one page in a PDF: ISO 32000-1, 7.7.3.3, table 30, "Type" of a page object; /Pages is the tree above them.
	page = regexp.MustCompile(`/Type\s*/Page\b`)
	// stream begins what an object holds: ISO 32000-1, 7.3.8.1.
	stream = regexp.MustCompile(`\bstream\r?\n`)
)

// Pages counts the pages of a PDF. Some programs write the page objects plainly, others into compressed streams
// (ISO 32000-1, 7.5.7, "Object streams").
func Pages(pdf []byte) int {
	n := len(page.FindAll(pdf, -1))
	for _, at := range stream.FindAllIndex(pdf, -1) {
		z, err := zlib.NewReader(bytes.NewReader(pdf[at[1]:]))
		if err != nil {
			continue // stored in another way, as pictures and fonts may be
		}
		held, _ := io.ReadAll(z) // what follows the stream is no part of it
		n += len(page.FindAll(held, -1))
	}
	return n
}
