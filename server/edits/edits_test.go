package edits_test

import (
	"strings"
	"testing"

	"sideport/server/edits"
	"sideport/server/store/storetest"
)

func TestStories(t *testing.T) {
	storetest.Stories(t, func(*testing.T) storetest.Unit { return &storetest.Memory{} })
}

func TestMalformedEnvelopesAreRefused(t *testing.T) {
	good := edits.Edit{ID: storetest.ID(1), Device: storetest.DeviceID("phone"), Kind: edits.Card, Doc: "anna-chop", Body: []byte("{}")}
	if err := good.Malformed(); err != nil {
		t.Fatalf("the good edit is refused: %v", err)
	}
	for name, spoil := range map[string]func(*edits.Edit){
		"no id":              func(e *edits.Edit) { e.ID = "" },
		"id in capitals":     func(e *edits.Edit) { e.ID = edits.EditID(strings.Repeat("A", 32)) },
		"no device":          func(e *edits.Edit) { e.Device = "" },
		"after not an id":    func(e *edits.Edit) { e.After = "x" },
		"no kind":            func(e *edits.Edit) { e.Kind = "" },
		"no document":        func(e *edits.Edit) { e.Doc = "" },
		"document too long":  func(e *edits.Edit) { e.Doc = strings.Repeat("a", 101) },
		"negative parent":    func(e *edits.Edit) { e.Parent = -1 },
		"no body":            func(e *edits.Edit) { e.Body = nil },
		"too many decisions": func(e *edits.Edit) { e.Decides = make([]edits.QuestionID, 101) },
		"too many answers":   func(e *edits.Edit) { e.Takes = make([]edits.EditID, 101) },
		"too many declined":  func(e *edits.Edit) { e.Declines = make([]edits.Decline, 101) },
	} {
		e := good
		spoil(&e)
		if e.Malformed() == nil {
			t.Errorf("%s: not refused", name)
		}
	}
}
