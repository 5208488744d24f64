package cards

import (
	"encoding/json"
	"strings"
	"testing"
)

var scanToday = ScanSetting{Today: "2026-11-25"}

const gs = "\x1d"

func TestGTINTable(t *testing.T) {
	for _, row := range published(t, "gtin.csv") {
		if got := ValidGTIN(row[0]); got != (row[1] == "yes") {
			t.Errorf("%s (%s): valid %v", row[0], row[2], got)
		}
	}
	for _, bad := range []string{"", "4006381333", "400638133393A", "123456789012345"} {
		if ValidGTIN(bad) {
			t.Errorf("%q is valid", bad)
		}
	}
}

// The check digit finds every single wrong digit, and misses exactly the
// exchanges of neighbours that differ by 5: 10 of the 90 pairs (by calculation).
func TestGTINCheckDigitFinds(t *testing.T) {
	const number = "09521234543213"
	for at := range number {
		for d := byte('0'); d <= '9'; d++ {
			if wrong := number[:at] + string(d) + number[at+1:]; d != number[at] && ValidGTIN(wrong) {
				t.Errorf("%s passes", wrong)
			}
		}
	}
	missed := 0
	for a := byte('0'); a <= '9'; a++ {
		for b := byte('0'); b <= '9'; b++ {
			start := "0952123454" + string(a) + string(b) + "0"
			swapped := "0952123454" + string(b) + string(a) + "0"
			if a != b && gtinCheckDigit(start) == gtinCheckDigit(swapped) {
				missed++
			}
		}
	}
	if missed != 10 {
		t.Errorf("%d exchanges of 90 pass, by calculation 10", missed)
	}
}

func TestReadScan(t *testing.T) {
	whole := "0109521234543213" + "17270228" + "10ABC123" + gs + "21S1"
	full := Scan{System: "GS1", GTIN: "09521234543213", GTINValid: true, Expiry: "2027-02-28", Lot: "ABC123", Serial: "S1"}
	lotOnly := Scan{System: "GS1", GTIN: "09521234543213", GTINValid: true, Lot: "ABC"}
	for _, c := range []struct {
		name, raw string
		want      Scan
	}{
		{"element string with separator", whole, full},
		{"linear, identifier ]C1", "]C1" + whole, full},
		{"two-dimensional, identifier ]d2", "]d2" + whole, full},
		{"square, identifier ]Q3", "]Q3" + whole, full},
		{"composite, identifier ]e0", "]e0" + whole, full},
		{"separator first and last, Enter after", gs + whole + gs + "\r\n", full},
		{"printed form with brackets", "(01)09521234543213(17)270228(10)ABC123(21)S1", full},
		{"brackets inside a lot", "(01)09521234543213(10)A(B)C", Scan{System: "GS1", GTIN: "09521234543213", GTINValid: true, Lot: "A(B)C"}},
		{"other order", "21S1" + gs + "10ABC123" + gs + "17270228" + "0109521234543213", full},
		{"lot last", "0109521234543213" + "10ABC", lotOnly},
		{"separator after a fixed element", "0109521234543213" + gs + "10ABC", lotOnly},
		{"production and additional identification", "0109521234543213" + "11260131" + "240MODEL-X", Scan{System: "GS1", GTIN: "09521234543213", GTINValid: true, Produced: "2026-01-31", Additional: "MODEL-X"}},
		{"bare article number", "4006381333931", Scan{System: "GS1", GTIN: "4006381333931", GTINValid: true}},
		{"day 00", "0109521234543213" + "17270200", Scan{System: "GS1", GTIN: "09521234543213", GTINValid: true, Expiry: "2027-02-28"}},
		{"day 00 in a leap year", "]d20109521234543213" + "17280200", Scan{System: "GS1", GTIN: "09521234543213", GTINValid: true, Expiry: "2028-02-29"}},
		{"same element twice, same value", "]d21727022817270228", Scan{System: "GS1", Expiry: "2027-02-28"}},
	} {
		got, ps := ReadScan(c.raw, scanToday)
		if len(ps) > 0 || !sameScan(got, c.want) {
			t.Errorf("%s: %+v, %v\nwant %+v", c.name, got, ps, c.want)
		}
	}
}

