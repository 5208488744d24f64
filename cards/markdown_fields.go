package cards

import (
	"strconv"
	"strings"
)

// A field is one labelled value of the Markdown form: a line "- Label: value"
// of a list, or a column of a table. Format and Parse walk the same fields, so
// that a label is written once and what one writes the other reads.
type field struct {
	label string
	path  string // last part of a problem's path
	// always is a column that is written even when no row fills it.
	always bool
	// many values stand one a line; otherwise there is one.
	many  bool
	write func() []string          // the values as people read them; none: left out
	read  func(text string) *fault // takes one value that is not blank
}

// fault says why a text is no value of its field, with the mend.
type fault struct{ code, text string }

func (f field) asColumn() field { f.always = true; return f }

func one(s string) []string {
	if s == "" {
		return nil
	}
	return []string{s}
}

func textField[T ~string](label, path string, at *T) field {
	return field{label: label, path: path,
		write: func() []string { return one(string(*at)) },
		read:  func(text string) *fault { *at = T(text); return nil }}
}

func nameField(label string, at *string) field {
	return textField(label, "name", at).asColumn()
}

// keyField is written only where the key is not the one the name gives.
func keyField(key *Key, name *string) field {
	return field{label: "Key", path: "key",
		write: func() []string {
			if *key == Slug(*name) {
				return nil
			}
			return one(string(*key))
		},
		read: func(text string) *fault { return readKey(key, text) }}
}

func readKey[T ~string](at *T, text string) *fault {
	*at = T(text)
	if ValidKey(text) {
		return nil
	}
	mend := "."
	if s := Slug(text); s != "" {
		mend = ", for example " + quote(string(s)) + "."
	}
	return &fault{"key", quote(text) + " is not a key. Write a to z, 0 to 9 and single hyphens" + mend}
}

func idField[T ~string](label, path string, at *T) field {
	return field{label: label, path: path,
		write: func() []string { return one(string(*at)) },
		read:  func(text string) *fault { return readKey(at, text) }}
}

func choiceField[T ~string](label, path string, name ChoiceName, at *T) field {
	return field{label: label, path: path,
		write: func() []string { return one(string(*at)) },
		read: func(text string) (wrong *fault) {
			value, wrong := readChoice(name, text)
			*at = T(value)
			return wrong
		}}
}

// readChoice finds the choice whatever the case of its letters and the shape of its apostrophe.
func readChoice(name ChoiceName, text string) (string, *fault) {
	plain := strings.ReplaceAll(text, "’", "'")
	for _, v := range Choices[name] {
		if strings.EqualFold(v, plain) {
			return v, nil
		}
	}
	return text, &fault{"choice", quote(text) + " is not known. " + didYouMean(text, Choices[name])}
}

func dateField(label, path string, at *Date) field {
	f := textField(label, path, at)
	f.read = func(text string) *fault {
		*at = Date(text)
		if !at.Valid() {
			return &fault{"date", quote(text) + " is not a day. Write it like 2027-03-31."}
		}
		return nil
	}
	return f
}

func countField(label, path string, at *int) field {
	return field{label: label, path: path,
		write: func() []string {
			if *at == 0 {
				return nil
			}
			return []string{strconv.Itoa(*at)}
		},
		read: func(text string) *fault {
			n, err := strconv.Atoi(text)
			if err != nil {
				return &fault{"number", quote(text) + " is not a whole number. Write digits only, for example 2."}
			}
			*at = n
			return nil
		}}
}

func yesField(label, path string, at *bool) field {
	return field{label: label, path: path,
		write: func() []string {
			if *at {
				return []string{Yes}
			}
			return nil
		},
		read: func(text string) *fault {
			*at = strings.EqualFold(text, Yes)
			if !*at && !strings.EqualFold(text, No) {
				return &fault{"choice", quote(text) + " is not known. Write yes, or leave it blank for no."}
			}
			return nil
		}}
}

