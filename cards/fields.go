package cards

// headerField is one field of the header, the basics or the machine profile
// that a person decides as a whole.
type headerField struct {
	unit  string
	label string
	get   func(Card) any
	set   func(to *Card, from Card)
	words func(Card) string
}

// headerFields lists every header field once; Merge and Diff both walk it.
// Fields that only make sense together (an incision's place and width) are one.
var headerFields = []headerField{
	{"title", "Title", func(c Card) any { return c.Title }, func(to *Card, from Card) { to.Title = from.Title },
		func(c Card) string { return c.Title }},
	{"technique", "Technique", func(c Card) any { return []string{string(c.Technique), c.TechniqueName} },
		func(to *Card, from Card) { to.Technique, to.TechniqueName = from.Technique, from.TechniqueName }, Card.TechniqueText},
	{"owner", "Owner", func(c Card) any { return c.Owner }, func(to *Card, from Card) { to.Owner = from.Owner },
		func(c Card) string { return string(c.Owner) }},
	{"review", "Review date", func(c Card) any { return c.Review }, func(to *Card, from Card) { to.Review = from.Review },
		func(c Card) string { return string(c.Review) }},
	basics("gloves", "Glove and gown size", []string{"glove_size", "gown_size"}, func(to, from *Basics) { to.GloveSize, to.GownSize = from.GloveSize, from.GownSize }),
	basics("handedness", "Handedness", []string{"handedness"}, func(to, from *Basics) { to.Handedness = from.Handedness }),
	basics("seat", "Seat", []string{"seat"}, func(to, from *Basics) { to.Seat = from.Seat }),
	basics("main_incision", "Main incision", []string{"main_place", "main_width"}, func(to, from *Basics) { to.MainPlace, to.MainWidth = from.MainPlace, from.MainWidth }),
	basics("side_incision", "Side incision", []string{"side_hours", "side_width"}, func(to, from *Basics) {
		to.SideHours, to.SideHand, to.SideWidth = from.SideHours, from.SideHand, from.SideWidth
	}),
	basics("microscope", "Microscope", []string{"pupil_distance", "eyepiece_left", "eyepiece_right"}, func(to, from *Basics) {
		to.PupilDistance, to.EyepieceLeft, to.EyepieceRight = from.PupilDistance, from.EyepieceLeft, from.EyepieceRight
	}),
	basics("anaesthesia", "Usual anaesthesia", []string{"anaesthesia", "anaesthesia_note"}, func(to, from *Basics) {
		to.Anaesthesia, to.AnaesthesiaNote = from.Anaesthesia, from.AnaesthesiaNote
	}),
	machine("profile", "Machine profile", []string{"profile", "pump", "irrigation"}, func(to, from *Machine) {
		to.Profile, to.Pump, to.Irrigation = from.Profile, from.Pump, from.Irrigation
	}),
	machine("tip", "Tip", []string{"tip_gauge", "tip_angle"}, func(to, from *Machine) { to.TipGauge, to.TipAngle = from.TipGauge, from.TipAngle }),
	machine("pedal", "Foot pedal", []string{"pedal"}, func(to, from *Machine) { to.Pedal = from.Pedal }),
}

func basics(unit, label string, ids []string, copyTo func(to, from *Basics)) headerField {
	part := func(c Card) Card {
		var only Card
		copyTo(&only.Basics, &c.Basics)
		return only
	}
	return headerField{"basics/" + unit, label, func(c Card) any { return part(c).Basics },
		func(to *Card, from Card) { copyTo(&to.Basics, &from.Basics) },
		func(c Card) string { return pick(ShowBasics(c.Basics), ids) }}
}

func machine(unit, label string, ids []string, copyTo func(to, from *Machine)) headerField {
	part := func(c Card) Card {
		var only Card
		copyTo(&only.Machine, &c.Machine)
		return only
	}
	return headerField{"machine/" + unit, label, func(c Card) any { return part(c).Machine },
		func(to *Card, from Card) { copyTo(&to.Machine, &from.Machine) },
		func(c Card) string { return pick(ShowMachine(c.Machine), ids) }}
}

// pick says the shown values with the ids, as one line.
func pick(shown []Shown, ids []string) string {
	var parts []string
	for _, s := range shown {
		for _, id := range ids {
			if s.ID != id {
				continue
			}
			text := s.Value
			if len(ids) > 1 {
				text = s.Text()
			} else if s.Unit != "" {
				text += " " + s.Unit
			}
			parts = append(parts, text)
		}
	}
	return joinWords(parts...)
}
