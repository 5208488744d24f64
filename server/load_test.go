package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

func TestLoadKeepsEverythingOrNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	good := planned{kind: edits.Person, id: "anna", author: "anna", body: storetest.Person(), from: "people.json"}
	bad := planned{kind: edits.Person, id: "ben", author: "ben", body: cards.Person{ID: "ben"}, from: "ben.json"}
	err := loadInto(dir, "test", []planned{good, bad})
	if err == nil || !strings.HasPrefix(err.Error(), "nothing was loaded: ben.json: person ben was not applied") {
		t.Errorf("loading said %v", err)
	}
	if report := verified(t, dir); report.Info.Seq != 0 {
		t.Errorf("%d records were kept", report.Info.Seq)
	}
	if err := loadInto(dir, "test", []planned{good}); err != nil {
		t.Error(err)
	}
	if report := verified(t, dir); report.Info.Seq != 1 {
		t.Errorf("%d records were kept", report.Info.Seq)
	}
}

func TestNothingIsLoadedIntoDamagedData(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	launch(t, "-data", dir).stop(t)
	spoilRules(t, filepath.Join(dir, store.FileName))
	before, err := os.ReadFile(filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	good := planned{kind: edits.Person, id: "anna", author: "anna", body: storetest.Person(), from: "people.json"}
	if err := loadInto(dir, "test", []planned{good}); err == nil || !strings.Contains(err.Error(), "are damaged: keep a copy of them") {
		t.Errorf("loading said %v", err)
	}
	after, err := os.ReadFile(filepath.Join(dir, store.FileName))
	if err != nil || string(after) != string(before) {
		t.Errorf("the file was written to, %v", err)
	}
}
