package edits_test

import (
	"encoding/json"
	"strings"
	"testing"

	"sideport/server/edits"
	"sideport/server/store/storetest"
)

func aPause() edits.RecordBody {
	return edits.RecordBody{ID: "a1", What: edits.RecordPause, Case: "case-1", List: "2027-03-31", Position: 1, Card: "anna-chop", CardRevision: 3, RulesRevision: 2,
		Begun: "2027-03-31T07:42:00Z", Ended: "2027-03-31T07:43:00Z", Pause: "time out", Outcome: edits.RecordDone, Lines: []edits.RecordLine{
			{ID: "eye", Text: "Which eye?", Ask: "reader", By: "surgeon", Stored: "right eye", Answer: edits.AnswerSame, At: "2027-03-31T07:42:10Z"},
			{ID: "name", Text: "Says your name?", Ask: "reader", By: "everyone", Answer: edits.AnswerGiven, At: "2027-03-31T07:42:20Z"},
			{ID: "hooks", Text: "Where are the hooks?", Ask: "reader", By: "scrub nurse", Answer: edits.AnswerNotDone, Note: "on their way", At: "2027-03-31T07:42:30Z"},
		}}
}

func aNote() edits.RecordBody {
	return edits.RecordBody{ID: "a2", What: edits.RecordNote, Case: "case-1", List: "2027-03-31", Position: 1, Card: "anna-chop", CardRevision: 3, RulesRevision: 2,
		Begun: "2027-03-31T08:02:00Z", Ended: "2027-03-31T08:05:00Z", Drill: "capsule-torn", Title: "Capsule torn", Text: "The vitrectomy set was in the other room."}
}

func putAside(r *edits.RecordBody) {
	r.Outcome, r.Reason = edits.RecordPutAside, "called away"
	r.Lines[1].Answer, r.Lines[1].At = "", ""
}

func TestARecordIsCheckedWhole(t *testing.T) {
	long := strings.Repeat("a", 2001)
	for name, row := range map[string]struct {
		of    edits.RecordBody
		spoil func(*edits.RecordBody)
		path  string // of the one problem; "" is none
	}{
		"a pause that is done":            {aPause(), func(*edits.RecordBody) {}, ""},
		"a note":                          {aNote(), func(*edits.RecordBody) {}, ""},
		"put aside with a line open":      {aPause(), putAside, ""},
		"neither pause nor note":          {aPause(), func(r *edits.RecordBody) { r.What = "story" }, "what"},
		"no id":                           {aPause(), func(r *edits.RecordBody) { r.ID = "" }, "id"},
		"a case that is none":             {aPause(), func(r *edits.RecordBody) { r.Case = "Case 1" }, "case"},
		"no card":                         {aNote(), func(r *edits.RecordBody) { r.Card = "" }, "card"},
		"no day":                          {aPause(), func(r *edits.RecordBody) { r.List = "" }, "list"},
		"a day that is none":              {aPause(), func(r *edits.RecordBody) { r.List = "31.3.2027" }, "list"},
		"a place below none":              {aPause(), func(r *edits.RecordBody) { r.Position = -1 }, "position"},
		"no time":                         {aPause(), func(r *edits.RecordBody) { r.Ended = "now" }, "ended"},
		"another pause":                   {aPause(), func(r *edits.RecordBody) { r.Pause = "tea" }, "pause"},
		"another outcome":                 {aPause(), func(r *edits.RecordBody) { r.Outcome = "skipped" }, "outcome"},
		"done with a reason":              {aPause(), func(r *edits.RecordBody) { r.Reason = "called away" }, "reason"},
		"put aside without a reason":      {aPause(), func(r *edits.RecordBody) { putAside(r); r.Reason = " " }, "reason"},
		"no lines":                        {aPause(), func(r *edits.RecordBody) { r.Lines = nil }, "lines"},
		"too many lines":                  {aPause(), func(r *edits.RecordBody) { r.Lines = make([]edits.RecordLine, 101) }, "lines"},
		"done with a line open":           {aPause(), func(r *edits.RecordBody) { r.Lines[1].Answer, r.Lines[1].At = "", "" }, "lines/2/answer"},
		"done with a value not compared":  {aPause(), func(r *edits.RecordBody) { r.Lines[0].Answer = edits.AnswerGiven }, "lines/1/answer"},
		"done with a doubt":               {aPause(), func(r *edits.RecordBody) { r.Lines[1].Answer = edits.AnswerNotSure }, "lines/2/answer"},
		"not done and nobody says why":    {aPause(), func(r *edits.RecordBody) { r.Lines[2].Note = "" }, "lines/3/answer"},
		"an answer no line has":           {aPause(), func(r *edits.RecordBody) { putAside(r); r.Lines[2].Answer = "maybe" }, "lines/3/answer"},
		"an answer without a time":        {aPause(), func(r *edits.RecordBody) { r.Lines[0].At = "" }, "lines/1/at"},
		"a time without an answer":        {aPause(), func(r *edits.RecordBody) { putAside(r); r.Lines[1].At = r.Ended }, "lines/2/at"},
		"a line without words":            {aPause(), func(r *edits.RecordBody) { r.Lines[0].Text = "" }, "lines/1/text"},
		"nobody answers":                  {aPause(), func(r *edits.RecordBody) { r.Lines[0].By = "" }, "lines/1/by"},
		"an endless answer":               {aPause(), func(r *edits.RecordBody) { r.Lines[2].Note = long }, "lines/3/note"},
		"a pause about a drill":           {aPause(), func(r *edits.RecordBody) { r.Drill = "capsule-torn" }, "drill"},
		"a note with lines":               {aNote(), func(r *edits.RecordBody) { r.Lines = aPause().Lines }, "lines"},
		"a note about nothing":            {aNote(), func(r *edits.RecordBody) { r.Drill = "" }, "drill"},
		"an empty note":                   {aNote(), func(r *edits.RecordBody) { r.Text = "\n" }, "text"},
		"an endless note":                 {aNote(), func(r *edits.RecordBody) { r.Text = long }, "text"},
		"a note that is not UTF-8 inside": {aNote(), func(r *edits.RecordBody) { r.Text = "\xff" }, "text"},
	} {
		t.Run(name, func(t *testing.T) {
			r := row.of
			row.spoil(&r)
			var paths []string
			for _, p := range edits.CheckRecord(r) {
				paths = append(paths, p.Path)
			}
			if got := strings.Join(paths, " "); got != row.path {
				t.Errorf("problems at %q, want %q", got, row.path)
			}
		})
	}
}

