package cards

import (
	"strconv"
	"strings"
)

// maxItemQuantity is more than any trolley holds; a larger number is a slip of the finger.
const maxItemQuantity = 99

// Check finds everything wrong or unusual about a card. Errors stop the card
// from being kept; cautions are kept and shown beside the value. It never
// stops at the first problem and never changes the card. Only a card with a
// list that is too long is not looked into any further.
func Check(c Card) Problems {
	k := &checker{}
	if !k.lengths(c) {
		return k.found
	}
	k.header(c)
	k.basics(c.Basics)
	k.machine(c.Machine)
	k.items("items", c.Items)
	k.secondHand(c)
	k.drugs(c.Drugs)
	k.phases(c)
	k.steps(c)
	k.triggers(c)
	k.variants(c)
	k.fit(c.Fit)
	k.text("notes", "Notes", c.Notes, true)
	k.extra(c.Extra)
	return k.found
}

// extra checks kept sections: a title that the Markdown form knows, or one that stands twice, could not be written and read again.
func (k *checker) extra(sections []Section) {
	seen := map[string]bool{}
	for _, s := range sections {
		label := "Section " + quote(s.Title)
		k.need("extra", "Title of a section", s.Title)
		k.text("extra", label, s.Body, true)
		if KnownSection(s.Title) {
			k.errorf("known section", "extra", label+" has the title of a part of the card. Give it another title.")
		}
		if seen[s.Title] {
			k.errorf("twice", "extra", label+" stands twice. Join the two or give one another title.")
		}
		seen[s.Title] = true
	}
}

type checker struct{ found Problems }

func (k *checker) errorf(code, path, text string) {
	k.found = append(k.found, Problem{Level: LevelError, Code: code, Path: path, Text: text})
}

func (k *checker) caution(code, path, text, source string) {
	k.found = append(k.found, Problem{Level: LevelCaution, Code: code, Path: path, Text: text, Source: source})
}

func quote(s string) string { return "“" + s + "”" }

// text checks a text that may be empty and that a person wrote freely.
func (k *checker) text(path, label, s string, multiline bool) {
	if k.storable(path, label, s, multiline) {
		k.found = append(k.found, Identity(path, label, s)...)
	}
}

// storable checks a text in which long numbers and days are expected: a source, a barcode.
func (k *checker) storable(path, label, s string, multiline bool) bool {
	reason := ""
	if s != "" {
		reason = StorableText(s, multiline)
	}
	if reason != "" {
		k.errorf("text", path, label+": "+reason)
	}
	return reason == ""
}

// words checks how numbers, units and eyes are written in a text; aloud says that it is read out.
func (k *checker) words(path, label, s string, aloud bool) {
	k.found = append(k.found, CheckWords(path, label, s, aloud)...)
}

// need checks a text that must say something.
func (k *checker) need(path, label, s string) {
	if s == "" {
		k.errorf("empty", path, label+" is empty. Write it.")
		return
	}
	k.text(path, label, s, false)
}

// choice checks a closed choice; empty is allowed unless required.
func (k *checker) choice(path, label string, name ChoiceName, value string, required bool) {
	switch {
	case value == "" && !required:
	case value == "":
		k.errorf("empty", path, label+" is not chosen. Choose one of: "+strings.Join(Choices[name], ", ")+".")
	case !IsChoice(name, value):
		k.errorf("choice", path, label+" "+quote(value)+" is not known. Choose one of: "+strings.Join(Choices[name], ", ")+".")
	}
}

// key checks an element's key and that nothing else in the list has it.
func (k *checker) key(list, label string, key Key, seen map[Key]bool) {
	path := list + "/" + string(key)
	if !ValidKey(string(key)) {
		k.errorf("key", path, label+" has the key "+quote(string(key))+". A key is made of a to z, 0 to 9 and single hyphens.")
		return
	}
	if seen[key] {
		k.errorf("twice", path, label+" stands twice in the card (key "+quote(string(key))+"). Join the two or give one another key.")
	}
	seen[key] = true
}

