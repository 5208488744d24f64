package cards

import (
	"slices"
	"strings"
)

// GS1 element strings, as a keyboard scanner types them from a box: (01) GTIN,
// (11) production, (17) expiry, (10) lot, (21) serial, (240) additional
// identification. Anything else is shown as it is and never guessed.
//
// Goals: read expiry and article number for the check at set-up, and refuse
// what cannot be told apart. Non-goals: other identification systems, and
// keeping what was scanned: lot and serial number are shown and never stored
// with a case, because together they lead to a patient.

// ScanSetting is what a scan cannot say by itself.
type ScanSetting struct {
	Today Date // for the century of two-digit years and for expiry
	// FNC1Proven says that this scanner was seen to pass on the separator (0x1D).
	FNC1Proven bool
}

// Scan is what a barcode says. Empty fields were not in it or could not be read.
type Scan struct {
	System     string   `json:"system"` // "GS1", "HIBC", "ICCBBA" or "not known"
	GTIN       string   `json:"gtin,omitempty"`
	GTINValid  bool     `json:"gtin_valid,omitempty"` // the check digit is right
	Produced   Date     `json:"produced,omitempty"`
	Expiry     Date     `json:"expiry,omitempty"`
	Lot        string   `json:"lot,omitempty"`
	Serial     string   `json:"serial,omitempty"`
	Additional string   `json:"additional,omitempty"`
	Unread     []string `json:"unread,omitempty"` // shown as scanned
}

const (
	fnc1      = '\x1d'
	scanLimit = 500 // more than any label holds

	mendScanner = "Set the scanner to pass on the group separator (FNC1 as character 29, 0x1D) and its symbology identifier, then scan again. Until then read lot and serial number from the box."
)

// aimPrefixes are the symbology identifiers of GS1 barcodes (linear, two-dimensional, square, composite).
var aimPrefixes = []string{"]C1", "]d2", "]Q3", "]e0"}

// gs1Element is an application identifier that is read.
type gs1Element struct {
	ai       string
	fixed    bool
	length   int // of the value; the most, when not fixed
	set      func(*Scan, string)
	get      func(*Scan) string
	isDate   bool
	isNumber bool
}

var gs1Elements = []gs1Element{
	{ai: "01", fixed: true, length: 14, isNumber: true, set: func(s *Scan, v string) { s.GTIN, s.GTINValid = v, ValidGTIN(v) }, get: func(s *Scan) string { return s.GTIN }},
	{ai: "11", fixed: true, length: 6, isDate: true, set: func(s *Scan, v string) { s.Produced = Date(v) }, get: func(s *Scan) string { return string(s.Produced) }},
	{ai: "17", fixed: true, length: 6, isDate: true, set: func(s *Scan, v string) { s.Expiry = Date(v) }, get: func(s *Scan) string { return string(s.Expiry) }},
	{ai: "10", length: 20, set: func(s *Scan, v string) { s.Lot = v }, get: func(s *Scan) string { return s.Lot }},
	{ai: "21", length: 20, set: func(s *Scan, v string) { s.Serial = v }, get: func(s *Scan) string { return s.Serial }},
	{ai: "240", length: 30, set: func(s *Scan, v string) { s.Additional = v }, get: func(s *Scan) string { return s.Additional }},
}

// predefined are the lengths, identifier included, of elements that need no
// separator, by their first two digits (GS1 General Specifications; values
// from memory, unconfirmed). They let an element that is not read be stepped over.
var predefined = []struct {
	prefix string
	length int
}{
	{"00", 20}, {"02", 16}, {"03", 16}, {"04", 18}, {"12", 8}, {"13", 8}, {"14", 8}, {"15", 8}, {"16", 8}, {"18", 8}, {"19", 8},
	{"20", 4}, {"31", 10}, {"32", 10}, {"33", 10}, {"34", 10}, {"35", 10}, {"36", 10}, {"41", 16},
}

// ValidGTIN reports whether s is an article number of 8, 12, 13 or 14 digits
// with a right check digit: from the right, weights 3, 1, 3 …, and
// (10 − sum mod 10) mod 10. A right check digit does not prove the right item:
// swapping two neighbours that differ by 5 is not noticed.
// Source: GS1 General Specifications, check digit modulo 10.
func ValidGTIN(s string) bool {
	return gtinLength(len(s)) && onlyDigits(s) && gtinCheckDigit(s[:len(s)-1]) == s[len(s)-1]
}

func gtinLength(n int) bool { return n == 8 || n >= 12 && n <= 14 }

func gtinCheckDigit(digits string) byte {
	sum := 0
	for n := range len(digits) {
		weight := 1 + 2*((len(digits)-n)%2)
		sum += weight * int(digits[n]-'0')
	}
	return byte('0' + (10-sum%10)%10)
}

// scanReader walks along a scan.
type scanReader struct {
	checker
	setting ScanSetting
	scan    Scan
	gs      bool // a separator was seen, so the scanner passes it on
	refused []string
}

