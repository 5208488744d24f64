package cards

// Types that would be easy to swap get a type each, so that a swap does not compile.
type (
	// CardID names a card for ever: lower-case words joined by hyphens.
	CardID string
	// PersonID names a person of the unit.
	PersonID string
	// Key names an element inside a card (an item, a phase, a trigger …). It is
	// made from the element's first name (see Slug) and stays when the name
	// changes, so that a rename is seen as a change and not as a loss. House
	// rules and triggers refer to items by the same keys.
	Key string
)

// Card is one surgeon's way of doing one technique: what to lay out, where
// the machine starts in each phase, what is done step by step and what to do
// if the eye does not behave. Lists keep the order their owner gave them.
type Card struct {
	ID        CardID    `json:"id"`
	Title     string    `json:"title"`
	Technique Technique `json:"technique"`
	// TechniqueName is the unit's own name when Technique is TechniqueOwn.
	TechniqueName string    `json:"technique_name,omitempty"`
	Owner         PersonID  `json:"owner"`
	Review        Date      `json:"review,omitempty"` // when the owner wants to look at it again
	Basics        Basics    `json:"basics"`
	Machine       Machine   `json:"machine"`
	Items         []Item    `json:"items,omitempty"`
	Drugs         []Drug    `json:"drugs,omitempty"`
	Phases        []Phase   `json:"phases,omitempty"`
	Steps         []Step    `json:"steps,omitempty"`
	Triggers      []Trigger `json:"triggers,omitempty"`
	Variants      []Variant `json:"variants,omitempty"`
	Fit           []Fit     `json:"fit,omitempty"`
	Notes         string    `json:"notes,omitempty"` // Markdown, headings of level 3 and below
	// Extra holds sections of the Markdown form that this version does not know. They are kept, not dropped.
	Extra []Section `json:"extra,omitempty"`
}

// Basics is what stays the same for a surgeon whatever the technique.
type Basics struct {
	GloveSize       Quantity    `json:"glove_size,omitzero"`
	GownSize        string      `json:"gown_size,omitempty"`
	Handedness      Handedness  `json:"handedness,omitempty"`
	Seat            Seat        `json:"seat,omitempty"` // where the surgeon sits
	MainPlace       IncisionAt  `json:"main_place,omitempty"`
	MainWidth       Quantity    `json:"main_width,omitzero"`     // mm
	SideHours       Quantity    `json:"side_hours,omitzero"`     // clock hours between main and side incision
	SideHand        Hand        `json:"side_hand,omitempty"`     // left or right of the main incision, as the surgeon sees it
	SideWidth       Quantity    `json:"side_width,omitzero"`     // mm
	PupilDistance   Quantity    `json:"pupil_distance,omitzero"` // mm between the microscope's eyepieces
	EyepieceLeft    Quantity    `json:"eyepiece_left,omitzero"`  // dioptres
	EyepieceRight   Quantity    `json:"eyepiece_right,omitzero"` // dioptres
	Anaesthesia     Anaesthesia `json:"anaesthesia,omitempty"`   // usual
	AnaesthesiaNote string      `json:"anaesthesia_note,omitempty"`
}

// Machine is the profile the limits were written for. A limit means nothing on another machine until it is confirmed there.
type Machine struct {
	Profile    string     `json:"profile,omitempty"` // the unit's own name for the machine and its software
	Pump       Pump       `json:"pump,omitempty"`
	Irrigation Irrigation `json:"irrigation,omitempty"`
	TipGauge   Quantity   `json:"tip_gauge,omitzero"` // gauge
	TipAngle   Quantity   `json:"tip_angle,omitzero"` // degrees
	Pedal      string     `json:"pedal,omitempty"`    // foot-pedal notes
}

// Item is one thing to lay out or to have in the room.
type Item struct {
	Key       Key        `json:"key"`
	Name      string     `json:"name"`
	Kind      ItemKind   `json:"kind"`
	Quantity  int        `json:"quantity"`
	State     State      `json:"state"`             // opened on the table at the start, or in the room unopened
	Counted   bool       `json:"counted,omitempty"` // part of the count at sign out
	Place     Place      `json:"place,omitempty"`
	Note      string     `json:"note,omitempty"`
	Allergens []Allergen `json:"allergens,omitempty"` // what the material contains
}

// Drug is one drug on the table, as the surgeon stored it. Nothing here is computed for a patient.
type Drug struct {
	Key       Key        `json:"key"`
	Name      string     `json:"name"`
	Strength  Measure    `json:"strength,omitzero"` // concentration
	Dose      Measure    `json:"dose,omitzero"`
	Volume    Quantity   `json:"volume,omitzero"` // mL
	Route     Route      `json:"route"`
	State     State      `json:"state"`
	Prepared  string     `json:"prepared,omitempty"` // how it is prepared and by whom
	Allergens []Allergen `json:"allergens,omitempty"`
	Note      string     `json:"note,omitempty"`
}

