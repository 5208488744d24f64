package api

import (
	"testing"
	"time"

	"sideport/server/edits"
)

// Devices mirror what was read aloud in the days just past; everything else has no age.
func TestOldRecordsLeaveTheMirror(t *testing.T) {
	now := time.Date(2027, time.March, 31, 7, 42, 0, 0, time.UTC)
	for _, row := range []struct {
		kind edits.Kind
		days int
		want bool
	}{{edits.Record, 0, false}, {edits.Record, 30, false}, {edits.Record, 31, true}, {edits.Card, 400, false}, {edits.Case, 400, false}} {
		d := edits.Document{Kind: row.kind, History: []edits.Revision{{Rev: 1, At: now.AddDate(0, 0, -row.days)}}}
		if got := recordTooOld(d, now); got != row.want {
			t.Errorf("a %s of %d days: left out %v, want %v", row.kind, row.days, got, row.want)
		}
	}
	if recordTooOld(edits.Document{Kind: edits.Record}, now) {
		t.Error("a record without a history is left out")
	}
}
