package cards

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
)

// Working is a calculation ready to show, so that a screen needs no rule and a
// reader can do it again by hand: what came out, by which formula, in which
// steps, with what to beware of and where the figures come from.
type Working struct {
	Result []Shown `json:"result,omitempty"`
	// Stops are findings that must be settled before anything goes on, for example the wrong eye.
	Stops    []string `json:"stops,omitempty"`
	Formula  string   `json:"formula"`
	Steps    []string `json:"steps,omitempty"`
	Cautions []string `json:"cautions,omitempty"`
	// Beside are published figures to hold against the result.
	Beside []string `json:"beside,omitempty"`
	// SyringeLabel is the text for the label of the syringe, line by line.
	SyringeLabel []string `json:"syringe_label,omitempty"`
	Source       string   `json:"source"`
}

// CautionByHand closes every working.
const CautionByHand = "Check by hand before use. The unit's own documents and a second person come first."

// InputKind says how a field of a calculation is filled in.
type InputKind string

const (
	InputNumber   InputKind = "number"   // a decimal in the field's unit
	InputChoice   InputKind = "choice"   // one of Choices
	InputText     InputKind = "text"     // one line
	InputStrength InputKind = "strength" // what ParseStrength reads
	InputDate     InputKind = "date"     // 2027-03-31
	InputScan     InputKind = "scan"     // what a barcode scanner types
	InputRows     InputKind = "rows"     // a list, each row with Fields
)

// InputField is one field of a calculation. Value in JSON is a string (a
// number is written as Quantity writes it); rows are a list of objects.
type InputField struct {
	ID       string    `json:"id"`
	Label    string    `json:"label"`
	Unit     string    `json:"unit,omitempty"`
	Kind     InputKind `json:"kind"`
	Choices  []string  `json:"choices,omitempty"`
	Min      Quantity  `json:"min,omitzero"`
	Max      Quantity  `json:"max,omitzero"`
	Optional bool      `json:"optional,omitempty"`
	// Setting names the setting of the unit's rule book that fills the field in, where the unit has it in this unit of measure.
	Setting Key          `json:"setting,omitempty"`
	Help    string       `json:"help,omitempty"`
	Fields  []InputField `json:"fields,omitempty"`
}

// Calculation is one calculation as a screen offers it.
type Calculation struct {
	Name   string       `json:"name"`
	Label  string       `json:"label"`
	Fields []InputField `json:"fields"`
}

// reckoner joins what is shown of a calculation to what does it.
type reckoner struct {
	Calculation
	work func(*inputs) Working
}

// reckoners is every calculation in the order a screen offers them.
var reckoners = slices.Concat(pressureReckoners, ultrasoundReckoners, strengthReckoners, dilutionReckoners,
	anaestheticReckoners, toricReckoners, barcodeReckoners, proportionReckoners)

// Calculations is what Reckon can do: enough to build a screen from.
var Calculations = calculations()

func calculations() []Calculation {
	list := make([]Calculation, len(reckoners))
	for n, r := range reckoners {
		list[n] = r.Calculation
	}
	return list
}

// rowLimit is more rows than any calculation on a back table has.
const rowLimit = 20

// Reckon does the calculation called name. in is a JSON object of the fields
// in Calculations; a field that is left out, null or "" is not given.
//
// Problems of level error name the field, the value and the bounds; the
// working then holds no result (the chain of a recipe keeps its steps, so that
// the slip can be seen). Findings about good input are in Stops and Cautions.
func Reckon(name string, in json.RawMessage) (Working, Problems) {
	for _, r := range reckoners {
		if r.Name == name {
			return r.reckon(in)
		}
	}
	return Working{}, Problems{{Level: LevelError, Code: "no such calculation", Path: "name",
		Text: "There is no calculation " + quote(name) + ". Choose one from the list of calculations."}}
}

func (r reckoner) reckon(in json.RawMessage) (Working, Problems) {
	read := readInputs("", r.Fields, in)
	if len(read.found) > 0 {
		return Working{}, read.found
	}
	w := r.work(read)
	if len(read.found.Errors()) > 0 {
		return Working{Formula: w.Formula, Steps: w.Steps, Source: w.Source}, read.found
	}
	w.Cautions = append(w.Cautions, CautionByHand)
	return w, read.found
}

// inputs are the fields of one calculation as they were read, by id.
type inputs struct {
	checker
	numbers   map[string]Quantity
	strengths map[string]Strength
	texts     map[string]string
	rows      map[string][]*inputs
}

func readInputs(path string, fields []InputField, raw json.RawMessage) *inputs {
	in := &inputs{numbers: map[string]Quantity{}, strengths: map[string]Strength{}, texts: map[string]string{}, rows: map[string][]*inputs{}}
	var given map[string]json.RawMessage
	if err := json.Unmarshal(raw, &given); err != nil || given == nil {
		in.errorf("json", strings.TrimSuffix(path, "/"), "The input is not a JSON object of fields. Send one, for example {\"height\":\"65\"}.")
		return in
	}
	in.refuseUnknown(path, fields, given)
	for _, f := range fields {
		in.read(path, f, given[f.ID])
	}
	return in
}