// Whatever comes in: what passes is written the same way when it is read back,
// and no larger than what every device of the unit can be asked to mirror.
func FuzzRecord(f *testing.F) {
	for _, r := range []edits.RecordBody{aPause(), aNote()} {
		b, err := edits.Encode(r)
		if err != nil {
			f.Fatal(err)
		}
		f.Add([]byte(b))
	}
	f.Add([]byte(`{"id":"a","what":"pause","lines":[{}]}`))
	f.Add([]byte(`{"id":1}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		kept, problems := edits.Check(edits.Record, raw)
		if len(problems) > 0 {
			return
		}
		again, problems := edits.Check(edits.Record, kept)
		if len(problems) > 0 || string(again) != string(kept) {
			t.Fatalf("kept %s, read back %s (%v)", kept, again, problems)
		}
		// Every byte of text is at most six of JSON; 100 lines of bounded texts fit.
		if len(kept) > 6*100*(4*2000+4*200) {
			t.Fatalf("a record of %d bytes", len(kept))
		}
	})
}

func TestARecordIsKeptOnce(t *testing.T) {
	r := storetest.NewRunner(t, &storetest.Memory{}).About(edits.Record, "a1").As(edits.Theatre).On("tablet")
	r.Write(aPause()).PushKeeping().Want(edits.Applied).WantRev(1)
	r.Push().Want(edits.AlreadyApplied)
	other := aPause()
	other.Reason, other.Outcome = "read again", edits.RecordPutAside
	r.As("anna").Sync().Write(other).Push().Want(edits.SetAside).WantReason("never changed")
	r.On("phone").Write(aPause()).Push().Want(edits.SetAside).WantReason("never changed")
	r.About(edits.Record, "a2").Write(aNote()).Push().Want(edits.Applied)
	r.About(edits.Record, "a3").Write(aNote()).Push().Want(edits.SetAside).WantReason("holds record")
	r.About(edits.Record, "a4").Write(json.RawMessage(`{"id":"a4","patient":"x"}`)).Push().Want(edits.SetAside).WantReason("does not pass")
	r.Done()
}

// Reading aloud asks nobody to say who holds the tablet. Everything else does.
func TestOnlyRecordsAreKeptInTheNameOfTheTheatre(t *testing.T) {
	r := storetest.NewRunner(t, &storetest.Memory{}).As(edits.Theatre).On("tablet")
	r.Write(storetest.Card()).Push().Want(edits.SetAside).WantReason("Choose a person")
	p := storetest.Person()
	p.ID = edits.Theatre
	r.As("anna").About(edits.Person, string(edits.Theatre)).Write(p).Push().Want(edits.SetAside).WantReason("Choose another")
	r.Done()
}
