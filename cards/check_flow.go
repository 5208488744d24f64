package cards

// CheckPhases finds what is wrong or unusual about phases on a machine: each
// by itself and in relation to the others, in the order in which they are used.
func CheckPhases(m Machine, phases []Phase) Problems {
	k := &checker{}
	k.phases(Card{Machine: m, Phases: phases})
	return k.found
}

// venturi is the pump that sets a vacuum and no flow.
const venturi Pump = "venturi"

const (
	sourceFlow = "published lectures on fluidics: on a flow pump a higher flow needs a higher bottle, for the pressure in the eye falls as the flow rises"
	sourcePump = "follows from how the pump works: its rollers turn to move fluid; common practice, no source"
)

// FlowRaised says that one set of limits aspirates more than another and lets
// no more in, so that the pressure in the chamber falls. It says nothing where
// a value is not stated, where one irrigates by height and the other by
// pressure, or where the pump sets no flow.
func FlowRaised(m Machine, from, to Limits) bool {
	if m.Pump == venturi || !from.Flow.Stated() || !to.Flow.Stated() || to.Flow.Cmp(from.Flow) <= 0 {
		return false
	}
	return noMore(from.Bottle, to.Bottle) || noMore(from.Pressure, to.Pressure)
}

func noMore(from, to Quantity) bool { return from.Stated() && to.Stated() && to.Cmp(from) <= 0 }

// flows compares each phase with the one before it. Anterior vitrectomy is
// left out: its irrigation is low on purpose.
func (k *checker) flows(m Machine, phases []Phase) {
	var before *Phase
	for n := range phases {
		p := &phases[n]
		k.pumpTurns(m, *p)
		if p.Kind == AnteriorVitrectomy {
			continue
		}
		if before != nil && FlowRaised(m, before.Limits, p.Limits) {
			k.flowRaised("phases/"+string(p.Key), p.Name, lowerFirst(before.Name), before.Limits, p.Limits)
		}
		before = p
	}
}

func (k *checker) flowRaised(path, place, other string, from, to Limits) {
	irrigation := "bottle height " + withUnit(to.Bottle, "cm")
	if !to.Bottle.Stated() {
		irrigation = "irrigation pressure " + withUnit(to.Pressure, "mmHg")
	}
	k.caution("flow raised", path+"/flow", place+": aspiration flow "+withUnit(to.Flow, "mL/min")+" is above that of "+other+" ("+withUnit(from.Flow, "mL/min")+
		"), but "+irrigation+" is no higher. More flow without more irrigation lowers the pressure in the chamber.", sourceFlow)
}

// pumpTurns: without flow a peristaltic pump stands still and builds no
// vacuum. How high it gets at a flow above 0 is not checked: with the tip
// occluded it reaches any limit in time, and how long that takes hangs on
// tubing that no card knows.
func (k *checker) pumpTurns(m Machine, p Phase) {
	l := p.Limits
	if m.Pump == "peristaltic" && l.Flow.Stated() && l.Flow.Millionths() == 0 && l.Vacuum.Stated() && l.Vacuum.Millionths() > 0 {
		k.caution("no flow", "phases/"+string(p.Key)+"/flow", p.Name+": aspiration flow is 0 mL/min, but vacuum is "+withUnit(l.Vacuum, "mmHg")+". A peristaltic pump that does not turn builds no vacuum.", sourcePump)
	}
}