func (in *inputs) refuseUnknown(path string, fields []InputField, given map[string]json.RawMessage) {
	var strange []string
	for id := range given {
		if !slices.ContainsFunc(fields, func(f InputField) bool { return f.ID == id }) {
			strange = append(strange, id)
		}
	}
	slices.Sort(strange)
	for _, id := range strange {
		in.errorf("no such field", path+id, "There is no field "+quote(id)+" here. Take it away.")
	}
}

func (in *inputs) read(path string, f InputField, raw json.RawMessage) {
	if f.Kind == InputRows {
		in.readRows(path, f, raw)
		return
	}
	value, ok := plainValue(raw)
	switch {
	case !ok:
		in.errorf("json", path+f.ID, f.Label+" is neither text nor a number. Send it as text.")
	case value == "" && !f.Optional:
		in.errorf("empty", path+f.ID, f.Label+" is not given. "+f.wanted())
	case value != "":
		in.readValue(path, f, value)
	}
}

// plainValue gives a JSON string or number as text, and nothing for null or a field left out.
func plainValue(raw json.RawMessage) (value string, ok bool) {
	raw = bytes.TrimSpace(raw)
	if len(raw) == 0 || string(raw) == "null" {
		return "", true
	}
	if raw[0] == '"' {
		ok = json.Unmarshal(raw, &value) == nil
		return value, ok
	}
	var n json.Number
	ok = json.Unmarshal(raw, &n) == nil
	return n.String(), ok
}

// wanted says what belongs into the field.
func (f InputField) wanted() string {
	switch f.Kind {
	case InputChoice:
		return "Choose one of: " + strings.Join(f.Choices, ", ") + "."
	case InputNumber:
		return "Write a number from " + f.Min.String() + " to " + withUnit(f.Max, f.Unit) + "."
	case InputStrength:
		return "Write it like 10 mg/mL, 0.5 % or 1:1000."
	case InputDate:
		return "Write it like 2027-03-31."
	case InputScan:
		return "Scan the barcode."
	}
	return "Write it."
}

func (in *inputs) readValue(path string, f InputField, value string) {
	switch f.Kind {
	case InputNumber:
		in.readNumber(path, f, value)
	case InputStrength:
		s, err := ParseStrength(value)
		if err != nil {
			in.errorf("strength", path+f.ID, f.Label+" "+quote(value)+": "+err.Error()+".")
		}
		in.strengths[f.ID] = s
	case InputChoice:
		if !contains(f.Choices, value) {
			in.errorf("choice", path+f.ID, f.Label+" "+quote(value)+" is not known. "+f.wanted())
		}
		in.texts[f.ID] = value
	case InputDate:
		if !Date(value).Valid() {
			in.errorf("date", path+f.ID, f.Label+" "+quote(value)+" is not a day. "+f.wanted())
		}
		in.texts[f.ID] = value
	case InputScan:
		in.texts[f.ID] = value
	default:
		in.storable(path+f.ID, f.Label, value, false)
		in.texts[f.ID] = value
	}
}

func (in *inputs) readNumber(path string, f InputField, value string) {
	q, err := ParseQuantity(value)
	switch {
	case err != nil:
		in.errorf("number", path+f.ID, f.Label+" "+quote(value)+" is not a number: "+err.Error()+".")
	case q.Cmp(f.Min) < 0 || q.Cmp(f.Max) > 0:
		in.errorf("bounds", path+f.ID, f.Label+" "+withUnit(q, f.Unit)+" is outside "+f.Min.String()+" to "+withUnit(f.Max, f.Unit)+". Write a value inside.")
	}
	in.numbers[f.ID] = q
}

func (in *inputs) readRows(path string, f InputField, raw json.RawMessage) {
	var rows []json.RawMessage
	if len(raw) > 0 && json.Unmarshal(raw, &rows) != nil {
		in.errorf("json", path+f.ID, f.Label+" is not a list. Send a list of rows.")
		return
	}
	if len(rows) == 0 && !f.Optional {
		in.errorf("empty", path+f.ID, f.Label+": there is no row. Add one.")
	}
	if len(rows) > rowLimit {
		in.errorf("bounds", path+f.ID, f.Label+": more than 20 rows. Take some away.")
		return
	}
	for n, r := range rows {
		row := readInputs(path+f.ID+"/"+Whole(int64(n+1)).String()+"/", f.Fields, r)
		in.found = append(in.found, row.found...)
		in.rows[f.ID] = append(in.rows[f.ID], row)
	}
}

// numberField is a number that must be given.
func numberField(id, label, unit, min, max string) InputField {
	return InputField{ID: id, Label: label, Unit: unit, Kind: InputNumber, Min: MustQuantity(min), Max: MustQuantity(max)}
}

func (f InputField) optional() InputField { f.Optional = true; return f }

func (f InputField) from(setting Key) InputField { f.Setting = setting; return f }

func (f InputField) help(text string) InputField { f.Help = text; return f }

func choiceOf(id, label string, choices ...string) InputField {
	return InputField{ID: id, Label: label, Kind: InputChoice, Choices: choices}
}
