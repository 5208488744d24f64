package e2e

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The record of one card rots on the server's disk. Everything else is served;
// every screen says which card cannot be shown; a tablet that read the card
// before still shows it as it was; edits wait.
func TestDamagedCard(t *testing.T) {
	s := startServer(t)
	known := newTablet(t, s, upright)
	known.becomes(chopSurgeon)
	known.installed()
	fresh := newTablet(t, s, phone) // a server that takes nothing lets nobody in
	s.kill()
	spoil(t, filepath.Join(s.data, "sideport.db"), chopCard)
	s.startDamaged()

	says := fmt.Sprintf("The card “%s” cannot be shown: its record on the server is damaged.", chopCard)
	known.open("/cards/" + chopCard + "/limits")
	known.sees("400 mmHg")
	known.sees(says)
	known.sees("The server takes no edits at the moment")

	fresh.open("/cards")
	fresh.sees(says)
	fresh.open("/cards/" + flipCard)
	fresh.sees("Revision 1")
	fresh.sees(says)
	fresh.open("/cards/" + chopCard)
	if text, err := fresh.text(); err != nil || strings.Contains(text, "400 mmHg") {
		t.Errorf("the damaged card is shown: %v: %s", err, text)
	}
}

// spoil flips a bit of every copy of a card's record in the database file.
func spoil(t *testing.T, path, card string) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	begins := []byte(`{"kind":"card","id":"` + card + `","rev":`)
	if !bytes.Contains(b, begins) {
		t.Fatal("the card is not in the file")
	}
	for at := 0; ; {
		next := bytes.Index(b[at:], begins)
		if next < 0 {
			break
		}
		at += next + len(begins)
		b[at] ^= 1
	}
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// startDamaged is start for data that the server complains about.
func (s *server) startDamaged() {
	s.t.Helper()
	s.starts(true)
}
