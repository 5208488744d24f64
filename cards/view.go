package cards

// View is a card made ready to show: every label, unit, caution and name is
// resolved here, so that a screen (or paper) needs no rule of its own and can
// show a stored card without any computation.
type View struct {
	Cautions  Problems      `json:"cautions,omitempty"`
	Basics    []Shown       `json:"basics,omitempty"`
	Machine   []Shown       `json:"machine,omitempty"`
	Phases    []PhaseView   `json:"phases,omitempty"`
	Drugs     []DrugView    `json:"drugs,omitempty"`
	Steps     []StepView    `json:"steps,omitempty"`
	Triggers  []TriggerView `json:"triggers,omitempty"`
	Variants  []VariantView `json:"variants,omitempty"`
	Fit       []FitView     `json:"fit,omitempty"`
	NotesHTML string        `json:"notes_html,omitempty"` // safe to insert
}

// PhaseView is a phase with its stated limits in the order a machine screen is read out.
type PhaseView struct {
	Key      Key       `json:"key"`
	Name     string    `json:"name"`
	Kind     PhaseKind `json:"kind,omitempty"`
	Values   []Shown   `json:"values,omitempty"`
	Note     string    `json:"note,omitempty"`
	Cautions []string  `json:"cautions,omitempty"`
}

// DrugView is a drug with strength, dose, volume and route as one line.
type DrugView struct {
	Key      Key    `json:"key"`
	Name     string `json:"name"`
	Text     string `json:"text"`
	State    State  `json:"state"`
	Prepared string `json:"prepared,omitempty"`
	Note     string `json:"note,omitempty"`
}

// StepView is a step with the name of its phase.
type StepView struct {
	Key        Key    `json:"key"`
	Title      string `json:"title"`
	Phase      string `json:"phase,omitempty"`
	Do         string `json:"do,omitempty"`
	Checkpoint string `json:"checkpoint,omitempty"`
}

// TriggerView is a trigger with the names of what it opens.
type TriggerView struct {
	Trigger Trigger     `json:"trigger"`
	Opens   []OpensView `json:"opens,omitempty"`
}

// OpensView is an item a trigger opens, and its state on the card ("" when the card does not have it).
type OpensView struct {
	Key   Key    `json:"key"`
	Name  string `json:"name"`
	State State  `json:"state,omitempty"`
}

// VariantView is a variant with its conditions in words and its phases ready to show.
type VariantView struct {
	Key     Key         `json:"key"`
	Title   string      `json:"title"`
	When    []string    `json:"when"`
	Phases  []PhaseView `json:"phases,omitempty"`
	Items   []Item      `json:"items,omitempty"`
	Without []string    `json:"without,omitempty"`
	Note    string      `json:"note,omitempty"`
}

// FitView is a fit line in words.
type FitView struct {
	Speaks Speaks `json:"speaks"`
	Text   string `json:"text"`
	Reason string `json:"reason"`
}

// NewView makes a card ready to show. It works for any card, valid or not,
// so that a draft can be previewed.
func NewView(c Card) View {
	cautions := Check(c).Cautions()
	v := View{
		Cautions: cautions,
		Basics:   ShowBasics(c.Basics),
		Machine:  ShowMachine(c.Machine),
	}
	if c.Notes != "" {
		v.NotesHTML = RenderNotes(c.Notes)
	}
	for _, p := range c.Phases {
		v.Phases = append(v.Phases, viewPhase(p, cautions))
	}
	for _, d := range c.Drugs {
		v.Drugs = append(v.Drugs, DrugView{Key: d.Key, Name: d.Name, Text: d.Text(), State: d.State, Prepared: d.Prepared, Note: d.Note})
	}
	for _, s := range c.Steps {
		v.Steps = append(v.Steps, StepView{Key: s.Key, Title: s.Title, Phase: c.phaseName(s.Phase), Do: s.Do, Checkpoint: s.Checkpoint})
	}
	for _, t := range c.Triggers {
		v.Triggers = append(v.Triggers, viewTrigger(c, t))
	}
	for _, x := range c.Variants {
		v.Variants = append(v.Variants, viewVariant(c, x, cautions))
	}
	for _, f := range c.Fit {
		v.Fit = append(v.Fit, FitView{Speaks: f.Speaks, Text: f.When.String(), Reason: f.Reason})
	}
	return v
}