// ReadScan reads what a keyboard scanner typed. Symbology identifiers ]C1 ]d2
// ]Q3 ]e0 and a trailing Enter or Tab are taken off; the printed form with
// brackets is read too.
//
// Errors, by code: "empty", "text" (too long or not printable), "date" (Today
// is missing). Cautions: "check digit", "date", "no FNC1" (lot and serial
// refused), "twice", "unread", "ambiguous". GTIN and dates that were read stay.
// Source: GS1 General Specifications; day 00 is the last of the month, years 51
// or more ahead belong to the last century and 50 or more behind to the next
// (values from memory, unconfirmed).
func ReadScan(raw string, setting ScanSetting) (Scan, Problems) {
	r := &scanReader{setting: setting, scan: Scan{System: "not known"}}
	raw = strings.Trim(raw, "\r\n\t ")
	switch {
	case raw == "":
		r.errorf("empty", "scan", "Nothing was scanned. Scan the barcode.")
	case len(raw) > scanLimit:
		r.errorf("text", "scan", "The scan is longer than 500 characters. Scan one barcode at a time.")
	case strings.ContainsFunc(raw, func(c rune) bool { return c != fnc1 && (c < ' ' || c > '~') }):
		r.errorf("text", "scan", "The scan has characters that no GS1 barcode has. Check the keyboard setting of the scanner.")
	case setting.Today == "" || !setting.Today.Valid():
		r.errorf("date", "today", "Today "+quote(string(setting.Today))+" is not a day. Write it like 2027-03-31.")
	default:
		r.gs = strings.ContainsRune(strings.Trim(raw, string(fnc1)), fnc1)
		r.system(raw)
	}
	return r.scan, r.found
}

// system finds out whose code it is.
func (r *scanReader) system(raw string) {
	rest, marked := raw, false
	for _, p := range aimPrefixes {
		if after, found := strings.CutPrefix(raw, p); found {
			rest, marked = after, true
		}
	}
	if after, found := strings.CutPrefix(rest, string(fnc1)); found {
		rest, marked = after, true
	}
	switch {
	case marked:
		r.elements(rest)
	case rest[0] == '+':
		r.foreign("HIBC", rest)
	case rest[0] == '=':
		r.foreign("ICCBBA", rest)
	case rest[0] == ']':
		r.foreign("not known", rest)
	case rest[0] == '(':
		r.bracketed(rest)
	case onlyDigits(rest) && gtinLength(len(rest)):
		r.plainNumber(rest)
	default:
		r.elements(rest)
	}
	if r.scan.GTIN != "" && !r.scan.GTINValid {
		r.caution("check digit", "scan", wrongCheckDigit(r.scan.GTIN), sourceGS1)
	}
}

const sourceGS1 = "GS1 General Specifications: element strings and check digit"

// foreign keeps a code of another system as it is.
func (r *scanReader) foreign(system, raw string) {
	r.scan.System = system
	r.unread(raw)
}

func (r *scanReader) unread(raw string) {
	shown := strings.ReplaceAll(raw, string(fnc1), " [FNC1] ")
	r.scan.Unread = append(r.scan.Unread, shown)
	r.caution("unread", "scan", "Not read, shown as scanned: "+shown+". Compare it with the box by eye.", sourceGS1)
}

// plainNumber is a row of digits as long as an article number, which may also be elements.
func (r *scanReader) plainNumber(digits string) {
	as := &scanReader{setting: r.setting, scan: Scan{System: "GS1"}}
	as.elements(digits)
	asElements, asNumber := len(as.found) == 0, ValidGTIN(digits)
	switch {
	case asElements && asNumber:
		r.scan.Unread = append(r.scan.Unread, digits)
		r.caution("ambiguous", "scan", digits+" can be an article number or a date or lot. Set the scanner to send its symbology identifier, then scan again.", sourceGS1)
	case asElements:
		r.elements(digits)
	case asNumber:
		r.scan.System, r.scan.GTIN, r.scan.GTINValid = "GS1", digits, true
	default:
		r.unread(digits)
		r.caution("check digit", "scan", wrongCheckDigit(digits), sourceGS1)
	}
}

func wrongCheckDigit(number string) string {
	return "As an article number " + number + " should end in " + string(gtinCheckDigit(number[:len(number)-1])) +
		". Scan again; if it stays so, the label is wrong and nothing is matched by it."
}

// elements reads an element string without brackets.
func (r *scanReader) elements(rest string) {
	for rest != "" {
		if rest[0] == fnc1 {
			rest = rest[1:]
			continue
		}
		e, known := elementAt(rest)
		if !known {
			rest = r.stepOver(rest)
			continue
		}
		r.scan.System = "GS1"
		value := rest[len(e.ai):]
		if e.fixed {
			if len(value) < e.length || strings.ContainsRune(value[:e.length], fnc1) {
				r.unread(rest)
				return
			}
			value, rest = value[:e.length], value[e.length:]
			r.keep(e, value)
			continue
		}
		value, rest, _ = strings.Cut(value, string(fnc1))
		r.variable(e, value, rest == "")
	}
}

