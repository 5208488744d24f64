package checklist

import "sideport/cards"

// Sheet is what generation yields: everything the theatre needs for one case,
// frozen, with the revisions it was made from. It is ready to show: a screen
// needs no rule of its own to display it.
type Sheet struct {
	Made      Made           `json:"made"`
	Title     string         `json:"title"`
	Technique string         `json:"technique"`
	Facts     []FactLine     `json:"facts"`               // what was answered, in the order of the vocabulary
	NotKnown  []FactLine     `json:"not_known,omitempty"` // what nobody answered, or was "not known"; unanswered is not "no"
	Special   []Special      `json:"special,omitempty"`   // what is special for this case, most weighty first
	Variants  []VariantUsed  `json:"variants,omitempty"`
	Fit       []FitLine      `json:"fit,omitempty"`
	Setup     []SetupLine    `json:"setup"`
	Drugs     []DrugLine     `json:"drugs,omitempty"`
	Limits    []PhaseLimits  `json:"limits"`
	Steps     []StepLine     `json:"steps,omitempty"`
	Pauses    []Pause        `json:"pauses"`
	Triggers  []TriggerSheet `json:"triggers"`
	Basics    []Shown        `json:"basics,omitempty"` // surgeon's basics and machine, ready to show
	NotesHTML string         `json:"notes_html,omitempty"`
}

// Made says what a sheet was made from.
type Made struct {
	Card          cards.CardID `json:"card"`
	CardRevision  int          `json:"card_revision"`
	RulesRevision int          `json:"rules_revision"`
	Case          Case         `json:"case"`
}

// Why names the card, variant or rule a line came from.
type Why struct {
	From   WhyFrom `json:"from"`
	ID     string  `json:"id"`   // card id, variant key or rule id
	Text   string  `json:"text"` // ready to read: "house rule: small pupil (dilated pupil below 5 mm: 4.5 mm)"
	Source string  `json:"source,omitempty"`
	Mark   Mark    `json:"mark,omitempty"`
	// Starter says that the unit has not yet put its name to the rule.
	Starter bool `json:"starter,omitempty"`
}

// WhyFrom is where a line came from.
type WhyFrom string

const (
	FromCard    WhyFrom = "card"
	FromVariant WhyFrom = "variant"
	FromRule    WhyFrom = "rule"
	FromPauses  WhyFrom = "fixed line" // a fixed line of a pause
	FromFact    WhyFrom = "fact"       // a fact that is not known
	FromDrills  WhyFrom = "unit drill" // a drill of the unit's own
)

// FactLine is one fact, ready to read.
type FactLine struct {
	Factor cards.FactorID `json:"factor"`
	Label  string         `json:"label"`
	Text   string         `json:"text"` // with its unit; "not known" where so
}

// Special is a caution or a stop for this case.
type Special struct {
	Weight Weight `json:"weight"`
	Text   string `json:"text"`
	Why    []Why  `json:"why"`
}

// VariantUsed is a variant of the card whose condition was answered: it holds, or it cannot be told.
type VariantUsed struct {
	Key   cards.Key `json:"key"`
	Title string    `json:"title"`
	Holds bool      `json:"holds"` // false: not known, so it was not applied and is shown as a question
	Why   []Why     `json:"why"`
	Note  string    `json:"note,omitempty"`
}

// FitLine is one fact that speaks for or against the card.
type FitLine struct {
	Speaks cards.Speaks `json:"speaks"`
	Text   string       `json:"text"`
	Reason string       `json:"reason"`
	Known  bool         `json:"known"` // false: would speak, but the fact is not known
	// Source and Mark stand with what is said of a technique; a surgeon's own line needs none.
	Source string `json:"source,omitempty"`
	Mark   Mark   `json:"mark,omitempty"`
}

// Struck says why a line is shown struck out.
type Struck string

const (
	StruckWithheld    Struck = "withheld"    // an allergy; nothing set in its place: ask
	StruckSubstituted Struck = "substituted" // an allergy; the unit's substitute stands beside it
	StruckConflict    Struck = "conflict"    // "do not use in this case": somebody must answer
	StruckLeftOut     Struck = "left out"    // by a variant of the card
)

