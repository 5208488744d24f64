package cards

import (
	"strings"
	"testing"
)

func TestMatchModel(t *testing.T) {
	models := []StoredModel{{"09521234543213", "Model one"}, {"4006381333931", "Model two"}, {"12345678901234", "Wrong number"}}
	for _, c := range []struct{ name, gtin, want string }{
		{"stored", "09521234543213", "Model one"},
		{"13 digits stored, 14 scanned", "04006381333931", "Model two"},
		{"another number", "10614141123459", ""},
		{"wrong check digit", "12345678901234", ""},
	} {
		got, ok := MatchModel(Scan{GTIN: c.gtin, GTINValid: ValidGTIN(c.gtin)}, models)
		if got != c.want || ok != (c.want != "") {
			t.Errorf("%s: %q, %v", c.name, got, ok)
		}
	}
	if got, ok := MatchModel(Scan{}, []StoredModel{{"00000000000000", "All zeros"}}); ok {
		t.Errorf("a scan without an article number matches %q", got)
	}
	twice := append(models, StoredModel{"09521234543213", "Model three"})
	if got, ok := MatchModel(Scan{GTIN: "09521234543213", GTINValid: true}, twice); ok {
		t.Errorf("a number stored for two models matches %q", got)
	}
}

func TestBarcodeWorking(t *testing.T) {
	in := func(scan, today string) string {
		return `{"scan":"` + scan + `","today":"` + today + `","models":[{"gtin":"09521234543213","name":"Model one"}]}`
	}
	const whole = `0109521234543213` + `17270228` + `10ABC123\u001d21S1`
	w := reckon(t, "lens barcode", in(whole, "2026-11-25"))
	for id, want := range map[string]string{"model": "Model one", "gtin": "09521234543213", "expiry": "2027-02-28", "lot": "ABC123", "serial": "S1"} {
		if got := result(t, w, id); got != want {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
	}
	if len(w.Stops) > 0 || !strings.Contains(strings.Join(w.Cautions, "\n"), cautionNotKept) {
		t.Errorf("%+v", w)
	}
	if w := reckon(t, "lens barcode", in(whole, "2027-03-01")); len(w.Stops) != 1 || !strings.Contains(w.Stops[0], "Expired on 2027-02-28") {
		t.Errorf("%v", w.Stops)
	}
	if w := reckon(t, "lens barcode", in(whole, "2027-02-28")); len(w.Stops) != 0 || !strings.Contains(strings.Join(w.Cautions, "\n"), "Expires today") {
		t.Errorf("%v", w)
	}
	w = reckon(t, "lens barcode", in("0110614141123459", "2026-11-25"))
	if text := strings.Join(w.Cautions, "\n"); !strings.Contains(text, "stored no model") || !strings.Contains(text, "No expiry was read") {
		t.Errorf("%s", text)
	}
	w = reckon(t, "lens barcode", in("+H123", "2026-11-25"))
	if result(t, w, "system") != "HIBC" || result(t, w, "unread") != "+H123" {
		t.Errorf("%+v", w.Result)
	}
}