// number checks a stated quantity against the hard bounds and the fineness of
// its parameter; place names where it stands ("Chop"), kind selects the usual range.
func (k *checker) number(path, place string, id ParameterID, q Quantity, kind PhaseKind) {
	if !q.Stated() {
		return
	}
	p, _ := ParameterByID(id)
	what := func() string { // put together only where something is wrong
		if place == "" {
			return p.Label + " " + withUnit(q, p.Unit)
		}
		return place + ": " + lowerFirst(p.Label) + " " + withUnit(q, p.Unit)
	}
	if q.Cmp(p.Min) < 0 || q.Cmp(p.Max) > 0 {
		k.errorf("bounds", path, what()+" is outside "+withUnit(p.Min, "")+" to "+withUnit(p.Max, p.Unit)+". Write a value inside.")
		return
	}
	if finest := p.Step.Millionths() / 10; finest > 0 && q.Millionths()%finest != 0 {
		k.errorf("fine", path, what()+" is finer than can be set. Round it to steps of "+withUnit(FromMillionths(finest), p.Unit)+".")
		return
	}
	for _, r := range p.Usual {
		if r.Phase != "" && r.Phase != kind {
			continue
		}
		if q.Cmp(r.Min) < 0 || q.Cmp(r.Max) > 0 {
			k.caution("unusual", path, what()+" is outside the usual range "+r.Min.String()+" to "+withUnit(r.Max, p.Unit)+".", r.Source)
		}
	}
}

func withUnit(q Quantity, unit string) string {
	if unit == "" {
		return q.String()
	}
	return q.String() + " " + unit
}

