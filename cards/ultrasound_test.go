package cards

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestEffectivePhacoTimeTable(t *testing.T) {
	for _, row := range published(t, "ultrasound.csv") {
		got, ok := EffectivePhacoTime(MustQuantity(row[0]), MustQuantity(row[1]))
		if !ok {
			t.Fatalf("%v is refused", row)
		}
		agrees(t, row[0]+" s at "+row[1]+" %", got, row[2])
	}
}

func TestDutyCycleTable(t *testing.T) {
	for _, row := range published(t, "duty_cycle.csv") {
		duty, rate, ok := DutyCycle(MustQuantity(row[0]), MustQuantity(row[1]))
		if !ok {
			t.Fatalf("%v is refused", row)
		}
		agrees(t, row[0]+" on, "+row[1]+" off", duty, row[2])
		agrees(t, row[0]+" on, "+row[1]+" off", rate, row[3])
	}
}

// Rate and duty cycle of any pulse give its times on and off back.
func TestPulseTimesUndoesDutyCycle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := FromMillionths(rapid.Int64Range(1_000_000, 250_000_000).Draw(t, "rate"))
		duty := FromMillionths(rapid.Int64Range(1_000_000, 100_000_000).Draw(t, "duty"))
		on, off, ok := PulseTimes(rate, duty)
		if !ok || off.Sign() < 0 {
			t.Fatalf("rate %s, duty %s: %v, %v", rate, duty, on, off)
		}
		period := plus(on, off)
		if over(ratThousand, period).Cmp(ratio(rate)) != 0 || over(times(ratHundred, on), period).Cmp(ratio(duty)) != 0 {
			t.Fatalf("rate %s, duty %s do not come back", rate, duty)
		}
	})
}

func TestUltrasoundRefuses(t *testing.T) {
	if _, ok := EffectivePhacoTime(Whole(-1), Whole(20)); ok {
		t.Error("a negative time is read")
	}
	if _, _, ok := DutyCycle(Whole(0), Whole(10)); ok {
		t.Error("a pulse of 0 ms is read")
	}
	if _, _, ok := PulseTimes(Whole(10), Whole(101)); ok {
		t.Error("a duty cycle of 101 % is read")
	}
}

// The mean power of one machine includes the pauses and that of another does
// not; when nobody knows, both figures are shown.
func TestEffectivePhacoTimeSaysWhatItMeans(t *testing.T) {
	w := reckon(t, "effective phaco time", `{"time":"60","power":"20","mean":"not known","duty":"50","profile":"Profile B"}`)
	var got []string
	for _, s := range w.Result {
		got = append(got, s.Text())
	}
	want := "If the mean power includes the pauses 12 s, as displayed by Profile B; If it does not 6 s, as displayed by Profile B"
	if strings.Join(got, "; ") != want {
		t.Errorf("got %q\nwant %q", strings.Join(got, "; "), want)
	}
	if w := reckon(t, "effective phaco time", `{"time":"60","power":"20","mean":"includes the pauses","duty":"50"}`); result(t, w, "ept") != "12" {
		t.Errorf("%+v", w.Result)
	}
	if w := reckon(t, "effective phaco time", `{"time":"60","power":"20","mean":"does not include the pauses","duty":"50"}`); result(t, w, "ept") != "6" {
		t.Errorf("%+v", w.Result)
	}
	if text := strings.Join(w.Cautions, "\n"); !strings.Contains(text, "specific to the machine") || !strings.Contains(text, "alone is not energy") {
		t.Errorf("cautions: %s", text)
	}
}

func TestPulseWorkings(t *testing.T) {
	if w := reckon(t, "duty cycle", `{"on":"6","off":"10"}`); result(t, w, "duty_cycle") != "37.5" || result(t, w, "pulse_rate") != "62.5" {
		t.Errorf("%+v", w.Result)
	}
	if w := reckon(t, "pulse times", `{"rate":"62.5","duty":"37.5"}`); result(t, w, "on") != "6" || result(t, w, "off") != "10" {
		t.Errorf("%+v", w.Result)
	}
}
