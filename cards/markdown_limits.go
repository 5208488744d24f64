package cards

// limitRow is one row of a table of limits: label, value, unit and control.
type limitRow struct {
	field   // the value, without its unit
	unit    string
	control *Control // nil where there is none
}

// limitRows lists the rows in the order a machine screen is read out.
func limitRows(l *Limits) []limitRow {
	rows := []limitRow{
		{field: choiceField("Ultrasound", "ultrasound", "ultrasound", &l.Ultrasound)},
		{field: choiceField("Mode", "mode", "mode", &l.Mode)},
	}
	for _, p := range Parameters {
		at, control := limitAt(l, p.ID)
		if at == nil {
			continue
		}
		rows = append(rows, limitRow{unit: p.Unit, control: control, field: field{
			label: p.Label, path: string(p.ID),
			write: func() []string { return one(at.String()) },
			read:  func(text string) *fault { return readQuantity(at, text) }}})
	}
	return rows
}

// limitAt returns the places of a parameter and its control, nil when it is no limit.
func limitAt(l *Limits, id ParameterID) (*Quantity, *Control) {
	switch id {
	case "power":
		return &l.Power, &l.PowerControl
	case "pulse_rate":
		return &l.PulseRate, nil
	case "duty_cycle":
		return &l.DutyCycle, nil
	case "burst_length":
		return &l.BurstLength, nil
	case "vacuum":
		return &l.Vacuum, &l.VacuumControl
	case "flow":
		return &l.Flow, nil
	case "bottle":
		return &l.Bottle, nil
	case "pressure":
		return &l.Pressure, nil
	case "cut_rate":
		return &l.CutRate, nil
	}
	return nil, nil
}

// Columns of a table of limits.
const (
	columnLimit = iota
	columnValue
	columnUnit
	columnControl
)

var limitColumns = []string{columnLimit: "Limit", columnValue: "Value", columnUnit: "Unit", columnControl: "Control"}

// cells writes the row; none when neither value nor control is stated.
func (r limitRow) cells() []string {
	cells := make([]string, len(limitColumns))
	cells[columnLimit] = r.label
	for _, value := range r.write() {
		cells[columnValue], cells[columnUnit] = value, r.unit
	}
	if r.control != nil {
		cells[columnControl] = string(*r.control)
	}
	if cells[columnValue] == "" && cells[columnControl] == "" {
		return nil
	}
	return cells
}

// readCells reads the row from the texts of its cells.
func (r limitRow) readCells(cells []string) (wrong []*fault) {
	add := func(f *fault) {
		if f != nil {
			wrong = append(wrong, f)
		}
	}
	value, unit, control := cells[columnValue], cells[columnUnit], cells[columnControl]
	switch {
	case unit != r.unit && (unit != "" || value != ""):
		add(&fault{"unit", r.unitMend(unit)})
	case value != "":
		add(r.read(value))
	}
	switch {
	case control == "":
	case r.control == nil:
		add(&fault{"label", "it has no control. Leave that cell blank."})
	default:
		text, f := readChoice("control", control)
		*r.control = Control(text)
		add(f)
	}
	return wrong
}

func (r limitRow) unitMend(unit string) string {
	if r.unit == "" {
		return "it has no unit, but " + quote(unit) + " is written. Leave that cell blank."
	}
	return "its unit is " + quote(r.unit) + ", not " + quote(unit) + ". Write the number in that unit."
}
