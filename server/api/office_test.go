package api_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store/storetest"
)

func TestCodesLetOneDeviceIn(t *testing.T) {
	s := start(t)
	var code struct {
		Code    string
		Until   time.Time
		Seconds int
	}
	s.post("/api/v1/devices/code", map[string]any{"name": "Theatre 2", "shared": true}).into(t, &code)
	if len(code.Code) != 9 || code.Seconds != 600 || !code.Until.Equal(storetest.Start.Add(10*time.Minute)) {
		t.Errorf("code: %+v", code)
	}
	c := s.stranger()
	if got := c.post("/api/v1/enrol", map[string]string{"code": strings.ToLower(code.Code)}); got.status != 200 || !strings.Contains(string(got.body), `"name":"Theatre 2"`) {
		t.Errorf("in small letters: %d %s", got.status, got.body)
	}
	if got := s.stranger().post("/api/v1/enrol", map[string]string{"code": code.Code}); got.status != 403 || got.code() != "wrong code" {
		t.Errorf("a second time: %d %s", got.status, got.body)
	}
	var list struct{ Devices []people.Device }
	s.get("/api/v1/devices").into(t, &list)
	if len(list.Devices) != 2 {
		t.Errorf("devices: %+v", list.Devices)
	}
}

func TestAuditIsReadNewestFirstAndExported(t *testing.T) {
	s := start(t)
	s.post("/api/v1/backup", `{"name":"monday.db"}`)
	var audit struct {
		Events []people.Event
		More   bool
		Heads  people.Heads
	}
	s.get("/api/v1/audit?limit=1").into(t, &audit)
	if len(audit.Events) != 1 || audit.Events[0].What != people.BackupMade || audit.Events[0].Who != "anna" || audit.Events[0].About != "monday.db" || !audit.More || audit.Heads.EventSeq != audit.Events[0].Seq {
		t.Fatalf("audit: %+v", audit)
	}
	newest := audit.Events[0].Seq
	s.get(fmt.Sprintf("/api/v1/audit?before=%d&person=anna", newest)).into(t, &audit)
	if len(audit.Events) == 0 || audit.Events[0].Seq >= newest {
		t.Errorf("before the newest: %+v", audit.Events)
	}
	for _, query := range []string{"before=-1", "before=x", "limit=0", "limit=501", "limit=x"} {
		if got := s.get("/api/v1/audit?" + query); got.code() != "bad request" {
			t.Errorf("%s: %d %s", query, got.status, got.body)
		}
	}
	got := s.get("/api/v1/audit.ndjson")
	if got.status != 200 || !strings.HasPrefix(got.header.Get("Content-Disposition"), `attachment; filename="sideport-audit-2027-03-31.ndjson"`) || strings.Count(string(got.body), "\n") < int(newest) {
		t.Errorf("export: %d %v %.200s", got.status, got.header, got.body)
	}
	s.get("/api/v1/audit?limit=1").into(t, &audit)
	if audit.Events[0].What != people.AuditExported {
		t.Errorf("the export is not written down: %+v", audit.Events[0])
	}
}

func TestOtherHeadIsNoticed(t *testing.T) {
	s := start(t)
	s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()))
	var m mirror
	got := s.get("/api/v1/snapshot")
	got.into(t, &m)
	same := s.get(fmt.Sprintf("/api/v1/changes?after=%d&head=%s", m.Seq, m.Head))
	if same.status != 200 || strings.Contains(string(same.body), "head_differs") {
		t.Errorf("the same head: %d %s", same.status, same.body)
	}
	other := s.get(fmt.Sprintf("/api/v1/changes?after=%d&head=%s", m.Seq, strings.Repeat("0", 64)))
	if other.status != 200 || !strings.Contains(string(other.body), `"head_differs":true`) {
		t.Errorf("another head: %d %s", other.status, other.body)
	}
	if audit := s.get("/api/v1/audit?limit=1"); !strings.Contains(string(audit.body), string(people.HeadDiffers)) {
		t.Errorf("it is not written down: %s", audit.body)
	}
	for _, head := range []string{"x", strings.Repeat("G", 64), strings.Repeat("0", 65)} {
		if got := s.get("/api/v1/changes?after=1&head=" + head); got.code() != "bad request" {
			t.Errorf("head %q: %d %s", head, got.status, got.body)
		}
	}
}

