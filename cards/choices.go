package cards

// The closed choices of a card. Each is stored as the words people read, in
// cards, in Markdown and in JSON alike. Persisted: append only, never rename.

type (
	Technique   string
	PhaseKind   string
	Handedness  string
	Hand        string
	Seat        string
	IncisionAt  string
	Anaesthesia string
	Pump        string
	Irrigation  string
	ItemKind    string
	State       string
	Place       string
	Route       string
	Unit        string
	Ultrasound  string
	Mode        string
	Control     string
	Speaks      string
	Allergen    string
)

const (
	DivideAndConquer Technique = "divide and conquer"
	StopAndChop      Technique = "stop and chop"
	HorizontalChop   Technique = "horizontal chop"
	VerticalChop     Technique = "vertical chop"
	Flip             Technique = "flip"
	TechniqueOwn     Technique = "unit's own"
)

const (
	Sculpt              PhaseKind = "sculpt"
	Chop                PhaseKind = "chop"
	SegmentRemoval      PhaseKind = "segment removal"
	Epinucleus          PhaseKind = "epinucleus"
	Cortex              PhaseKind = "cortex"
	Polish              PhaseKind = "polish"
	ViscoelasticRemoval PhaseKind = "viscoelastic removal"
	AnteriorVitrectomy  PhaseKind = "anterior vitrectomy"
)

const (
	Open      State = "open"       // opened on the table at the start
	HaveReady State = "have ready" // in the room, unopened
)

const (
	BottleHeight    Irrigation = "bottle height"
	IrrigationForce Irrigation = "pressure"
)

const (
	Longitudinal Ultrasound = "longitudinal"
	Torsional    Ultrasound = "torsional"
	NoUltrasound Ultrasound = "off"
)

const (
	Continuous Mode = "continuous"
	Pulse      Mode = "pulse"
	Burst      Mode = "burst"
)

const (
	Fixed  Control = "fixed"
	Linear Control = "linear"
)

const (
	SpeaksFor     Speaks = "for"
	SpeaksAgainst Speaks = "against"
)

// ChoiceName names a closed choice in Choices.
type ChoiceName string

// Choices lists every closed choice with its values in the order people meet
// them. Validation, the Markdown reader and the forms all use this table.
var Choices = map[ChoiceName][]string{
	"technique":   {string(DivideAndConquer), string(StopAndChop), string(HorizontalChop), string(VerticalChop), string(Flip), string(TechniqueOwn)},
	"phase kind":  {string(Sculpt), string(Chop), string(SegmentRemoval), string(Epinucleus), string(Cortex), string(Polish), string(ViscoelasticRemoval), string(AnteriorVitrectomy)},
	"handedness":  {"right-handed", "left-handed"},
	"hand":        {"left", "right"},
	"seat":        {"superior", "temporal"},
	"incision":    {"temporal", "superior", "superotemporal", "superonasal", "steep axis"},
	"anaesthesia": {"topical", "topical and intracameral", "sub-Tenon's", "peribulbar", "retrobulbar", "general"},
	"pump":        {"peristaltic", "venturi"},
	"irrigation":  {string(BottleHeight), string(IrrigationForce)},
	"item kind":   {"instrument", "consumable", "fluid", "drug", "implant"},
	"state":       {string(Open), string(HaveReady)},
	"place":       {"front left", "front middle", "front right", "back left", "back middle", "back right", "machine", "microscope", "drug tray", "implants", "room"},
	"route":       {"on the eye", "intracameral", "subconjunctival", "sub-Tenon's", "periocular", "in the irrigation", "on the skin", "intravenous", "intravitreal", "stain only"},
	"strength":    {"%", "mg/mL", "micrograms/mL", "units/mL"},
	"dose":        {"mg", "micrograms", "units", "drops", "g", "mL"},
	"ultrasound":  {string(Longitudinal), string(Torsional), string(NoUltrasound)},
	"mode":        {string(Continuous), string(Pulse), string(Burst)},
	"control":     {string(Fixed), string(Linear)},
	"speaks":      {string(SpeaksFor), string(SpeaksAgainst)},
	"allergen":    {"iodine", "chlorhexidine", "latex", "cephalosporin", "penicillin", "quinolone", "sulfonamide", "local anaesthetic", "sticking plaster", "egg or soya"},
}

// IsChoice reports whether value belongs to the choice named.
func IsChoice(name ChoiceName, value string) bool {
	for _, v := range Choices[name] {
		if v == value {
			return true
		}
	}
	return false
}
