package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

// aFile is a file as a device saves it.
func aFile(t *testing.T, epoch string, list ...edits.Edit) string {
	t.Helper()
	b, err := edits.Encode(map[string]any{"epoch": epoch, "edits": list})
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "waiting.json")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// importing runs the command and returns what it prints.
func importing(t *testing.T, dir, file string) (string, error) {
	t.Helper()
	var out bytes.Buffer
	err := importWaiting(&operator{ctx: t.Context(), out: &out}, importCommand, []string{"-unsigned", "-data", dir, file})
	return strings.ReplaceAll(out.String(), file, "FILE"), err
}

// TestImportMergesAndAsksAsTheServerDoes: two tablets that never came back
// changed one card; everything a push would do happens, in words.
func TestImportMergesAndAsksAsTheServerDoes(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	card := planned{kind: edits.Card, id: "anna-chop", author: "anna", body: storetest.Card(), from: "card.md"}
	if err := loadInto(dir, "test", []planned{card}); err != nil {
		t.Fatal(err)
	}
	epoch := verified(t, dir).Info.Epoch
	changed := func(n int, vacuum, title string) edits.Edit {
		c := storetest.Card()
		storetest.Vacuum("chop", vacuum)(&c)
		storetest.Title(title)(&c)
		body, err := edits.Encode(c)
		if err != nil {
			t.Fatal(err)
		}
		return edits.Edit{ID: storetest.ID(n), Kind: edits.Card, Doc: "anna-chop", Parent: 1, Author: "anna", Device: storetest.DeviceID("tablet"),
			Made: "2027-03-31T07:42:00Z", Body: body}
	}
	file := aFile(t, epoch, changed(1, "400", "Chop"), changed(2, "350", "Slow chop"), changed(3, "420", "Slow chop"))
	const begins = ": card anna-chop by anna, made 2027-03-31T07:42:00Z: "
	for _, again := range []string{"", "was here already: "} {
		out, err := importing(t, dir, file)
		want := "FILE[1]" + begins + again + "applied, revision 2\n" +
			"FILE[2]" + begins + again + "merged with what others changed, revision 3\n" +
			"FILE[3]" + begins + again + "question: somebody else changed the same differently, the owner decides, revision 4\n"
		if err != nil || out != want {
			t.Errorf("got %v:\n%swant\n%s", err, out, want)
		}
	}
	if report := verified(t, dir); report.Info.Seq != 4 {
		t.Errorf("%d records", report.Info.Seq)
	}
}

func TestImportAfterARestoreTakesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	if err := store.Create(dir, store.Random); err != nil {
		t.Fatal(err)
	}
	before := verified(t, dir).Info.Epoch
	restored := filepath.Join(t.TempDir(), "restored")
	if _, err := store.Restore(filepath.Join(dir, store.FileName), restored, store.Random); err != nil {
		t.Fatal(err)
	}
	file := aFile(t, before, personEdit(1, "ben", 0))
	if out, err := importing(t, restored, file); err == nil || !strings.Contains(err.Error(), "was saved before these data were restored") || out != "" {
		t.Errorf("got %v: %s", err, out)
	}
	if report := verified(t, restored); report.Info.Seq != 0 {
		t.Errorf("%d records", report.Info.Seq)
	}
}
