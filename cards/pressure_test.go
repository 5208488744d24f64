package cards

import (
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestStaticPressureTable(t *testing.T) {
	for _, row := range published(t, "pressure.csv") {
		height := MustQuantity(row[0])
		water, _ := StaticPressure(height, Whole(1), MillimetresOfMercury)
		salt, _ := StaticPressure(height, MustQuantity("1.007"), MillimetresOfMercury)
		kPa, _ := StaticPressure(height, Whole(1), Kilopascals)
		agrees(t, row[0]+" cm of water", water, row[1])
		agrees(t, row[0]+" cm at 1.007", salt, row[2])
		agrees(t, row[0]+" cm in kPa", kPa, row[3])
	}
}

func TestConvertPressureTable(t *testing.T) {
	for _, row := range published(t, "pressure_units.csv") {
		got, ok := ConvertPressure(MustQuantity(row[0]), PressureUnit(row[1]), PressureUnit(row[2]))
		if !ok {
			t.Errorf("%v is refused", row)
			continue
		}
		agrees(t, row[1]+" to "+row[2], got, row[4])
	}
}

// The conventional millimetre of mercury is 13.5951 g/cm³ × 9.80665 m/s² × 1 mm
// by definition; 1 cm of water is 1 g/cm³ × 9.80665 m/s² × 1 cm.
func TestPressureUnitsByDefinition(t *testing.T) {
	gravity := ratioOf("9.80665")
	if want := times(ratioOf("13.5951"), gravity); pascals[MillimetresOfMercury].Cmp(want) != 0 {
		t.Errorf("1 mmHg is %s Pa, by definition %s", pascals[MillimetresOfMercury].FloatString(9), want.FloatString(9))
	}
	if want := times(big.NewRat(10, 1), gravity); pascals[CentimetresOfWater].Cmp(want) != 0 {
		t.Errorf("1 cmH2O is %s Pa", pascals[CentimetresOfWater].FloatString(9))
	}
}

func TestPressureRefuses(t *testing.T) {
	if _, ok := ConvertPressure(Whole(1), "bar", Kilopascals); ok {
		t.Error("bar is read")
	}
	if _, ok := StaticPressure(Quantity{}, Whole(1), Kilopascals); ok {
		t.Error("no height is read")
	}
	if _, ok := ColumnHeight(Whole(50), MillimetresOfMercury, Whole(0)); ok {
		t.Error("density 0 is read")
	}
}

// There and back gives the same height, doubling the height doubles the
// pressure, and more density never lowers it.
func TestPressureLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		height := FromMillionths(rapid.Int64Range(0, 150_000_000).Draw(t, "height"))
		density := FromMillionths(rapid.Int64Range(990_000, 1_050_000).Draw(t, "density"))
		p, _ := StaticPressure(height, density, CentimetresOfWater)
		double, _ := StaticPressure(FromMillionths(2*height.Millionths()), density, CentimetresOfWater)
		if times(big.NewRat(2, 1), p).Cmp(double) != 0 {
			t.Fatalf("twice %s cm is not twice the pressure", height)
		}
		water, _ := StaticPressure(height, Whole(1), CentimetresOfWater)
		if (density.Cmp(Whole(1)) > 0 && p.Cmp(water) < 0) || water.Cmp(ratio(height)) != 0 {
			t.Fatalf("%s cm at %s is %s cmH2O", height, density, p.FloatString(9))
		}
		mmHg := FromMillionths(rapid.Int64Range(0, 200_000_000).Draw(t, "mmHg"))
		column, _ := ColumnHeight(mmHg, MillimetresOfMercury, density)
		back := over(times(times(column, ratio(density)), pascals[CentimetresOfWater]), pascals[MillimetresOfMercury])
		if back.Cmp(ratio(mmHg)) != 0 {
			t.Fatalf("%s mmHg comes back as %s", mmHg, back.FloatString(9))
		}
	})
}

func TestPressureWorking(t *testing.T) {
	w := reckon(t, "pressure from height", `{"height":"65"}`)
	if result(t, w, "mmHg") != "47.8" || !strings.Contains(strings.Join(w.Cautions, "\n"), "Static, at no flow; measured pressures differ") {
		t.Errorf("%+v", w)
	}
	if beside := strings.Join(w.Beside, "\n"); !strings.Contains(beside, "50 to 60 mmHg measured, 47.8 mmHg static") {
		t.Errorf("the published measurement is not beside it: %s", beside)
	}
	// The eye 15 cm above the zero of the scale leaves 60 cm of 75.
	if w := reckon(t, "pressure from height", `{"height":"75","eye_above":"15"}`); result(t, w, "mmHg") != "44.1" {
		t.Errorf("%+v", w.Result)
	}
	if w := reckon(t, "pressure from height", `{"height":"60","eye_above":"-15"}`); result(t, w, "mmHg") != "55.2" || !strings.Contains(w.Steps[0], "− (-15) cm") {
		t.Errorf("%+v", w)
	}
	if w := reckon(t, "height from pressure", `{"pressure":"47.81","unit":"mmHg"}`); result(t, w, "height") != "65" {
		t.Errorf("%+v", w.Result)
	}
}
