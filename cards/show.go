package cards

// Shown is a label with its value and unit, ready to read: the one form in
// which a screen, a print or a terminal shows a number.
type Shown struct {
	ID    string `json:"id"`
	Label string `json:"label"`
	Value string `json:"value"`           // the number or the words
	Unit  string `json:"unit,omitempty"`  // always beside the value
	Extra string `json:"extra,omitempty"` // how it is applied: "linear", "fixed"
}

// Text is label, value and unit as one line.
func (s Shown) Text() string {
	t := s.Label + " " + s.Value
	if s.Unit != "" {
		t += " " + s.Unit
	}
	if s.Extra != "" {
		t += ", " + s.Extra
	}
	return t
}

// shower gathers the stated values of a card in order.
type shower []Shown

func (s *shower) number(id ParameterID, q Quantity, extra string) {
	if !q.Stated() {
		return
	}
	p, _ := ParameterByID(id)
	*s = append(*s, Shown{ID: string(id), Label: p.Label, Value: q.String(), Unit: p.Unit, Extra: extra})
}

func (s *shower) words(id, label, value string) {
	if value != "" {
		*s = append(*s, Shown{ID: id, Label: label, Value: value})
	}
}

// ShowLimits lists the stated limits in the order a machine screen is read out.
func ShowLimits(l Limits) []Shown {
	var s shower
	s.words("ultrasound", "Ultrasound", string(l.Ultrasound))
	s.words("mode", "Mode", string(l.Mode))
	s.number("power", l.Power, string(l.PowerControl))
	s.number("pulse_rate", l.PulseRate, "")
	s.number("duty_cycle", l.DutyCycle, "")
	s.number("burst_length", l.BurstLength, "")
	s.number("vacuum", l.Vacuum, string(l.VacuumControl))
	s.number("flow", l.Flow, "")
	s.number("bottle", l.Bottle, "")
	s.number("pressure", l.Pressure, "")
	s.number("cut_rate", l.CutRate, "")
	return s
}

// ShowBasics lists the surgeon's basics that are stated.
func ShowBasics(b Basics) []Shown {
	var s shower
	s.number("glove_size", b.GloveSize, "")
	s.words("gown_size", "Gown size", b.GownSize)
	s.words("handedness", "Handedness", string(b.Handedness))
	s.words("seat", "Sits", string(b.Seat))
	s.words("main_place", "Main incision", string(b.MainPlace))
	s.number("main_width", b.MainWidth, "")
	extra := ""
	if b.SideHand != "" {
		extra = "to the " + string(b.SideHand)
	}
	s.number("side_hours", b.SideHours, extra)
	s.number("side_width", b.SideWidth, "")
	s.number("pupil_distance", b.PupilDistance, "")
	s.number("eyepiece_left", b.EyepieceLeft, "")
	s.number("eyepiece_right", b.EyepieceRight, "")
	s.words("anaesthesia", "Usual anaesthesia", string(b.Anaesthesia))
	s.words("anaesthesia_note", "Anaesthesia note", b.AnaesthesiaNote)
	return s
}

// ShowMachine lists the machine profile.
func ShowMachine(m Machine) []Shown {
	var s shower
	s.words("profile", "Machine profile", m.Profile)
	s.words("pump", "Pump", string(m.Pump))
	s.words("irrigation", "Irrigation by", string(m.Irrigation))
	s.number("tip_gauge", m.TipGauge, "")
	s.number("tip_angle", m.TipAngle, "")
	s.words("pedal", "Foot pedal", m.Pedal)
	return s
}