func elementAt(s string) (gs1Element, bool) {
	for _, e := range gs1Elements {
		if strings.HasPrefix(s, e.ai) {
			return e, true
		}
	}
	return gs1Element{}, false
}

// stepOver keeps an element that is not read, up to its predefined length or the next separator.
func (r *scanReader) stepOver(rest string) string {
	for _, p := range predefined {
		if strings.HasPrefix(rest, p.prefix) && len(rest) >= p.length && onlyDigits(rest[:p.length]) {
			r.unread(rest[:p.length])
			return rest[p.length:]
		}
	}
	one, more, _ := strings.Cut(rest, string(fnc1))
	r.unread(one)
	return more
}

// variable takes a value that ends at a separator or at the end of the data.
// Without any separator in the data nobody can tell "lot ABC123, serial 1"
// from "lot ABC123211", so a value that could hold another element is refused.
func (r *scanReader) variable(e gs1Element, value string, last bool) {
	doubtful := last && !r.gs && !r.setting.FNC1Proven && holdsElement(value)
	if len(value) > e.length || doubtful {
		r.caution("no FNC1", "scan", "Lot and serial number cannot be told apart in "+e.ai+value+": the separator is missing. "+mendScanner, sourceGS1)
		r.scan.Lot, r.scan.Serial, r.scan.Additional = "", "", ""
		r.refused = append(r.refused, "10", "21", "240")
		return
	}
	r.keep(e, value)
}

// holdsElement reports whether a value could be a shorter one with another element behind it.
func holdsElement(value string) bool {
	for at := 1; at < len(value); at++ {
		e, known := elementAt(value[at:])
		if !known {
			continue
		}
		inner := value[at+len(e.ai):]
		switch {
		case !e.fixed && inner != "":
			return true
		case e.fixed && len(inner) >= e.length && onlyDigits(inner[:e.length]):
			return true
		}
	}
	return false
}

// keep stores a value once it is a number or a day where it must be one.
func (r *scanReader) keep(e gs1Element, value string) {
	stored := value
	switch {
	case slices.Contains(r.refused, e.ai):
		return
	case value == "" || ((e.isNumber || e.isDate) && !onlyDigits(value)):
		r.unread(e.ai + value)
		return
	case e.isDate:
		day, ok := gs1Date(value, r.setting.Today)
		if !ok {
			r.caution("date", "scan", "("+e.ai+") "+value+" is not a day. Read it from the box.", sourceGS1)
			r.scan.Unread = append(r.scan.Unread, e.ai+value)
			return
		}
		stored = string(day)
	}
	if before := e.get(&r.scan); before != "" && before != stored {
		r.caution("twice", "scan", "("+e.ai+") stands twice in the scan, as "+before+" and as "+stored+". Neither is kept; read it from the box.", sourceGS1)
		e.set(&r.scan, "")
		r.refused = append(r.refused, e.ai)
		return
	}
	e.set(&r.scan, stored)
}

// gs1Date reads YYMMDD; day 00 is the last day of the month.
func gs1Date(value string, today Date) (Date, bool) {
	year, now := digits(value[:2]), digits(string(today[:4]))
	ahead := year - now%100
	year += now - now%100
	switch {
	case ahead >= 51:
		year -= 100
	case ahead <= -50:
		year += 100
	}
	month := Whole(int64(year)).String() + "-" + value[2:4] + "-"
	day := Date(month + value[4:])
	if value[4:] != "00" {
		return day, day.Valid()
	}
	for _, last := range []string{"31", "30", "29", "28"} {
		if day = Date(month + last); day.Valid() {
			return day, true
		}
	}
	return "", false
}

// bracketed reads the form printed under a barcode, in which brackets mark every identifier.
func (r *scanReader) bracketed(raw string) {
	for rest := raw; rest != ""; {
		ai, after, found := bracketAt(rest)
		if !found {
			r.unread(rest)
			return
		}
		end := nextBracket(after)
		value := strings.Trim(after[:end], string(fnc1)+" ")
		rest = after[end:]
		e, known := elementAt(ai)
		if !known || e.ai != ai || (e.fixed && len(value) != e.length) || len(value) > e.length {
			r.unread("(" + ai + ")" + value)
			continue
		}
		r.scan.System = "GS1"
		r.keep(e, value)
	}
}

// bracketAt reads "(17)" at the start of s.
func bracketAt(s string) (ai, after string, found bool) {
	if s == "" || s[0] != '(' {
		return "", "", false
	}
	ai, after, found = strings.Cut(s[1:], ")")
	return ai, after, found && len(ai) >= 2 && len(ai) <= 4 && onlyDigits(ai)
}

func nextBracket(s string) int {
	for n := range len(s) {
		if _, _, found := bracketAt(s[n:]); found {
			return n
		}
	}
	return len(s)
}
