package cards

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// The wrong and right forms are those of the medication-safety lists of
// error-prone abbreviations, symbols and dose designations (2005, 2006, and
// table 3 of Thimbleby and Cairns 2010 for the numbers).
func TestCheckWordsFinds(t *testing.T) {
	for _, c := range []struct{ text, want, says string }{
		{"Give .5 mg", "error leading zero", "Write 0.5"},
		{"(.25 mL)", "error leading zero", "Write 0.25"},
		{"1.0 mg", "error trailing zero", "ten times as much. Write 1 mg"},
		{"0.50 mL in the bag", "error trailing zero", "Write 0.5 mL"},
		{"10.0 mL", "error trailing zero", "Write 10 mL"},
		{"software 3.10", "caution trailing zero", "Write 3.1"},
		{"1,5 mL", "error decimal comma", "Write a decimal point"},
		{"0,500 mL", "error decimal comma", "Write a decimal point"},
		{"500 µg", "error micrograms", "Write micrograms"},
		{"500 μg", "error micrograms", "Write micrograms"}, // the Greek letter
		{"500ug", "error micrograms", "Write micrograms"},
		{"250 mcg", "caution micrograms", "in full"},
		{"640 µm", "caution micro", "micrometres"},
		{"10 U heparin", "error units", "Write units"},
		{"10U", "error units", "Write units"},
		{"15 IU/mL", "error units", "Write units"},
		{"OD first", "error eye", "Write right eye"},
		{"“OS”", "error eye", "Write left eye"},
		{"O.U.", "error eye", "Write both eyes"},
		{"mark the RE", "caution eye", "Write right eye"},
		{"5mL syringe", "caution space", "Write 5 mL"},
		{"5% iodine", "caution space", "Write 5 %"},
		{"cefuroxime750 mg", "caution space", "Put a space"},
		{"5 mLs", "caution plural", "Write mL"},
		{"adrenaline 1:1000", "caution ratio", "Write mg per mL"},
		{"adrenaline 1:10 000", "caution ratio", "Write mg per mL"},
		{"dilute 1:3 with salt solution", "caution ratio", "1 part and 3 parts or 1 in 3"},
		{"100000 units", "caution grouping", "Group it"},
		{"turn 1/2 way", "caution fraction", "Write half"},
	} {
		ps := CheckWords("drugs/x/note", "Note", c.text, false)
		if len(ps) != 1 {
			t.Errorf("%q: %v", c.text, ps)
			continue
		}
		p := ps[0]
		if string(p.Level)+" "+p.Code != c.want || !strings.Contains(p.Text, c.says) || p.Path != "drugs/x/note" || !strings.HasPrefix(p.Text, "Note: ") {
			t.Errorf("%q: %+v", c.text, p)
		}
		if p.Level == LevelCaution && p.Source == "" {
			t.Errorf("%q: a caution without a source", c.text)
		}
	}
}

func TestCheckWordsPasses(t *testing.T) {
	for _, text := range []string{
		"", "0.5 mg", "10 mL", "0.05 mg", "100 micrograms", "5 units", "right eye", "both eyes", "10-0 suture", "0.12 forceps",
		"Adrenaline 1 mg/mL (1:1000)", "Adrenaline 1 mg per mL, labelled 1:10,000", "at 1:30", "11:15", "1,500 mL", "phases 1,2 and 3", "100,000 units",
		"No.5 blade", "See fig.2", "and so on...5", "on 1.10.2026", "software 1.10.2", "20/40", "on 1/2/2026", "3D view", "20G", "2L bag",
		"5 U-shaped hooks", "a U turn", "OSTEOTOMY", "Ösen", "The odds", "good", "os", "LEÓN", "mmHg", "10 mmHg.", "5 %", "I/A", "22.5 D", "+22.5 D", "-0.5 D",
		"power < 10", "3+", "180°", "Tell: two people @ desk & door", // symbols are only for texts read aloud
	} {
		if ps := CheckWords("x", "Text", text, false); len(ps) > 0 {
			t.Errorf("%q: %v", text, ps)
		}
	}
}

