package cards

import "math/big"

const (
	cautionDutyCycle = "Whether the mean power already includes the duty cycle is specific to the machine. Keep the figure as displayed, with the machine profile."
	cautionTimeAlone = "Ultrasound time alone is not energy: when power rises, time can fall while time × power rises."
	cautionTorsional = "Do not compare with the cumulative figure of a torsional handpiece or with another machine."
	sourceEPT        = "Effective phaco time = time × mean power, widely used; value from memory, unconfirmed"
	sourceDuty       = "Duty cycle = time on / (time on + time off), by definition"
)

// EffectivePhacoTime gives the time at 100 % continuous power that has the
// same product: time × mean power / 100, exactly, in seconds.
//
// seconds is the ultrasound time in s, power the mean power in %. ok is false
// when one is not stated or is negative. Source: widely used definition, value
// from memory, unconfirmed.
func EffectivePhacoTime(seconds, power Quantity) (ept *big.Rat, ok bool) {
	if !seconds.Stated() || !power.Stated() || seconds.Millionths() < 0 || power.Millionths() < 0 {
		return nil, false
	}
	return over(times(ratio(seconds), ratio(power)), ratHundred), true
}

// DutyCycle gives the share of the time switched on, in %, and the pulses per
// second: duty = 100 × on / (on + off), rate = 1000 / (on + off), exactly.
//
// on and off in ms. ok is false when one is not stated, on is not above 0 or
// off is negative. Source: by definition.
func DutyCycle(on, off Quantity) (duty, rate *big.Rat, ok bool) {
	if !off.Stated() || on.Millionths() <= 0 || off.Millionths() < 0 {
		return nil, nil, false
	}
	period := plus(ratio(on), ratio(off))
	return over(times(ratHundred, ratio(on)), period), over(ratThousand, period), true
}

// PulseTimes is DutyCycle the other way round, exactly: a period lasts
// 1000 / rate ms, of which duty % are on and the rest off.
//
// rate in pulses per second, above 0; duty in %, above 0 and at most 100. ok is
// false otherwise. Source: by definition.
func PulseTimes(rate, duty Quantity) (on, off *big.Rat, ok bool) {
	if rate.Millionths() <= 0 || duty.Millionths() <= 0 || duty.Cmp(Whole(100)) > 0 {
		return nil, nil, false
	}
	period := over(ratThousand, ratio(rate))
	on = over(times(period, ratio(duty)), ratHundred)
	return on, minus(period, on), true
}

// The three states of what a machine's mean power means.
const (
	dutyIncluded = "includes the pauses"
	dutyLeftOut  = "does not include the pauses"
)

var ultrasoundReckoners = []reckoner{
	{Calculation{"effective phaco time", "Effective phaco time", []InputField{
		numberField("time", "Ultrasound time", "s", "0", "3600"),
		numberField("power", "Mean ultrasound power as displayed", "%", "0", "100"),
		choiceOf("mean", "On this machine the mean power", dutyIncluded, dutyLeftOut, NotKnown),
		numberField("duty", "Duty cycle", "%", "1", "100").optional().help("Needed when the mean power does not include the pauses."),
		{ID: "profile", Label: "Machine profile", Kind: InputText, Optional: true},
	}}, workEPT},
	{Calculation{"duty cycle", "Times on and off to duty cycle", []InputField{
		numberField("on", "Time on", "ms", "0.1", "2000"),
		numberField("off", "Time off", "ms", "0", "2000"),
	}}, workDutyCycle},
	{Calculation{"pulse times", "Pulse rate and duty cycle to times on and off", []InputField{
		numberField("rate", "Pulse rate", "pulses/s", "1", "250"),
		numberField("duty", "Duty cycle", "%", "1", "100"),
	}}, workPulseTimes},
}

func workEPT(in *inputs) Working {
	time, power, duty, mean := in.numbers["time"], in.numbers["power"], in.numbers["duty"], in.texts["mean"]
	ept, _ := EffectivePhacoTime(time, power)
	w := Working{Formula: "effective phaco time = ultrasound time × mean power / 100", Source: sourceEPT,
		Steps: []string{time.String() + " s × " + power.String() + " % / 100 = " + rounded(ept, 2) + " s"}}
	extra := "as displayed by this machine"
	if profile := in.texts["profile"]; profile != "" {
		extra = "as displayed by " + profile
	}
	show := func(label string, t *big.Rat) {
		w.Result = append(w.Result, Shown{ID: "ept", Label: label, Value: rounded(t, 2), Unit: "s", Extra: extra})
	}
	if mean == dutyLeftOut && !duty.Stated() {
		in.errorf("empty", "duty", "The duty cycle is not given. It is needed because the mean power of this machine does not include the pauses.")
	}
	if mean == dutyIncluded || !duty.Stated() {
		show("Effective phaco time", ept)
	} else {
		on := over(times(ept, ratio(duty)), ratHundred)
		w.Steps = append(w.Steps, rounded(ept, 2)+" s × duty cycle "+duty.String()+" % / 100 = "+rounded(on, 2)+" s")
		if mean == NotKnown {
			show("If the mean power includes the pauses", ept)
			show("If it does not", on)
		} else {
			show("Effective phaco time", on)
		}
	}
	w.Cautions = []string{cautionDutyCycle, cautionTimeAlone, cautionTorsional}
	return w
}

func workDutyCycle(in *inputs) Working {
	on, off := in.numbers["on"], in.numbers["off"]
	duty, rate, _ := DutyCycle(on, off)
	period := FromMillionths(on.Millionths() + off.Millionths())
	return Working{
		Result: []Shown{{ID: "duty_cycle", Label: "Duty cycle", Value: rounded(duty, 1), Unit: "%"},
			{ID: "pulse_rate", Label: "Pulse rate", Value: rounded(rate, 1), Unit: "pulses/s"}},
		Formula: "duty cycle = 100 × on / (on + off); pulse rate = 1000 / (on + off)",
		Steps: []string{on.String() + " ms + " + off.String() + " ms = " + period.String() + " ms",
			"100 × " + on.String() + " / " + period.String() + " = " + rounded(duty, 1) + " %",
			"1000 / " + period.String() + " = " + rounded(rate, 1) + " pulses/s"},
		Beside: []string{"Bench work found 6 ms on with 10 ms off most efficient (meeting abstract 2014); that is 37.5 %."},
		Source: sourceDuty,
	}
}

func workPulseTimes(in *inputs) Working {
	rate, duty := in.numbers["rate"], in.numbers["duty"]
	on, off, _ := PulseTimes(rate, duty)
	period := plus(on, off)
	return Working{
		Result: []Shown{{ID: "on", Label: "Time on", Value: rounded(on, 2), Unit: "ms"},
			{ID: "off", Label: "Time off", Value: rounded(off, 2), Unit: "ms"}},
		Formula: "period = 1000 / pulse rate; on = period × duty cycle / 100; off = period − on",
		Steps: []string{"1000 / " + rate.String() + " = " + rounded(period, 2) + " ms",
			rounded(period, 2) + " ms × " + duty.String() + " / 100 = " + rounded(on, 2) + " ms on",
			rounded(period, 2) + " ms − " + rounded(on, 2) + " ms = " + rounded(off, 2) + " ms off"},
		Cautions: []string{cautionDutyCycle},
		Source:   sourceDuty,
	}
}
