package cards

func (k *checker) phases(c Card) {
	seen := map[Key]bool{}
	for _, p := range c.Phases {
		path := "phases/" + string(p.Key)
		label := "Phase " + quote(p.Name)
		k.key("phases", label, p.Key, seen)
		k.need(path+"/name", "Name of a phase", p.Name)
		k.choice(path+"/kind", label+": standard phase", "phase kind", string(p.Kind), false)
		k.text(path+"/note", label+": note", p.Note, false)
		k.limits(path, p.Name, p.Kind, c.Machine, p.Limits)
	}
	k.relations(c.Phases)
	k.flows(c.Machine, c.Phases)
}

// limits checks one set of limits: each number by itself, then the ones that contradict each other.
func (k *checker) limits(path, place string, kind PhaseKind, m Machine, l Limits) {
	for _, c := range [...]struct {
		field, label string
		name         ChoiceName
		value        string
	}{
		{"/ultrasound", ": ultrasound", "ultrasound", string(l.Ultrasound)}, {"/mode", ": mode", "mode", string(l.Mode)},
		{"/power_control", ": power control", "control", string(l.PowerControl)}, {"/vacuum_control", ": vacuum control", "control", string(l.VacuumControl)},
	} {
		if c.value != "" { // a sheet is made of many limits: nothing is put together for those not stated
			k.choice(path+c.field, place+c.label, c.name, c.value, false)
		}
	}
	for _, n := range [...]struct {
		id    ParameterID
		value Quantity
	}{
		{"power", l.Power}, {"pulse_rate", l.PulseRate}, {"duty_cycle", l.DutyCycle}, {"burst_length", l.BurstLength}, {"vacuum", l.Vacuum},
		{"flow", l.Flow}, {"bottle", l.Bottle}, {"pressure", l.Pressure}, {"cut_rate", l.CutRate},
	} {
		if n.value.Stated() {
			k.number(path+"/"+string(n.id), place, n.id, n.value, kind)
		}
	}
	k.contradictions(path, place, m, l)
	k.ultrasoundWhereNone(path, place, kind, l)
}

func (k *checker) contradictions(path, place string, m Machine, l Limits) {
	contradiction := func(bad bool, field, text string) {
		if bad {
			k.errorf("contradiction", path+"/"+field, place+": "+text)
		}
	}
	powered := l.Power.Stated() && l.Power.Millionths() > 0
	contradiction(l.Ultrasound == NoUltrasound && powered, "power", "ultrasound is off, but power is "+withUnit(l.Power, "%")+". Choose one.")
	contradiction(l.Ultrasound == NoUltrasound && l.Mode != "", "mode", "ultrasound is off, but a mode is given. Remove the mode or choose an ultrasound.")
	contradiction(l.PulseRate.Stated() && l.Mode != Pulse, "pulse_rate", "a pulse rate goes with the mode pulse. Choose pulse or remove the rate.")
	contradiction(l.BurstLength.Stated() && l.Mode != Burst, "burst_length", "a burst length goes with the mode burst. Choose burst or remove the length.")
	contradiction(l.DutyCycle.Stated() && l.Mode != Pulse && l.Mode != Burst, "duty_cycle", "a duty cycle goes with pulse or burst. Choose one of them or remove the duty cycle.")
	contradiction(l.PowerControl != "" && !l.Power.Stated(), "power", "power control is given without a power. Write the power.")
	contradiction(l.VacuumControl != "" && !l.Vacuum.Stated(), "vacuum", "vacuum control is given without a vacuum. Write the vacuum.")
	contradiction(l.Bottle.Stated() && l.Pressure.Stated(), "pressure", "both a bottle height and an irrigation pressure are given. Keep the one this machine uses.")
	contradiction(m.Irrigation == IrrigationForce && l.Bottle.Stated(), "bottle", "the machine profile irrigates by pressure, but a bottle height is given. Write the pressure.")
	contradiction(m.Irrigation == BottleHeight && l.Pressure.Stated(), "pressure", "the machine profile irrigates by bottle height, but a pressure is given. Write the bottle height.")
}

// ultrasoundWhereNone: irrigation and aspiration phases work without ultrasound.
func (k *checker) ultrasoundWhereNone(path, place string, kind PhaseKind, l Limits) {
	switch kind {
	case Cortex, Polish, ViscoelasticRemoval, AnteriorVitrectomy:
	default:
		return
	}
	switch {
	case l.Power.Stated() && l.Power.Millionths() > 0:
		k.caution("ultrasound", path+"/power", place+": power "+withUnit(l.Power, "%")+" is given, but this phase works without ultrasound.", "common practice, no source")
	case l.Ultrasound != "" && l.Ultrasound != NoUltrasound:
		k.caution("ultrasound", path+"/ultrasound", place+": ultrasound is "+string(l.Ultrasound)+", but this phase works without ultrasound.", "common practice, no source")
	}
}

// relation says that one phase's vacuum stays below another's.
type relation struct {
	low, high PhaseKind
	why       string
}

// vacuumRelations follow from what each phase does, not from any one surgeon.
var vacuumRelations = []relation{
	{Sculpt, Chop, "sculpting works with the tip partly open and low vacuum, holding needs a sealed tip and high vacuum"},
	{Sculpt, SegmentRemoval, "sculpting works with the tip partly open and low vacuum, segments are held by high vacuum"},
	{Sculpt, Epinucleus, "epinucleus is aspirated with more vacuum than sculpting uses"},
	{Epinucleus, SegmentRemoval, "epinucleus lies on the capsule and is taken with less vacuum than segments"},
	{Polish, Cortex, "polishing touches the capsule and needs far less vacuum than cortex"},
}

// relationSource is what the relations rest on.
const relationSource = "order of the phases' vacuum in published teaching of the phases; the reason is common practice"

// relations compares phases of the standard kinds with each other, by vacuum, and the mode of sculpting.
func (k *checker) relations(phases []Phase) {
	for _, r := range vacuumRelations {
		for _, low := range phases {
			for _, high := range phases {
				if low.Kind == r.low && high.Kind == r.high {
					k.relation(r, low, high)
				}
			}
		}
	}
	for _, p := range phases {
		if p.Kind == Sculpt && (p.Limits.Mode == Pulse || p.Limits.Mode == Burst) {
			k.caution("sculpt mode", "phases/"+string(p.Key)+"/mode", p.Name+": mode "+string(p.Limits.Mode)+" is unusual; a groove is customarily cut with continuous ultrasound.", "common practice, no source")
		}
	}
}

func (k *checker) relation(r relation, low, high Phase) {
	a, b := low.Limits.Vacuum, high.Limits.Vacuum
	if !a.Stated() || !b.Stated() || a.Cmp(b) < 0 {
		return
	}
	k.caution("relation", "phases/"+string(low.Key)+"/vacuum",
		low.Name+": vacuum "+withUnit(a, "mmHg")+" is not below "+lowerFirst(high.Name)+" vacuum "+withUnit(b, "mmHg")+"; "+r.why+".", relationSource)
}
