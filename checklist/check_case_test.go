package checklist

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"sideport/cards"
)

func TestCheckCaseNamesOneProblemAFact(t *testing.T) {
	for _, row := range []struct {
		name  string
		facts []string
		want  []string
	}{
		{"a plain case", nil, []string{}},
		{"every extreme inside its bounds", []string{"axial-length=14", "toric=yes", "toric-axis=180", "lens-power=-20"}, []string{}},
		{"white and brunescent together", []string{"white=yes", "brunescent=yes"}, []string{}},
		{"not known is an answer", []string{"diabetes=not known", "dilated-pupil=not known", "allergies=not known"}, []string{}},
		{"no eye", []string{"eye="}, []string{"error empty facts/eye"}},
		{"eye not known", []string{"eye=not known"}, []string{"error empty facts/eye"}},
		{"an eye that does not exist", []string{"eye=both eyes"}, []string{"error choice facts/eye"}},
		{"below the bounds", []string{"dilated-pupil=0.5"}, []string{"error bounds facts/dilated-pupil"}},
		{"above the bounds", []string{"axial-length=41"}, []string{"error bounds facts/axial-length"}},
		{"not a number", []string{"dilated-pupil=4,5"}, []string{"error choice facts/dilated-pupil"}}, // the helper reads a comma as two answers
		{"half a number", []string{"dilated-pupil=.5"}, []string{"error number facts/dilated-pupil"}},
		{"a word for a number", []string{"inr=high"}, []string{"error number facts/inr"}},
		{"two answers to a choice", []string{"diabetes=yes,no"}, []string{"error choice facts/diabetes"}},
		{"none and a member", []string{"allergies=none,latex"}, []string{"error contradiction facts/allergies"}},
		{"not known and a member", []string{"allergies=not known,latex"}, []string{"error contradiction facts/allergies"}},
		{"a member twice", []string{"allergies=latex,latex"}, []string{"error twice facts/allergies"}},
		{"a member that does not exist", []string{"allergies=nuts"}, []string{"error choice facts/allergies"}},
		{"an axis without a toric lens", []string{"toric=no", "toric-axis=90"}, []string{"error contradiction facts/toric-axis"}},
		{"an opacity of an eye without one", []string{"posterior-polar=no", "posterior-polar-size=3"}, []string{"error contradiction facts/posterior-polar-size"}},
		{"an opacity larger than an eye has", []string{"posterior-polar=yes", "posterior-polar-size=11"}, []string{"error bounds facts/posterior-polar-size"}},
		{"oil without a vitrectomy", []string{"previous-vitrectomy=no", "silicone-oil=yes"}, []string{"error contradiction facts/silicone-oil"}},
		{"no oil and no vitrectomy", []string{"previous-vitrectomy=no", "silicone-oil=no"}, []string{}},
		{"a swollen lens that is not white", []string{"white=no", "intumescent=yes"}, []string{"error contradiction facts/intumescent"}},
		{"diabetic eye disease without diabetes", []string{"diabetes=no", "diabetic-eye-disease=yes"}, []string{"error contradiction facts/diabetic-eye-disease"}},
		{"diabetes without diabetic eye disease", []string{"diabetes=yes", "diabetic-eye-disease=no"}, []string{}},
		{"diabetic eye disease, diabetes not known", []string{"diabetes=not known", "diabetic-eye-disease=yes"}, []string{}},
		{"an INR without an anticoagulant", []string{"anticoagulant=no", "inr=2.5"}, []string{"error contradiction facts/inr"}},
		{"an INR beside an unanswered anticoagulant", []string{"inr=2.5"}, []string{}},
		{"a grade that is reckoned", []string{"nucleus-grade=3"}, []string{"error derived facts/nucleus-grade"}},
		{"a factor that does not exist", []string{"shoe-size=42"}, []string{"error no such factor facts/shoe-size"}},
		{"scales that disagree", []string{"nucleus-locs=1", "nucleus-clinical=4+"}, []string{"caution nucleus scales facts/nucleus-grade"}},
		{"a number of a patient", []string{"allergy-other=egg 4857773456"}, []string{"caution identity facts/allergy-other"}},
		{"a long story", []string{"allergy-other=" + strings.Repeat("a", 201)}, []string{"error text facts/allergy-other"}},
		{"several at once", []string{"eye=", "diabetes=perhaps", "inr=99"}, []string{"error choice facts/diabetes", "error bounds facts/inr", "error empty facts/eye"}},
	} {
		if got := codesOf(CheckCase(plainCase(row.facts...))); !slices.Equal(got, row.want) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
}

func TestCheckCaseHeader(t *testing.T) {
	for _, row := range []struct {
		name  string
		spoil func(*Case)
		want  string
	}{
		{"no id", func(c *Case) { c.ID = "" }, "error key id"},
		{"a name as id", func(c *Case) { c.ID = "Mr Smith" }, "error key id"},
		{"no day", func(c *Case) { c.List = "" }, "error date list"},
		{"30 February", func(c *Case) { c.List = "2027-02-30" }, "error date list"},
		{"place 0", func(c *Case) { c.Position = 0 }, "error bounds position"},
		{"place 100", func(c *Case) { c.Position = 100 }, "error bounds position"},
		{"no surgeon", func(c *Case) { c.Surgeon = "" }, "error key surgeon"},
		{"no card", func(c *Case) { c.Card = "" }, "error key card"},
		{"a note that turns text about", func(c *Case) { c.Note = "50\u202e05" }, "error text note"},
		{"a birthday in the note", func(c *Case) { c.Note = "born 01/02/1950" }, "caution identity note"},
	} {
		c := plainCase()
		row.spoil(&c)
		if got := codesOf(CheckCase(c)); !slices.Equal(got, []string{row.want}) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
}

func TestProblemsNameFieldValueAndBounds(t *testing.T) {
	mustText(t, "out of bounds", CheckCase(plainCase("dilated-pupil=12"))[0].Text, "Dilated pupil: 12 mm is outside 1 to 10 mm. Write a value inside.")
	mustText(t, "negative bounds", CheckCase(plainCase("lens-power=-21"))[0].Text, "Lens power: minus 21 D is outside minus 20 to 60 D. Write a value inside.")
	mustText(t, "contradiction", CheckCase(plainCase("toric=no", "toric-axis=90"))[0].Text, "Toric axis: 90 degrees is given, but “Toric lens” is no. Correct the one that is wrong.")
}

// badAnswers are answers that a factor cannot take, each with what its message must name beside the field.
func badAnswers(f cards.Factor) map[string]struct {
	v    Value
	says []string
} {
	type bad = struct {
		v    Value
		says []string
	}
	out := map[string]bad{"nothing": {Value{""}, []string{"no answer"}}}
	switch f.Kind {
	case cards.FactorNumber:
		bounds := []string{numberText(f.Min.String(), ""), numberText(f.Max.String(), f.Unit)}
		below, above := cards.FromMillionths(f.Min.Millionths()-1), cards.FromMillionths(f.Max.Millionths()+1)
		out["below"] = bad{Value{below.String()}, append(bounds, numberText(below.String(), f.Unit))}
		out["above"] = bad{Value{above.String()}, append(bounds, numberText(above.String(), f.Unit))}
		for _, s := range []string{"a lot", "4,5", ".5", "5 mm", "1e3", "--1", "½"} {
			out[s] = bad{Value{s}, append(bounds, quote(s))}
		}
		out["two answers"] = bad{Value{f.Min.String(), f.Max.String()}, []string{f.Min.String(), f.Max.String()}}
	case cards.FactorText:
		out["a line break"] = bad{Value{"a\nb"}, nil}
		out["too long"] = bad{Value{strings.Repeat("a", maxAllergyText+1)}, []string{"201", "200"}}
	case cards.FactorSet:
		out["not a member"] = bad{Value{"perhaps"}, append([]string{"perhaps"}, f.Options...)}
		out["none and a member"] = bad{Value{cards.None, f.Options[0]}, []string{cards.None, f.Options[0]}}
	default:
		out["no option"] = bad{Value{"perhaps"}, append([]string{"perhaps"}, f.Options...)}
		out["two options"] = bad{Value{f.Options[0], f.Options[1]}, []string{f.Options[0], f.Options[1]}}
	}
	return out
}

// Every factor of the vocabulary says of every bad answer, once, at its own
// place, which field it is, what was answered and what can be; and what else
// was answered stays as it was.
func TestEveryFactorNamesFieldValueAndBounds(t *testing.T) {
	for _, f := range cards.Factors {
		if f.Derived {
			continue
		}
		for name, bad := range badAnswers(f) {
			c := plainCase("dilated-pupil=6", "diabetes=yes", "lens-power=21.5")
			if f.OnlyWith != "" {
				c.Facts[f.OnlyWith] = Value{cards.NotKnown}
			}
			c.Facts[f.ID] = bad.v
			found := CheckCase(c).Errors()
			if len(found) != 1 || found[0].Path != "facts/"+string(f.ID) {
				t.Errorf("%s, %s: %v", f.ID, name, found)
				continue
			}
			for _, word := range append(bad.says, f.Label) {
				if !strings.Contains(found[0].Text, word) {
					t.Errorf("%s, %s: %q does not name %q", f.ID, name, found[0].Text, word)
				}
			}
		}
	}
}

// Every factor that makes no sense without another says so when the other is "no", and names both.
func TestEveryDependentFactorNamesWhatItContradicts(t *testing.T) {
	for _, f := range cards.Factors {
		other, ok := cards.FactorByID(ruledOutBy(f))
		if !ok || !slices.Contains(other.Options, cards.No) {
			continue
		}
		c := plainCase()
		c.Facts[other.ID], c.Facts[f.ID] = Value{cards.No}, Value{cards.Yes}
		if f.Kind == cards.FactorNumber {
			c.Facts[f.ID] = Value{f.Max.String()}
		}
		found := CheckCase(c).Errors()
		if len(found) != 1 || found[0].Code != "contradiction" || !strings.Contains(found[0].Text, f.Label) || !strings.Contains(found[0].Text, quote(other.Label)) {
			t.Errorf("%s without %s: %v", f.ID, other.ID, found)
		}
	}
}

func TestIdentityInFreeText(t *testing.T) {
	for text, want := range map[string]bool{
		"nuts": false, "reacts to 0.5 % chlorhexidine": false, "rash after 2 doses": false, "hat size 58": false,
		"10-0 suture": false, "penicillin 2019": false, "BS 12345": false, // five digits are not yet a patient's number
		"485 777 3456": true, "123456": true, "A123-456-7": true,
		"1.2.1950": true, "born 1950-02-01.": true, "01/02/50": true, "1 Feb 1950": true, "February 1950": true, "3 may 50": true,
		"may react": false, "maybe 3 times": false, "the 2 of march": false,
	} {
		c := plainCase()
		c.Note = text
		if got := len(CheckCase(c)) > 0; got != want {
			t.Errorf("%q looks like identity: %v, want %v", text, got, want)
		}
	}
}

func TestParseCaseRefuses(t *testing.T) {
	const head = `"id":"c1","list":"2027-03-31","position":1,"surgeon":"wren","card":"x"`
	for _, row := range []struct{ name, in, code, text string }{
		{"nothing", "", "syntax", "the case is empty. Write it as JSON."},
		{"half a file", "{\n\"id\":", "syntax", "Line 2: the case ends too early. A bracket or a quotation mark is missing."},
		{"a missing comma", "{\n\"id\":\"a\"\n\"list\":\"b\"}", "syntax", "Line 3: the case cannot be read as JSON here. Look for a missing comma, quotation mark or bracket."},
		{"two values", "{} {}", "syntax", "Line 1: the case has something after its end. Remove it."},
		{"an unknown field", "{" + head + ",\n\"name\":\"Smith\"}", "unknown field", "Line 2: the case has no field “name”. Check the spelling or remove it."},
		{"a field twice", "{" + head + ",\n\"id\":\"c2\"}", "twice", "Line 2: “id” stands twice in one group. Keep one."},
		{"a fact twice", "{" + head + ",\"facts\":{\"eye\":\"right eye\",\n\"eye\":\"left eye\"}}", "twice", "Line 2: “eye” stands twice in one group. Keep one."},
		{"capital letters", "{\"ID\":\"c1\"}", "unknown field", "Line 1: the name “ID” has a capital letter. Names are written in small letters."},
		{"a text for a number", "{\"position\":\"1\"}", "type", "Line 1: “position” is a text, but must be a whole number without quotation marks."},
		{"half a place", "{\"position\":1.5}", "type", "Line 1: “position” is a number, but must be a whole number without quotation marks."},
		{"a list", "[]", "type", "Line 1: “the case” is a list in [ ], but must be a group in { }."},
		{"not UTF-8", "{\"id\":\"\xff\"}", "encoding", "the case is not text in UTF-8. Save it as UTF-8."},
	} {
		_, problems := ParseCase([]byte(row.in))
		if len(problems) != 1 || problems[0].Code != row.code || problems[0].Text != row.text {
			t.Errorf("%s: %q, want %s: %s", row.name, problems, row.code, row.text)
		}
	}
}

func TestParseCaseFacts(t *testing.T) {
	c, problems := ParseCase([]byte(`{"id":"c1","list":"2027-03-31","position":1,"surgeon":"wren","card":"x",
		"facts":{"eye":"left eye","dilated-pupil":4.5,"diabetes":true,"allergies":["latex"],"glaucoma":{}}}`))
	want := []string{"error type facts/diabetes", "error type facts/dilated-pupil", "error type facts/glaucoma"}
	if got := codesOf(problems); !slices.Equal(got, want) {
		t.Errorf("problems %q, want %q", got, want)
	}
	if c.Facts["allergies"][0] != "latex" || len(c.Facts) != 2 {
		t.Errorf("facts %v", c.Facts)
	}
}

// A case survives being written and read.
func TestCaseRoundTrip(t *testing.T) {
	in := plainCase("dilated-pupil=4.5", "allergies=iodine,latex", "allergy-other=egg & soya")
	in.Note = "<b>deaf</b>"
	b, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	out, problems := ParseCase(b)
	if len(problems) > 0 || len(DiffCases(in, out)) > 0 {
		t.Errorf("read back with %v and differences %v", problems, DiffCases(in, out))
	}
}

func FuzzParseCase(f *testing.F) {
	b, _ := json.Marshal(plainCase("dilated-pupil=4.5", "toric=no", "toric-axis=3"))
	f.Add(b)
	f.Add([]byte(`{"facts":{"eye":null,"allergies":[]}}`))
	f.Add([]byte(`[[[[`))
	f.Fuzz(func(t *testing.T, b []byte) {
		c, problems := ParseCase(b)
		if len(problems.Errors()) > 0 {
			return
		}
		again, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		back, problems := ParseCase(again)
		if len(problems.Errors()) > 0 || len(DiffCases(c, back)) > 0 {
			t.Fatalf("%s\nreads back with %v, %v", again, problems, DiffCases(c, back))
		}
	})
}