func viewPhase(p Phase, cautions Problems) PhaseView {
	return PhaseView{Key: p.Key, Name: p.Name, Kind: p.Kind, Values: ShowLimits(p.Limits), Note: p.Note,
		Cautions: cautions.under("phases/" + string(p.Key))}
}

func viewTrigger(c Card, t Trigger) TriggerView {
	v := TriggerView{Trigger: t}
	for _, key := range t.Open {
		o := OpensView{Key: key, Name: key.Words()}
		if item, ok := c.Item(key); ok {
			o.Name, o.State = item.Name, item.State
		} else if drug, ok := c.Drug(key); ok {
			o.Name, o.State = drug.Name, drug.State
		}
		v.Opens = append(v.Opens, o)
	}
	return v
}

func viewVariant(c Card, x Variant, cautions Problems) VariantView {
	v := VariantView{Key: x.Key, Title: x.Title, Items: x.Items, Note: x.Note}
	for _, t := range x.When {
		v.When = append(v.When, t.String())
	}
	for _, change := range x.Phases {
		v.Phases = append(v.Phases, PhaseView{Key: change.Phase, Name: c.phaseName(change.Phase), Values: ShowLimits(change.Limits),
			Cautions: cautions.under("variants/" + string(x.Key) + "/" + string(change.Phase))})
	}
	for _, key := range x.Without {
		name := key.Words()
		if item, ok := c.Item(key); ok {
			name = item.Name
		}
		v.Without = append(v.Without, name)
	}
	return v
}

// under lists the texts of the problems of one unit and of what is inside it.
func (ps Problems) under(path string) []string {
	var out []string
	for _, p := range ps {
		if p.Path == path || (len(p.Path) > len(path) && p.Path[:len(path)] == path && p.Path[len(path)] == '/') {
			out = append(out, p.Text)
		}
	}
	return out
}

// Under returns the texts of the cautions about one unit, for example "phases/chop".
func (ps Problems) Under(path string) []string { return ps.under(path) }

// Item returns the card's item with the key.
func (c Card) Item(key Key) (Item, bool) {
	for _, i := range c.Items {
		if i.Key == key {
			return i, true
		}
	}
	return Item{}, false
}

// Drug returns the card's drug with the key.
func (c Card) Drug(key Key) (Drug, bool) {
	for _, d := range c.Drugs {
		if d.Key == key {
			return d, true
		}
	}
	return Drug{}, false
}

// Phase returns the card's phase with the key.
func (c Card) Phase(key Key) (Phase, bool) {
	for _, p := range c.Phases {
		if p.Key == key {
			return p, true
		}
	}
	return Phase{}, false
}

func (c Card) phaseName(key Key) string {
	if p, ok := c.Phase(key); ok {
		return p.Name
	}
	return key.Words()
}

// Words reads a key as words: "iris-hooks" is "iris hooks". It is what is shown where only the key is known.
func (k Key) Words() string {
	b := []byte(k)
	for i := range b {
		if b[i] == '-' {
			b[i] = ' '
		}
	}
	return string(b)
}

// TechniqueText is the technique in words, the unit's own name where it has one.
func (c Card) TechniqueText() string {
	if c.Technique == TechniqueOwn && c.TechniqueName != "" {
		return c.TechniqueName
	}
	return string(c.Technique)
}

// Text is the drug's strength, dose, volume and route as one line.
func (d Drug) Text() string {
	parts := []string{d.Strength.String(), d.Dose.String(), volumeText(d.Volume), string(d.Route)}
	out := ""
	for _, p := range parts {
		if p == "" {
			continue
		}
		if out != "" {
			out += ", "
		}
		out += p
	}
	return out
}

func volumeText(q Quantity) string {
	if !q.Stated() {
		return ""
	}
	return "in " + q.String() + " mL"
}