func sameScan(a, b Scan) bool {
	x, _ := json.Marshal(a)
	y, _ := json.Marshal(b)
	return string(x) == string(y)
}

// What cannot be told apart is refused or shown as scanned, and the rest of the scan stays.
func TestReadScanRefuses(t *testing.T) {
	for _, c := range []struct {
		name, raw, code string
		want            Scan
	}{
		{"separator eaten by the scanner", "0109521234543213" + "17270228" + "10ABC123" + "21S1", "no FNC1",
			Scan{System: "GS1", GTIN: "09521234543213", GTINValid: true, Expiry: "2027-02-28"}},
		{"separator eaten, expiry behind the lot", "0109521234543213" + "10ABC123" + "17270228", "no FNC1", Scan{System: "GS1", GTIN: "09521234543213", GTINValid: true}},
		{"lot longer than 20", "]d210ABCDEFGHIJKLMNOPQRSTU", "no FNC1", Scan{System: "GS1"}},
		{"wrong check digit, tutorial", "0112345678901234" + "17270228", "check digit", Scan{System: "GS1", GTIN: "12345678901234", Expiry: "2027-02-28"}},
		{"wrong check digit, interface description", "]d20100208851107345", "check digit", Scan{System: "GS1", GTIN: "00208851107345"}},
		{"wrong check digit, bare", "09521234543214", "check digit", Scan{System: "not known", Unread: []string{"09521234543214"}}},
		{"month 13", "]d217271328", "date", Scan{System: "GS1", Unread: []string{"17271328"}}},
		{"30 February", "]d217270230", "date", Scan{System: "GS1", Unread: []string{"17270230"}}},
		{"month 00 with day 00", "]d217270000", "date", Scan{System: "GS1", Unread: []string{"17270000"}}},
		{"two expiries", "]d21727022817280228", "twice", Scan{System: "GS1"}},
		{"HIBC", "+A123BJC5D6E71G", "unread", Scan{System: "HIBC", Unread: []string{"+A123BJC5D6E71G"}}},
		{"ICCBBA", "=/A9999XYZ100T0944", "unread", Scan{System: "ICCBBA", Unread: []string{"=/A9999XYZ100T0944"}}},
		{"another symbology", "]A0HELLO", "unread", Scan{System: "not known", Unread: []string{"]A0HELLO"}}},
		{"words", "HELLO", "unread", Scan{System: "not known", Unread: []string{"HELLO"}}},
		{"element not read, of predefined length", "0109521234543213" + "15270131" + "10ABC", "unread",
			Scan{System: "GS1", GTIN: "09521234543213", GTINValid: true, Lot: "ABC", Unread: []string{"15270131"}}},
		{"element not read, up to the separator", "]d2" + "9012345" + gs + "10ABC", "unread", Scan{System: "GS1", Lot: "ABC", Unread: []string{"9012345"}}},
		{"article number cut short", "]d2010952123", "unread", Scan{System: "GS1", Unread: []string{"010952123"}}},
		{"letters in an article number", "]d201ABCDEFGHIJKLMN", "unread", Scan{System: "GS1", Unread: []string{"01ABCDEFGHIJKLMN"}}},
		{"empty lot", "]d210" + gs + "21S1", "unread", Scan{System: "GS1", Serial: "S1", Unread: []string{"10"}}},
		{"article number or date", "17270228", "", Scan{System: "GS1", Expiry: "2027-02-28"}},
		{"both an article number and a date", bothNumberAndDate(t), "ambiguous", Scan{System: "not known", Unread: []string{bothNumberAndDate(t)}}},
	} {
		got, ps := ReadScan(c.raw, scanToday)
		if len(ps.Errors()) > 0 || !sameScan(got, c.want) {
			t.Errorf("%s: %+v, %v\nwant %+v", c.name, got, ps, c.want)
		}
		if c.code != "" && !hasCode(ps, c.code) {
			t.Errorf("%s: want %q, got %v", c.name, c.code, ps)
		}
	}
}

func hasCode(ps Problems, code string) bool {
	for _, p := range ps {
		if p.Code == code {
			return true
		}
	}
	return false
}

// bothNumberAndDate finds eight digits that are an expiry and pass as an article number.
func bothNumberAndDate(t *testing.T) string {
	for day := byte('1'); day <= '9'; day++ {
		if s := "1727020" + string(day); ValidGTIN(s) {
			return s
		}
	}
	t.Fatal("no such number")
	return ""
}