// quantityField is a number of the vocabulary with its unit beside it.
func quantityField(id ParameterID, at *Quantity) field {
	p, _ := ParameterByID(id)
	return field{label: p.Label, path: string(id),
		write: func() []string {
			if !at.Stated() {
				return nil
			}
			return []string{withUnit(*at, p.Unit)}
		},
		read: func(text string) *fault {
			number, hasUnit := strings.CutSuffix(text, p.Unit)
			if !hasUnit {
				return &fault{"unit", quote(text) + " lacks its unit. Write the number and then " + quote(p.Unit) + "."}
			}
			return readQuantity(at, strings.TrimSpace(number))
		}}
}

func readQuantity(at *Quantity, text string) *fault {
	q, err := ParseQuantity(text)
	if err != nil || !q.Stated() {
		if err == nil {
			err = ErrQuantitySyntax
		}
		return &fault{"number", quote(text) + " is not a number: " + err.Error() + "."}
	}
	*at = q
	return nil
}

// measureField is a number whose unit is one of several.
func measureField(label, path string, units ChoiceName, at *Measure) field {
	return field{label: label, path: path,
		write: func() []string {
			return one(strings.TrimSpace(at.Value.String() + " " + string(at.Unit)))
		},
		read: func(text string) *fault {
			end := strings.IndexFunc(text, func(r rune) bool { return (r < '0' || r > '9') && r != '.' && r != '-' })
			if end < 0 {
				end = len(text)
			}
			at.Unit = Unit(strings.TrimSpace(text[end:]))
			if !IsChoice(units, string(at.Unit)) {
				_ = readQuantity(&at.Value, text[:end])
				return &fault{"unit", quote(text) + " lacks a known unit. Write a number and one of: " + strings.Join(Choices[units], ", ") + "."}
			}
			return readQuantity(&at.Value, text[:end])
		}}
}

// listField holds several short values on one line with commas between them.
func listField[T ~string](label, path string, at *[]T, readOne func(*T, string) *fault) field {
	return field{label: label, path: path,
		write: func() []string {
			words := make([]string, len(*at))
			for i, v := range *at {
				words[i] = string(v)
			}
			return one(strings.Join(words, ", "))
		},
		read: func(text string) (first *fault) {
			for word := range strings.SplitSeq(text, ",") {
				var value T
				if wrong := readOne(&value, strings.TrimSpace(word)); wrong != nil && first == nil {
					first = wrong
				}
				*at = append(*at, value)
			}
			return first
		}}
}

func keysField(label, path string, at *[]Key) field {
	return listField(label, path, at, readKey[Key])
}

func allergensField(at *[]Allergen) field {
	return listField("Contains", "allergens", at, func(to *Allergen, text string) *fault {
		value, wrong := readChoice("allergen", text)
		*to = Allergen(value)
		return wrong
	})
}

// linesField holds several texts, one a line.
func linesField(label, path string, at *[]string) field {
	return field{label: label, path: path, many: true,
		write: func() []string { return *at },
		read:  func(text string) *fault { *at = append(*at, text); return nil }}
}

func testsField(label, path string, at *[]Test) field {
	return field{label: label, path: path, many: true,
		write: func() []string {
			words := make([]string, len(*at))
			for i, t := range *at {
				words[i] = t.String()
			}
			return words
		},
		read: func(text string) *fault {
			t, wrong := readTest(text)
			*at = append(*at, t)
			return wrong
		}}
}

func testField(label, path string, at *Test) field {
	return field{label: label, path: path,
		write: func() []string {
			if *at == (Test{}) {
				return nil
			}
			return []string{at.String()}
		},
		read: func(text string) (wrong *fault) { *at, wrong = readTest(text); return wrong }}
}

func headerFieldsOf(c *Card) []field {
	return []field{
		idField("Card", "id", &c.ID),
		choiceField("Technique", "technique", "technique", &c.Technique),
		textField("Name of the technique", "technique_name", &c.TechniqueName),
		idField("Owner", "owner", &c.Owner),
		dateField("Review", "review", &c.Review),
	}
}

