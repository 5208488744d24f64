package cards

// ParameterID names a numeric parameter of a card.
type ParameterID string

// Parameter is one row of the vocabulary: the only home of a parameter's
// label, unit, step and bounds. Validation, forms, sheets and the documents
// all read this table.
type Parameter struct {
	ID    ParameterID `json:"id"`
	Label string      `json:"label"`
	Unit  string      `json:"unit,omitempty"`
	Min   Quantity    `json:"min"`
	Max   Quantity    `json:"max"`
	Step  Quantity    `json:"step"` // of a stepper; also the finest value accepted is Step / 10
	// Source is where the hard bounds come from.
	Source string `json:"source"`
	// Usual ranges by phase kind. They are plausibility bands, never defaults.
	Usual []Range `json:"usual,omitempty"`
}

// Range is the usual range of a parameter in one kind of phase.
type Range struct {
	Phase PhaseKind `json:"phase,omitempty"` // empty: whatever the phase
	Min   Quantity  `json:"min"`
	Max   Quantity  `json:"max"`
	// Source names where the range comes from and whether it is confirmed.
	Source string `json:"source"`
}

// Sources of figures, written once.
const (
	sourceHard     = "hard limit: atmospheric pressure and what machines accept"
	sourceTeaching = "training texts and courses, value from memory, unconfirmed"
	sourcePlain    = "plausibility band, value from memory, unconfirmed"
)

func parameter(id ParameterID, label, unit, min, max, step, source string, usual ...Range) Parameter {
	return Parameter{ID: id, Label: label, Unit: unit, Min: MustQuantity(min), Max: MustQuantity(max), Step: MustQuantity(step), Source: source, Usual: usual}
}

func usual(phase PhaseKind, min, max string) Range {
	return Range{Phase: phase, Min: MustQuantity(min), Max: MustQuantity(max), Source: sourceTeaching}
}

// Parameters is the vocabulary. Limits come first, in the order a machine screen is read out.
var Parameters = []Parameter{
	parameter("power", "Ultrasound power", "%", "0", "100", "5", sourceHard,
		usual(Sculpt, "30", "70"), usual(Chop, "10", "60"), usual(SegmentRemoval, "10", "60"),
		usual(Epinucleus, "0", "30")),
	parameter("pulse_rate", "Pulse rate", "pulses/s", "1", "250", "5", sourcePlain),
	parameter("duty_cycle", "Duty cycle", "%", "1", "100", "5", "a share of the time switched on"),
	parameter("burst_length", "Burst length", "ms", "1", "2000", "10", sourcePlain),
	parameter("vacuum", "Vacuum", "mmHg", "0", "700", "10", sourceHard,
		usual(Sculpt, "20", "120"), usual(Chop, "250", "600"), usual(SegmentRemoval, "250", "600"),
		usual(Epinucleus, "120", "300"), usual(Cortex, "350", "600"), usual(Polish, "5", "50"),
		usual(ViscoelasticRemoval, "350", "650"), usual(AnteriorVitrectomy, "100", "300")),
	parameter("flow", "Aspiration flow", "mL/min", "0", "60", "1", sourceHard,
		usual(Sculpt, "18", "35"), usual(Chop, "25", "45"), usual(SegmentRemoval, "25", "45"),
		usual(Epinucleus, "20", "40"), usual(Cortex, "20", "45"), usual(Polish, "5", "15"),
		usual(ViscoelasticRemoval, "30", "60"), usual(AnteriorVitrectomy, "15", "25")),
	parameter("bottle", "Bottle height", "cm", "0", "150", "5", sourceHard,
		usual(Sculpt, "60", "90"), usual(Chop, "80", "110"), usual(SegmentRemoval, "80", "110"),
		usual(Epinucleus, "70", "95"), usual(Cortex, "70", "100"), usual(Polish, "50", "75"),
		usual(ViscoelasticRemoval, "70", "100"), usual(AnteriorVitrectomy, "25", "55")),
	parameter("pressure", "Irrigation pressure", "mmHg", "0", "110", "5", "hard limit: 110 mmHg is a bottle at 150 cm, p = density x g x height with water",
		usual(Sculpt, "40", "60"), usual(Chop, "50", "70"), usual(SegmentRemoval, "50", "70")),
	parameter("cut_rate", "Cut rate", "cuts/min", "0", "20000", "100", sourcePlain,
		usual(AnteriorVitrectomy, "800", "20000")),
	parameter("glove_size", "Glove size", "", "5", "10", "0.5", "half sizes as sold, common practice, no source"),
	parameter("main_width", "Main incision width", "mm", "1", "12", "0.1", sourcePlain,
		Range{Min: MustQuantity("1.8"), Max: MustQuantity("3.2"), Source: sourceTeaching}),
	parameter("side_width", "Side incision width", "mm", "0.4", "3", "0.1", sourcePlain,
		Range{Min: MustQuantity("0.6"), Max: MustQuantity("1.4"), Source: sourceTeaching}),
	parameter("side_hours", "Side incision from the main one", "clock hours", "0.5", "6", "0.5", "half a clock face; common practice, no source",
		Range{Min: MustQuantity("2"), Max: MustQuantity("4"), Source: "common practice, no source"}),
	parameter("pupil_distance", "Pupillary distance", "mm", "45", "80", "1", sourcePlain),
	parameter("eyepiece_left", "Left eyepiece", "D", "-8", "8", "0.25", sourcePlain),
	parameter("eyepiece_right", "Right eyepiece", "D", "-8", "8", "0.25", sourcePlain),
	parameter("tip_gauge", "Tip gauge", "gauge", "18", "25", "1", sourcePlain),
	parameter("tip_angle", "Tip angle", "degrees", "0", "60", "15", sourcePlain),
	parameter("volume", "Volume", "mL", "0.01", "1000", "0.1", sourcePlain),
}

// ParameterByID returns the parameter's row.
func ParameterByID(id ParameterID) (Parameter, bool) {
	for n := range Parameters {
		if Parameters[n].ID == id {
			return Parameters[n], true
		}
	}
	return Parameter{}, false
}