func lowerFirst(s string) string {
	if s == "" || (len(s) > 1 && s[1] >= 'A' && s[1] <= 'Z') {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

func (k *checker) header(c Card) {
	if !ValidKey(string(c.ID)) {
		k.errorf("key", "id", "Card id "+quote(string(c.ID))+" is not usable. An id is made of a to z, 0 to 9 and single hyphens.")
	}
	k.need("title", "Title", c.Title)
	k.choice("technique", "Technique", "technique", string(c.Technique), true)
	if c.Technique == TechniqueOwn {
		k.need("technique_name", "Name of the unit's own technique", c.TechniqueName)
	} else if c.TechniqueName != "" {
		k.errorf("contradiction", "technique_name", "A technique name "+quote(c.TechniqueName)+" is only for the unit's own technique. Choose that technique or remove the name.")
	}
	if !ValidKey(string(c.Owner)) {
		k.errorf("key", "owner", "Owner "+quote(string(c.Owner))+" is not a person's id. Choose the surgeon whose card this is.")
	}
	if !c.Review.Valid() {
		k.errorf("date", "review", "Review date "+quote(string(c.Review))+" is not a day. Write it like 2027-03-31.")
	}
}

func (k *checker) basics(b Basics) {
	k.number("basics/glove_size", "", "glove_size", b.GloveSize, "")
	k.text("basics/gown_size", "Gown size", b.GownSize, false)
	k.choice("basics/handedness", "Handedness", "handedness", string(b.Handedness), false)
	k.choice("basics/seat", "Seat", "seat", string(b.Seat), false)
	k.choice("basics/main_place", "Main incision", "incision", string(b.MainPlace), false)
	k.choice("basics/side_hand", "Side of the side incision", "hand", string(b.SideHand), false)
	k.choice("basics/anaesthesia", "Usual anaesthesia", "anaesthesia", string(b.Anaesthesia), false)
	k.text("basics/anaesthesia_note", "Anaesthesia note", b.AnaesthesiaNote, false)
	k.number("basics/main_width", "", "main_width", b.MainWidth, "")
	k.number("basics/side_hours", "", "side_hours", b.SideHours, "")
	k.number("basics/side_width", "", "side_width", b.SideWidth, "")
	k.number("basics/pupil_distance", "", "pupil_distance", b.PupilDistance, "")
	k.number("basics/eyepiece_left", "", "eyepiece_left", b.EyepieceLeft, "")
	k.number("basics/eyepiece_right", "", "eyepiece_right", b.EyepieceRight, "")
}

func (k *checker) machine(m Machine) {
	k.text("machine/profile", "Machine profile", m.Profile, false)
	k.choice("machine/pump", "Pump", "pump", string(m.Pump), false)
	k.choice("machine/irrigation", "Irrigation", "irrigation", string(m.Irrigation), false)
	k.number("machine/tip_gauge", "", "tip_gauge", m.TipGauge, "")
	k.number("machine/tip_angle", "", "tip_angle", m.TipAngle, "")
	k.text("machine/pedal", "Foot-pedal notes", m.Pedal, false)
}

func (k *checker) items(list string, items []Item) {
	seen := map[Key]bool{}
	for _, i := range items {
		path := list + "/" + string(i.Key)
		label := "Item " + quote(i.Name)
		k.key(list, label, i.Key, seen)
		k.need(path+"/name", "Name of an item", i.Name)
		k.choice(path+"/kind", label+": kind", "item kind", string(i.Kind), true)
		k.choice(path+"/state", label+": open or have ready", "state", string(i.State), true)
		k.choice(path+"/place", label+": place", "place", string(i.Place), false)
		k.text(path+"/note", label+": note", i.Note, false)
		k.words(path+"/name", "Name of an item", i.Name, false)
		k.words(path+"/note", label+": note", i.Note, false)
		k.allergens(path, label, i.Allergens)
		k.untagged(path, label, i.Name, i.Allergens)
		if i.Quantity < 1 || i.Quantity > maxItemQuantity {
			k.errorf("bounds", path+"/quantity", label+": quantity "+strconv.Itoa(i.Quantity)+" is outside 1 to "+strconv.Itoa(maxItemQuantity)+". Write how many, or remove the item.")
		}
	}
}

func (k *checker) allergens(path, label string, allergens []Allergen) {
	seen := map[Allergen]bool{}
	for _, a := range allergens {
		k.choice(path+"/allergens", label+": allergen", "allergen", string(a), true)
		if seen[a] {
			k.errorf("twice", path+"/allergens", label+" names the allergen "+string(a)+" twice. Name it once.")
		}
		seen[a] = true
	}
}

func (k *checker) drugs(drugs []Drug) {
	seen := map[Key]bool{}
	for _, d := range drugs {
		path := "drugs/" + string(d.Key)
		label := "Drug " + quote(d.Name)
		k.key("drugs", label, d.Key, seen)
		k.need(path+"/name", "Name of a drug", d.Name)
		k.measure(path+"/strength", label+": strength", "strength", d.Strength)
		k.measure(path+"/dose", label+": dose", "dose", d.Dose)
		k.number(path+"/volume", label, "volume", d.Volume, "")
		k.choice(path+"/route", label+": route", "route", string(d.Route), true)
		k.choice(path+"/state", label+": open or have ready", "state", string(d.State), true)
		k.text(path+"/prepared", label+": how it is prepared", d.Prepared, false)
		k.text(path+"/note", label+": note", d.Note, false)
		k.words(path+"/name", "Name of a drug", d.Name, false)
		k.words(path+"/prepared", label+": how it is prepared", d.Prepared, false)
		k.words(path+"/note", label+": note", d.Note, false)
		k.allergens(path, label, d.Allergens)
		k.untagged(path, label, d.Name, d.Allergens)
		k.doseAgrees(path, label, d)
	}
}

func (k *checker) measure(path, label string, units ChoiceName, m Measure) {
	switch {
	case m.IsZero():
	case !m.Value.Stated():
		k.errorf("empty", path, label+" has a unit and no number. Write the number.")
	case m.Unit == "":
		k.errorf("empty", path, label+" "+m.Value.String()+" has no unit. Choose one of: "+strings.Join(Choices[units], ", ")+".")
	default:
		k.choice(path, label+": unit", units, string(m.Unit), true)
		if m.Value.Millionths() <= 0 {
			k.errorf("bounds", path, label+" "+m.String()+" is not above 0. Write the amount, or leave it empty.")
		}
	}
}

// doseAgrees compares the stored dose with strength times volume. Both are the
// surgeon's; a difference means that one of the three is a slip, most often by a factor of ten.
func (k *checker) doseAgrees(path, label string, d Drug) {
	reckoned, ok := DoseOf(d.Strength, d.Volume, d.Dose.Unit)
	if !ok || !d.Dose.Value.Stated() || reckoned.Cmp(d.Dose.Value) == 0 {
		return
	}
	k.errorf("dose", path+"/dose", label+": the dose is written as "+d.Dose.String()+", but "+d.Strength.String()+" times "+withUnit(d.Volume, "mL")+" is "+withUnit(reckoned, string(d.Dose.Unit))+". Correct the one that is wrong.")
}

func (k *checker) steps(c Card) {
	seen := map[Key]bool{}
	for _, s := range c.Steps {
		path := "steps/" + string(s.Key)
		label := "Step " + quote(s.Title)
		k.key("steps", label, s.Key, seen)
		k.need(path+"/title", "Title of a step", s.Title)
		k.text(path+"/do", label, s.Do, false)
		k.text(path+"/checkpoint", label+": checkpoint", s.Checkpoint, false)
		k.words(path+"/title", "Title of a step", s.Title, false)
		k.words(path+"/do", label, s.Do, false)
		k.words(path+"/checkpoint", label+": checkpoint", s.Checkpoint, false)
		if s.Phase != "" {
			k.phaseExists(c, path+"/phase", label, s.Phase)
		}
	}
}

func (k *checker) phaseExists(c Card, path, label string, key Key) {
	if _, ok := c.Phase(key); !ok {
		k.errorf("no such phase", path, label+" names the phase "+quote(string(key))+", which the card does not have. Add the phase or choose another.")
	}
}

func (k *checker) triggers(c Card) {
	seen := map[Key]bool{}
	for _, t := range c.Triggers {
		path := "triggers/" + string(t.Key)
		label := "Trigger " + quote(t.Title)
		k.key("triggers", label, t.Key, seen)
		k.drill(path, label, t)
		k.opensWhatIsThere(c, path, label, t.Open)
	}
}

func (k *checker) opensWhatIsThere(c Card, path, label string, keys []Key) {
	for _, key := range keys {
		_, item := c.Item(key)
		_, drug := c.Drug(key)
		if ValidKey(string(key)) && !item && !drug {
			k.caution("not ready", path+"/open", label+" opens "+quote(key.Words())+", which the card does not list. Add it as have ready.", "a drill cannot open what is not in the room; common practice, no source")
		}
	}
}

func (k *checker) variants(c Card) {
	seen := map[Key]bool{}
	for _, v := range c.Variants {
		path := "variants/" + string(v.Key)
		label := "Variant " + quote(v.Title)
		k.key("variants", label, v.Key, seen)
		k.need(path+"/title", "Title of a variant", v.Title)
		k.text(path+"/note", label+": note", v.Note, false)
		if len(v.When) == 0 {
			k.errorf("empty", path+"/when", label+" has no condition. Say for which case it is.")
		}
		for _, t := range v.When {
			k.found = append(k.found, CheckTest(path+"/when", label, t)...)
		}
		if len(v.Phases)+len(v.Items)+len(v.Without) == 0 && v.Note == "" {
			k.errorf("empty", path, label+" changes nothing. Give it limits, items or a note, or remove it.")
		}
		k.variantPhases(c, path, label, v)
		k.items(path+"/items", v.Items)
		for _, key := range v.Without {
			if _, ok := c.Item(key); !ok {
				k.errorf("no such item", path+"/without", label+" leaves out "+quote(string(key))+", which the card does not have. Choose an item of the card.")
			}
		}
	}
}

func (k *checker) variantPhases(c Card, path, label string, v Variant) {
	seen := map[Key]bool{}
	for _, change := range v.Phases {
		at := path + "/" + string(change.Phase)
		k.phaseExists(c, at, label, change.Phase)
		if seen[change.Phase] {
			k.errorf("twice", at, label+" replaces the phase "+quote(c.phaseName(change.Phase))+" twice. Keep one.")
		}
		seen[change.Phase] = true
		p, _ := c.Phase(change.Phase)
		k.limits(at, label+", "+c.phaseName(change.Phase), p.Kind, c.Machine, change.Limits)
		if FlowRaised(c.Machine, p.Limits, change.Limits) && p.Kind != AnteriorVitrectomy {
			k.flowRaised(at, label+", "+c.phaseName(change.Phase), "the card itself", p.Limits, change.Limits)
		}
	}
}

func (k *checker) fit(lines []Fit) {
	for n, f := range lines {
		path := "fit/" + strconv.Itoa(n+1)
		label := "Fit line " + strconv.Itoa(n+1)
		k.choice(path, label, "speaks", string(f.Speaks), true)
		k.need(path, label+": reason", f.Reason)
		k.found = append(k.found, CheckTest(path, label, f.When)...)
	}
}

// CheckTest finds what is wrong with one condition: an unknown factor, a
// comparison its kind does not have, a value outside its options or bounds.
func CheckTest(path, label string, t Test) Problems {
	k := &checker{}
	f, ok := FactorByID(t.Factor)
	if !ok {
		k.errorf("no such factor", path, label+": there is no case factor "+quote(string(t.Factor))+". Choose one from the list of factors.")
		return k.found
	}
	label += ": " + quote(f.Label)
	if !opAllowed(f.Kind, t.Op) {
		k.errorf("comparison", path, label+" cannot be compared by "+quote(string(t.Op))+". Use "+opNames(f.Kind)+".")
		return k.found
	}
	if t.Setting != "" {
		k.errorf("setting", path, label+" is compared with the setting "+quote(string(t.Setting))+" of the unit, which only a house rule may do. Write the value.")
		return k.found
	}
	switch f.Kind {
	case FactorNumber:
		q, err := ParseQuantity(t.Value)
		if err != nil || !q.Stated() {
			k.errorf("number", path, label+" is compared with "+quote(t.Value)+", which is not a number. Write a number in "+orNumber(f.Unit)+".")
		} else if q.Cmp(f.Min) < 0 || q.Cmp(f.Max) > 0 {
			k.errorf("bounds", path, label+" is compared with "+withUnit(q, f.Unit)+", outside "+f.Min.String()+" to "+withUnit(f.Max, f.Unit)+". Write a value inside.")
		}
	case FactorText:
		if t.Value != None {
			k.errorf("choice", path, label+" can only be compared with “none”.")
		}
	default:
		if !contains(f.Options, t.Value) {
			k.errorf("choice", path, label+" has no answer "+quote(t.Value)+". Choose one of: "+strings.Join(f.Options, ", ")+".")
		}
	}
	return k.found
}

func orNumber(unit string) string {
	if unit == "" {
		return "digits"
	}
	return unit
}

func opAllowed(kind FactorKind, op Op) bool {
	for _, o := range Ops[kind] {
		if o == op {
			return true
		}
	}
	return false
}

func opNames(kind FactorKind) string {
	names := make([]string, len(Ops[kind]))
	for i, o := range Ops[kind] {
		names[i] = quote(string(o))
	}
	return strings.Join(names, " or ")
}