// "<10" is read as 40; signs for words are only refused where somebody reads them out.
func TestCheckWordsAloud(t *testing.T) {
	for _, text := range []string{"pupil <5 mm", "more > less", "@ the pause", "lens & power", "grade 3+", "axis 90°"} {
		if ps := CheckWords("x", "Said", text, true); len(ps) != 1 || ps[0].Code != "symbol" || ps[0].Level != LevelCaution {
			t.Errorf("%q: %v", text, ps)
		}
	}
	if ps := CheckWords("x", "Said", "Right eye, lens power read back", true); len(ps) > 0 {
		t.Errorf("%v", ps)
	}
}

// Every free text of items, drugs, steps and triggers is checked on save.
func TestCheckLooksAtTheWords(t *testing.T) {
	const bad = "Give .5 mg"
	spoil := map[string]func(*Card){
		"items/iris-hooks/name":      func(c *Card) { c.Items[1].Name = bad },
		"items/iris-hooks/note":      func(c *Card) { c.Items[1].Note = bad },
		"drugs/cefuroxime/name":      func(c *Card) { c.Drugs[0].Name = bad },
		"drugs/cefuroxime/prepared":  func(c *Card) { c.Drugs[0].Prepared = bad },
		"drugs/cefuroxime/note":      func(c *Card) { c.Drugs[0].Note = bad },
		"steps/groove/title":         func(c *Card) { c.Steps[0].Title = bad },
		"steps/groove/do":            func(c *Card) { c.Steps[0].Do = bad },
		"steps/groove/checkpoint":    func(c *Card) { c.Steps[0].Checkpoint = bad },
		"triggers/small-pupil/title": func(c *Card) { c.Triggers[0].Title = bad },
		"triggers/small-pupil/seen":  func(c *Card) { c.Triggers[0].Seen = bad },
		"triggers/small-pupil/say":   func(c *Card) { c.Triggers[0].Say = bad },
		"triggers/small-pupil/next":  func(c *Card) { c.Triggers[0].NextStep = bad },
		"triggers/small-pupil":       func(c *Card) { c.Triggers[0].Scrub = []string{bad} },
		"variants/dense/items/spatula/note": func(c *Card) {
			c.Variants[0].Items = []Item{{Key: "spatula", Name: "Spatula", Kind: "instrument", Quantity: 1, State: Open, Note: bad}}
		},
	}
	for path, change := range spoil {
		c := plain()
		change(&c)
		if ps := Check(c).Errors(); len(ps) != 1 || ps[0].Code != "leading zero" || ps[0].Path != path {
			t.Errorf("%s: %v", path, ps)
		}
	}
	c := plain()
	c.Triggers[0].Say = "Pupil <5 mm"
	if ps := Check(c); len(ps) != 1 || ps[0].Code != "symbol" {
		t.Errorf("what is said aloud: %v", ps)
	}
}

// Any text: no panic, and everything that is quoted stands in it.
func FuzzCheckWords(f *testing.F) {
	for _, s := range []string{"Give .5 mg", "1.0mg", "1,5 mL", "µg", "10U", "O.D.", "1:10 000", "1/2", "½", "眼 OS", "\xff.5", "5 mLs <3", "cefuroxime750 mg", "1.10.2026", ".", "1.", "1:"} {
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, text string, aloud bool) {
		for _, p := range CheckWords("x", "Text", text, aloud) {
			if p.Code == "" || p.Text == "" || p.Path != "x" || (utf8.ValidString(text) && !utf8.ValidString(p.Text)) {
				t.Errorf("%q: %+v", text, p)
			}
		}
		quiet, loud := CheckWords("x", "Text", text, false), CheckWords("x", "Text", text, true)
		if len(loud) < len(quiet) {
			t.Errorf("%q: fewer problems aloud", text)
		}
	})
}