// holds looks for a whole word: six digits may well be a part of a time or a hash.
func holds(text, secret string) bool {
	return regexp.MustCompile(`(^|\W)` + regexp.QuoteMeta(secret) + `(\W|$)`).MatchString(text)
}

// Of a call that was refused the log says which route, why, and which device asked; who was signed in there is an event.
func TestRefusedCallsAreInTheLog(t *testing.T) {
	s := start(t)
	ben := s.enrol("Ben's phone").signIn("ben")
	ben.get("/api/v1/audit")
	s.stranger().get("/api/v1/snapshot")
	s.post("/api/v1/sign-out", "{}", "Origin", "https://example.org")
	lines := s.log.String()
	for _, want := range []string{
		`"route":"/api/v1/audit","refused":"not allowed","device":"` + string(ben.id) + `","status":403`,
		`"route":"/api/v1/snapshot","refused":"not enrolled","status":401`,
		`"refused":"bad request","status":400`,
	} {
		if !strings.Contains(lines, want) {
			t.Errorf("no line says %s in\n%s", want, lines)
		}
	}
}

// TestLogHoldsNoSecret goes through everything that has to do with a secret and then reads the log.
func TestLogHoldsNoSecret(t *testing.T) {
	s := start(t)
	var code struct{ Code string }
	s.post("/api/v1/devices/code", map[string]any{"name": "Theatre 2", "shared": true}).into(t, &code)
	c := s.stranger()
	c.post("/api/v1/enrol", map[string]string{"code": code.Code})
	var issued struct{ PIN string }
	s.post("/api/v1/accounts/nora/pin", "{}").into(t, &issued)
	var in struct{ Secret string }
	c.post("/api/v1/sign-in", map[string]string{"person": "nora", "pin": issued.PIN}).into(t, &in)
	c.post("/api/v1/sign-in", map[string]string{"person": "nora", "pin": "987654"})
	c.post("/api/v1/sign-in", `{"person":"nora","pin":"987654","patient":"MRN-4711"}`)
	c.get("/api/v1/health?nonce=a-nonce-of-its-own")
	c.get("/api/v1/docs/card/a-name-of-a-patient/revisions/1")
	e := s.edit(1, edits.Card, "anna-chop", 0, storetest.Card())
	e.Reason = "words of a person"
	s.push(e)
	s.stranger().post("/api/v1/backup", `{"name":"a.db"}`, "Sideport-Operator", "word of the operator")
	s.get("/api/v1/audit.ndjson")
	secrets := []string{issued.PIN, "987654", code.Code, strings.ReplaceAll(code.Code, "-", ""), in.Secret, "word of the operator", "MRN-4711", "a-nonce-of-its-own",
		"a-name-of-a-patient", "words of a person", "anna-chop", "Theatre 2", "Nora"}
	for _, who := range []*client{s.client, c} {
		for _, value := range who.cookies {
			secrets = append(secrets, value)
		}
	}
	said := s.log.String()
	if !strings.Contains(said, "/api/v1/sign-in") || len(in.Secret) < 43 || len(secrets) < 16 {
		t.Fatalf("the session was not logged: %s", said)
	}
	for _, secret := range secrets {
		if holds(said, secret) {
			t.Errorf("the log holds %q", secret)
		}
	}
	audit := string(s.get("/api/v1/audit.ndjson").body)
	for _, secret := range append([]string{}, secrets[:7]...) {
		if holds(audit, secret) {
			t.Errorf("the audit holds %q", secret)
		}
	}
}
