package harness

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"testing"
)

// Both forms of ISO 32000-1, as two engines write them: page objects on their own (7.7.3.3), and in an object stream (7.5.7).
func TestPages(t *testing.T) {
	objects := "<< /Type /Pages /Kids [ 2 0 R 3 0 R ] /Count 2 >>\n<< /Type /Page /Parent 1 0 R >>\n<< /Type/Page /Parent 1 0 R >>"
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	fmt.Fprint(z, objects)
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	for name, pdf := range map[string]string{
		"plain":      "%PDF-1.4\n" + objects + "\n5 0 obj << /Filter /DCTDecode >> stream\nno zlib\nendstream endobj",
		"in streams": "%PDF-1.7\n5 0 obj << /Type /ObjStm /Filter /FlateDecode >>\nstream\r\n" + packed.String() + "\nendstream endobj",
	} {
		if got := Pages([]byte(pdf)); got != 2 {
			t.Errorf("%s: %d pages, want 2", name, got)
		}
	}
}