// Once a scanner was seen to pass the separator on, a lot that looks like two elements is a lot.
func TestScannerProven(t *testing.T) {
	proven := ScanSetting{Today: scanToday.Today, FNC1Proven: true}
	if got, ps := ReadScan("10ABC21S1", proven); got.Lot != "ABC21S1" || len(ps) > 0 {
		t.Errorf("%+v, %v", got, ps)
	}
	if got, ps := ReadScan("10AB"+gs+"21S10X", scanToday); got.Serial != "S10X" || len(ps) > 0 {
		t.Errorf("the separator in the scan itself is no proof: %+v, %v", got, ps)
	}
	_, ps := ReadScan("10ABC21S1", scanToday)
	if len(ps) == 0 || !strings.Contains(ps[0].Text, "pass on the group separator") {
		t.Errorf("the mend is missing: %v", ps)
	}
}

// Two-digit years: 51 or more ahead is the last century, 50 or more behind the
// next (GS1 General Specifications; value from memory, unconfirmed).
func TestScanCentury(t *testing.T) {
	for _, c := range []struct {
		today Date
		value string
		want  Date
	}{
		{"2026-11-25", "260101", "2026-01-01"}, {"2026-11-25", "760101", "2076-01-01"}, {"2026-11-25", "770101", "1977-01-01"},
		{"2026-11-25", "990101", "1999-01-01"}, {"2080-01-01", "310101", "2031-01-01"}, {"2080-01-01", "300101", "2130-01-01"},
	} {
		if got, ok := gs1Date(c.value, c.today); !ok || got != c.want {
			t.Errorf("%s in %s: %s, want %s", c.value, c.today, got, c.want)
		}
	}
}

func TestReadScanErrors(t *testing.T) {
	for _, c := range []struct {
		raw     string
		setting ScanSetting
		code    string
	}{
		{" \r\n", scanToday, "empty"},
		{strings.Repeat("1", scanLimit+1), scanToday, "text"},
		{"10ABC\x00", scanToday, "text"},
		{"10Ä", scanToday, "text"},
		{"17270228", ScanSetting{}, "date"},
		{"17270228", ScanSetting{Today: "2027-02-29"}, "date"},
	} {
		if _, ps := ReadScan(c.raw, c.setting); len(ps) != 1 || ps[0].Level != LevelError || ps[0].Code != c.code {
			t.Errorf("%.20q: %v", c.raw, ps)
		}
	}
}

// Whatever is scanned: no panic, only days that exist, values within their
// length and taken from the scan, and never both a lot and a doubt about it.
func FuzzReadScan(f *testing.F) {
	for _, s := range []string{"0109521234543213" + "17270228" + "10ABC123" + gs + "21S1", "]d2240X" + gs + "10Y", "(01)09521234543213(17)270200(10)A(21", "+H123", "=X",
		"010952123454321317270228" + "10ABC12321S1", "4006381333931", "17270200", gs + gs, "]", "3103000123", "(17)", "1110000011"} {
		f.Add(s, false)
	}
	f.Fuzz(func(t *testing.T, raw string, proven bool) {
		s, ps := ReadScan(raw, ScanSetting{Today: scanToday.Today, FNC1Proven: proven})
		if !s.Expiry.Valid() || !s.Produced.Valid() {
			t.Errorf("%q gives the days %q and %q", raw, s.Expiry, s.Produced)
		}
		if s.GTINValid != ValidGTIN(s.GTIN) {
			t.Errorf("%q: %s valid %v", raw, s.GTIN, s.GTINValid)
		}
		for limit, v := range map[int]string{20: s.Lot, 21: s.Serial, 30: s.Additional} {
			if len(v) > limit || !strings.Contains(raw, v) || strings.Contains(v, gs) {
				t.Errorf("%q gives %q", raw, v)
			}
		}
		if hasCode(ps, "no FNC1") && s.Lot+s.Serial+s.Additional != "" {
			t.Errorf("%q: refused and kept: %+v", raw, s)
		}
		if again, _ := ReadScan(raw, ScanSetting{Today: scanToday.Today, FNC1Proven: proven}); !sameScan(again, s) {
			t.Errorf("%q reads differently again", raw)
		}
	})
}