func basicsFields(b *Basics) []field {
	return []field{
		quantityField("glove_size", &b.GloveSize),
		textField("Gown size", "gown_size", &b.GownSize),
		choiceField("Handedness", "handedness", "handedness", &b.Handedness),
		choiceField("Sits", "seat", "seat", &b.Seat),
		choiceField("Main incision", "main_place", "incision", &b.MainPlace),
		quantityField("main_width", &b.MainWidth),
		quantityField("side_hours", &b.SideHours),
		choiceField("Side incision to the", "side_hand", "hand", &b.SideHand),
		quantityField("side_width", &b.SideWidth),
		quantityField("pupil_distance", &b.PupilDistance),
		quantityField("eyepiece_left", &b.EyepieceLeft),
		quantityField("eyepiece_right", &b.EyepieceRight),
		choiceField("Usual anaesthesia", "anaesthesia", "anaesthesia", &b.Anaesthesia),
		textField("Anaesthesia note", "anaesthesia_note", &b.AnaesthesiaNote),
	}
}

func machineFields(m *Machine) []field {
	return []field{
		textField("Machine profile", "profile", &m.Profile),
		choiceField("Pump", "pump", "pump", &m.Pump),
		choiceField("Irrigation by", "irrigation", "irrigation", &m.Irrigation),
		quantityField("tip_gauge", &m.TipGauge),
		quantityField("tip_angle", &m.TipAngle),
		textField("Foot pedal", "pedal", &m.Pedal),
	}
}

func itemFields(i *Item) []field {
	return []field{
		nameField("Item", &i.Name),
		countField("Quantity", "quantity", &i.Quantity).asColumn(),
		choiceField("State", "state", "state", &i.State).asColumn(),
		choiceField("Place", "place", "place", &i.Place),
		yesField("Counted", "counted", &i.Counted),
		choiceField("Kind", "kind", "item kind", &i.Kind).asColumn(),
		allergensField(&i.Allergens),
		textField("Note", "note", &i.Note),
		keyField(&i.Key, &i.Name),
	}
}

func drugFields(d *Drug) []field {
	return []field{
		nameField("Drug", &d.Name),
		measureField("Strength", "strength", "strength", &d.Strength),
		measureField("Dose", "dose", "dose", &d.Dose),
		quantityField("volume", &d.Volume),
		choiceField("Route", "route", "route", &d.Route).asColumn(),
		choiceField("State", "state", "state", &d.State).asColumn(),
		textField("Prepared", "prepared", &d.Prepared),
		allergensField(&d.Allergens),
		textField("Note", "note", &d.Note),
		keyField(&d.Key, &d.Name),
	}
}

func fitFields(f *Fit) []field {
	return []field{
		choiceField("Speaks", "speaks", "speaks", &f.Speaks).asColumn(),
		testField("When", "when", &f.When).asColumn(),
		textField("Reason", "reason", &f.Reason).asColumn(),
	}
}

func phaseFields(p *Phase) []field {
	return []field{
		choiceField("Kind", "kind", "phase kind", &p.Kind),
		textField("Note", "note", &p.Note),
		keyField(&p.Key, &p.Name),
	}
}

func stepFields(s *Step) []field {
	return []field{
		idField("Phase", "phase", &s.Phase),
		textField("Do", "do", &s.Do),
		textField("Checkpoint", "checkpoint", &s.Checkpoint),
		keyField(&s.Key, &s.Title),
	}
}

func triggerFields(t *Trigger) []field {
	return []field{
		textField("Seen", "seen", &t.Seen),
		textField("Say", "say", &t.Say),
		linesField("Surgeon", "surgeon", &t.Surgeon),
		linesField("Scrub nurse", "scrub", &t.Scrub),
		linesField("Circulating nurse", "circulating", &t.Circulating),
		linesField("Anaesthesia", "anaesthesia", &t.Anaesthesia),
		keysField("Open", "open", &t.Open),
		idField("Next card", "next_card", &t.NextCard),
		textField("Next", "next", &t.NextStep),
		textField("Source", "source", &t.Source),
		keyField(&t.Key, &t.Title),
	}
}

func variantFields(v *Variant) []field {
	return []field{
		testsField("When", "when", &v.When),
		keysField("Without", "without", &v.Without),
		textField("Note", "note", &v.Note),
		keyField(&v.Key, &v.Title),
	}
}