// SetupLine is one thing to lay out or to have in the room.
type SetupLine struct {
	Key      cards.Key      `json:"key"`
	Name     string         `json:"name"`
	Kind     cards.ItemKind `json:"kind"`
	Quantity int            `json:"quantity"`
	State    cards.State    `json:"state"`
	Counted  bool           `json:"counted,omitempty"`
	Place    cards.Place    `json:"place,omitempty"`
	Note     string         `json:"note,omitempty"`
	Struck   Struck         `json:"struck,omitempty"`
	// Instead is the name of the substitute set by the unit, when Struck is substituted.
	Instead string `json:"instead,omitempty"`
	// Special is true when a variant or a rule added or changed the line: it stands first.
	Special bool  `json:"special,omitempty"`
	Why     []Why `json:"why"`
}

// DrugLine is one drug on the table.
type DrugLine struct {
	Key      cards.Key   `json:"key"`
	Name     string      `json:"name"`
	Text     string      `json:"text"` // strength, dose, volume, route: ready to read
	State    cards.State `json:"state"`
	Prepared string      `json:"prepared,omitempty"`
	Note     string      `json:"note,omitempty"`
	Struck   Struck      `json:"struck,omitempty"`
	Instead  string      `json:"instead,omitempty"`
	Special  bool        `json:"special,omitempty"`
	Why      []Why       `json:"why"`
}

// StepLine is one move of the technique; struck when it must not be done in this case.
type StepLine struct {
	Key        cards.Key `json:"key"`
	Title      string    `json:"title"`
	Phase      cards.Key `json:"phase,omitempty"`
	Do         string    `json:"do,omitempty"`
	Checkpoint string    `json:"checkpoint,omitempty"`
	Struck     Struck    `json:"struck,omitempty"`
	Why        []Why     `json:"why,omitempty"` // only of a struck one: the others are the card's
}

// Shown is a label with its value and unit, ready to read.
type Shown = cards.Shown

// PhaseLimits are the starting limits of one phase.
type PhaseLimits struct {
	Phase   cards.Key       `json:"phase"`
	Name    string          `json:"name"`
	Kind    cards.PhaseKind `json:"kind,omitempty"`
	Values  []Shown         `json:"values"`
	Note    string          `json:"note,omitempty"`
	Variant cards.Key       `json:"variant,omitempty"` // the variant that replaced the limits
	Base    []Shown         `json:"base,omitempty"`    // the card's own values where a variant replaced them
	Why     []Why           `json:"why"`
	// Cautions about these values (usual ranges, relations between phases).
	Cautions []string `json:"cautions,omitempty"`
}

// Pause is one step read aloud.
type Pause struct {
	ID    PauseID     `json:"id"`
	When  string      `json:"when"`
	Lines []PauseLine `json:"lines"`
	// Words and Seconds say how long it takes to read aloud and answer.
	Words   int  `json:"words"`
	Seconds int  `json:"seconds"`
	Long    bool `json:"long,omitempty"` // passes a minute
}

// PauseLine is one challenge.
type PauseLine struct {
	ID     string `json:"id"`
	Text   string `json:"text"`
	Ask    string `json:"ask"`
	Answer string `json:"answer"`
	Expect string `json:"expect,omitempty"`
	// Stored is the value the card or the case holds, shown after the answer.
	Stored string `json:"stored,omitempty"`
	// Added is true for lines a rule, a variant or a missing fact added to the fixed ones.
	Added    bool  `json:"added,omitempty"`
	Question bool  `json:"question,omitempty"` // a fact is not known: it needs an answer
	Why      []Why `json:"why"`
}

// TriggerSheet is a trigger with the names of what it opens.
type TriggerSheet struct {
	Trigger cards.Trigger `json:"trigger"`
	Opens   []Opens       `json:"opens,omitempty"`
	Raised  bool          `json:"raised,omitempty"` // put to the top by a rule
	Why     []Why         `json:"why"`
}

// Opens is an item a trigger opens and whether the sheet has it.
type Opens struct {
	Key   cards.Key   `json:"key"`
	Name  string      `json:"name"`
	State cards.State `json:"state,omitempty"` // "" when the sheet does not have it
}