// Measure is a quantity whose unit belongs to the value (strengths and doses come in several).
type Measure struct {
	Value Quantity `json:"value,omitzero"`
	Unit  Unit     `json:"unit,omitempty"`
}

// IsZero reports whether nothing was stated.
func (m Measure) IsZero() bool { return m == Measure{} }

// String is the value, a space and the unit; "" when not stated.
func (m Measure) String() string {
	if !m.Value.Stated() {
		return ""
	}
	if m.Unit == "" {
		return m.Value.String()
	}
	return m.Value.String() + " " + string(m.Unit)
}

// Phase is a part of the operation with its own starting limits. All limits
// of one phase are one decision: they merge as a whole or not at all.
type Phase struct {
	Key  Key    `json:"key"`
	Name string `json:"name"`
	// Kind is the standard phase whose usual ranges and relations apply. A unit's own phase may leave it empty.
	Kind   PhaseKind `json:"kind,omitempty"`
	Limits Limits    `json:"limits"`
	Note   string    `json:"note,omitempty"`
}

// Limits are starting limits: what is dialled in before the phase begins. Every field may be left unstated; a new card starts with none.
type Limits struct {
	Ultrasound    Ultrasound `json:"ultrasound,omitempty"`
	Mode          Mode       `json:"mode,omitempty"`
	Power         Quantity   `json:"power,omitzero"` // % (amplitude when torsional)
	PowerControl  Control    `json:"power_control,omitempty"`
	PulseRate     Quantity   `json:"pulse_rate,omitzero"` // pulses per second
	DutyCycle     Quantity   `json:"duty_cycle,omitzero"` // % of the time switched on
	BurstLength   Quantity   `json:"burst_length,omitzero"`
	Vacuum        Quantity   `json:"vacuum,omitzero"` // mmHg
	VacuumControl Control    `json:"vacuum_control,omitempty"`
	Flow          Quantity   `json:"flow,omitzero"`     // mL/min
	Bottle        Quantity   `json:"bottle,omitzero"`   // cm above the eye
	Pressure      Quantity   `json:"pressure,omitzero"` // mmHg, where irrigation is by pressure
	CutRate       Quantity   `json:"cut_rate,omitzero"` // cuts/min, anterior vitrectomy only
}

// Step is one move of the technique, tied to the phase the machine is in.
type Step struct {
	Key        Key    `json:"key"`
	Title      string `json:"title"`
	Phase      Key    `json:"phase,omitempty"`
	Do         string `json:"do,omitempty"`
	Checkpoint string `json:"checkpoint,omitempty"` // what shows that the step is done
}

// Trigger is an escalation: what is seen, what is said, what each role does, what is opened and where to go next.
type Trigger struct {
	Key         Key      `json:"key"`
	Title       string   `json:"title"`
	Seen        string   `json:"seen"`
	Say         string   `json:"say"`
	Surgeon     []string `json:"surgeon,omitempty"`
	Scrub       []string `json:"scrub,omitempty"`
	Circulating []string `json:"circulating,omitempty"`
	Anaesthesia []string `json:"anaesthesia,omitempty"`
	Open        []Key    `json:"open,omitempty"` // items to open now
	NextCard    CardID   `json:"next_card,omitempty"`
	NextStep    string   `json:"next,omitempty"` // technique or plan to change to, in words
	Source      string   `json:"source,omitempty"`
}

// Variant is what the surgeon wrote for a kind of case. It is chosen by its
// condition and never computed: it brings whole phases and items of its own.
type Variant struct {
	Key     Key           `json:"key"`
	Title   string        `json:"title"`
	When    []Test        `json:"when"` // all must hold
	Phases  []PhaseChange `json:"phases,omitempty"`
	Items   []Item        `json:"items,omitempty"`   // added, or replacing the item with the same key
	Without []Key         `json:"without,omitempty"` // items of the card left out
	Note    string        `json:"note,omitempty"`
}

// PhaseChange replaces all limits of one phase.
type PhaseChange struct {
	Phase  Key    `json:"phase"`
	Limits Limits `json:"limits"`
}

// Fit says that a fact of a case speaks for or against the card, with the surgeon's reason.
type Fit struct {
	Speaks Speaks `json:"speaks"`
	When   Test   `json:"when"`
	Reason string `json:"reason"`
}

// Section is a part of the Markdown form kept as it was read.
type Section struct {
	Title string `json:"title"`
	Body  string `json:"body"`
}
