package cards

import (
	"errors"
	"math/big"
	"strings"
)

// Ratio is the unit of a strength written 1:n, which means 1 g in n mL.
const Ratio Unit = "1:n"

// Strength is how much drug is in a volume: 10 mg/mL, 0.5 %, 1:1000. In JSON
// it is the text String writes and ParseStrength reads.
type Strength struct {
	Value Quantity // of a ratio 1:n it is n
	Unit  Unit     // %, mg/mL, micrograms/mL, units/mL or Ratio
}

// Errors of ParseStrength. Each says how to write it.
var (
	ErrStrengthSyntax    = errors.New("write a number, a space and %, mg/mL, micrograms/mL or units/mL, or a ratio such as 1:1000")
	ErrStrengthAmbiguous = errors.New("a ratio this small is ambiguous: some read 1 part and 3 parts, some 1 in 3. Write mg/mL, or reckon with the parts of drug and of diluent")
	ErrStrengthZero      = errors.New("the strength must be above 0")
	ErrStrengthTooMuch   = errors.New("more than 100 %, that is 1000 mg/mL, cannot be")
)

// smallestRatio is the n below which 1:n is not read: 1:3 is used for parts.
const smallestRatio = 100

// strengthUnits are the written forms of each unit, the plain one first.
var strengthUnits = []struct {
	unit  Unit
	forms []string
}{
	{"%", []string{"%"}},
	{"mg/mL", []string{"mg/mL", "mg/ml", "mg per mL", "mg per ml"}},
	{"micrograms/mL", []string{"micrograms/mL", "microgram/mL", "micrograms/ml", "micrograms per mL", "microgram per mL"}},
	{"units/mL", []string{"units/mL", "unit/mL", "units/ml", "units per mL", "unit per mL"}},
}

// ParseStrength reads a strength: a number with %, mg/mL, micrograms/mL or
// units/mL ("per" may stand for the stroke), or a ratio 1:n with n from 100 up,
// whose digits may be grouped in threes by commas or spaces.
//
// Errors: ErrStrengthSyntax, ErrStrengthAmbiguous (1:3), ErrStrengthZero,
// ErrStrengthTooMuch, or an error of ParseQuantity.
func ParseStrength(s string) (Strength, error) {
	s = strings.TrimSpace(s)
	if n, found := strings.CutPrefix(s, "1:"); found {
		return parseRatio(strings.TrimSpace(n))
	}
	end := 0
	for end < len(s) && (s[end] >= '0' && s[end] <= '9' || s[end] == '.' || s[end] == '-') {
		end++
	}
	unit, ok := strengthUnit(strings.TrimSpace(s[end:]))
	if !ok || end == 0 {
		return Strength{}, ErrStrengthSyntax
	}
	value, err := ParseQuantity(s[:end])
	if err != nil {
		return Strength{}, err
	}
	return Strength{value, unit}.within()
}

func strengthUnit(form string) (Unit, bool) {
	for _, u := range strengthUnits {
		if contains(u.forms, form) {
			return u.unit, true
		}
	}
	return "", false
}

func parseRatio(n string) (Strength, error) {
	plain, ok := ungroup(n)
	if !ok {
		return Strength{}, ErrStrengthSyntax
	}
	value, err := ParseQuantity(plain)
	if err != nil {
		return Strength{}, err
	}
	if value.Cmp(Whole(smallestRatio)) < 0 {
		return Strength{}, ErrStrengthAmbiguous
	}
	return Strength{value, Ratio}, nil
}

// ungroup takes the separators out of 10,000 or 10 000; a group that is not three digits is refused.
func ungroup(s string) (string, bool) {
	groups := strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ' ' || r == '\u00a0' || r == '\u202f' })
	if len(groups) == 0 {
		return "", false
	}
	for n, g := range groups {
		if !onlyDigits(g) || (n > 0 && len(g) != 3) || (len(groups) > 1 && len(g) > 3) {
			return "", false
		}
	}
	return strings.Join(groups, ""), true
}

func (s Strength) within() (Strength, error) {
	amount, inUnits := s.perMillilitre()
	if amount.Sign() <= 0 {
		return Strength{}, ErrStrengthZero
	}
	if !inUnits && amount.Cmp(ratThousand) > 0 {
		return Strength{}, ErrStrengthTooMuch
	}
	return s, nil
}

// MustStrength is ParseStrength for figures written in source. It panics on bad syntax.
func MustStrength(text string) Strength {
	s, err := ParseStrength(text)
	if err != nil {
		panic("cards: MustStrength(" + quote(text) + "): " + err.Error())
	}
	return s
}

// IsZero reports whether nothing was stated.
func (s Strength) IsZero() bool { return s == Strength{} }

// String writes the strength the one way ParseStrength reads back.
func (s Strength) String() string {
	if s.IsZero() {
		return ""
	}
	if s.Unit == Ratio {
		return "1:" + grouped(nearest(ratio(s.Value)))
	}
	return s.Value.String() + " " + string(s.Unit)
}

// MarshalText writes String.
func (s Strength) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what ParseStrength reads, and "" as not stated.
func (s *Strength) UnmarshalText(b []byte) (err error) {
	*s = Strength{}
	if len(b) > 0 {
		*s, err = ParseStrength(string(b))
	}
	return err
}

// perMillilitre is the amount in 1 mL, exactly: mg, or units.
// Identities: 1 % = 1 g in 100 mL = 10 mg/mL; 1:n = 1 g in n mL = 1000/n mg/mL.
func (s Strength) perMillilitre() (amount *big.Rat, inUnits bool) {
	switch s.Unit {
	case "%":
		return times(ratio(s.Value), big.NewRat(10, 1)), false
	case "micrograms/mL":
		return over(ratio(s.Value), ratThousand), false
	case "units/mL":
		return ratio(s.Value), true
	case Ratio:
		return over(ratThousand, ratio(s.Value)), false
	}
	return ratio(s.Value), false
}

// PerMillilitre gives the amount of drug in 1 mL, exactly, in mg or, for
// units/mL, in units: 1 % = 10 mg/mL, 1:n = 1000/n mg/mL, 1 mg = 1000
// micrograms. ok is false when no strength is stated. Source: by definition
// (percent is grams in 100 mL, a ratio is grams in millilitres).
func (s Strength) PerMillilitre() (amount *big.Rat, unit Unit, ok bool) {
	if s.IsZero() {
		return nil, "", false
	}
	amount, inUnits := s.perMillilitre()
	return amount, massUnit(inUnits), true
}

func massUnit(inUnits bool) Unit {
	if inUnits {
		return "units"
	}
	return "mg"
}

// amountText writes an amount of drug in the unit that keeps a digit before the point.
func amountText(amount *big.Rat, inUnits bool) string {
	if inUnits {
		return figures(amount) + " units"
	}
	if amount.Sign() > 0 && amount.Cmp(ratOne) < 0 {
		return figures(times(amount, ratThousand)) + " micrograms"
	}
	return figures(amount) + " mg"
}

// concentrationText is amountText in 1 mL.
func concentrationText(amount *big.Rat, inUnits bool) string {
	text := amountText(amount, inUnits) + "/mL"
	if inUnits || amount.Cmp(ratOne) >= 0 {
		return text
	}
	return figures(amount) + " mg/mL (" + text + ")"
}

// showConcentration gives a strength in every form, mg per mL first.
func showConcentration(amount *big.Rat, inUnits bool) []Shown {
	if inUnits {
		return []Shown{{ID: "strength", Label: "Strength", Value: figures(amount), Unit: "units/mL"}}
	}
	shown := []Shown{{ID: "strength", Label: "Strength", Value: figures(amount), Unit: "mg/mL"}}
	if amount.Cmp(ratOne) < 0 {
		shown = append(shown, Shown{ID: "micrograms", Label: "In micrograms", Value: figures(times(amount, ratThousand)), Unit: "micrograms/mL"})
	}
	shown = append(shown, Shown{ID: "percent", Label: "As a percentage", Value: figures(over(amount, big.NewRat(10, 1))), Unit: "%"})
	if n := over(ratThousand, amount); n.Cmp(big.NewRat(smallestRatio, 1)) >= 0 {
		about := ""
		if !n.IsInt() {
			about = "about "
		}
		shown = append(shown, Shown{ID: "ratio", Label: "As a ratio, to read old labels", Value: about + "1:" + grouped(nearest(n)), Unit: "g in mL"})
	}
	return shown
}

const sourceStrength = "By definition: 1 % is 1 g in 100 mL = 10 mg/mL; 1:n is 1 g in n mL = 1000/n mg/mL; 1 mg = 1000 micrograms"

const cautionRatio = "Write mg per mL on cards and labels; a ratio is only for reading old labels."

func strengthField(id, label string) InputField {
	return InputField{ID: id, Label: label, Kind: InputStrength, Help: "Like 10 mg/mL, 0.5 % or 1:1000."}
}

var strengthReckoners = []reckoner{
	{Calculation{"strength", "Strength in other units", []InputField{strengthField("strength", "Strength")}}, workStrength},
	{Calculation{"dose in a volume", "Amount of drug in a volume", []InputField{
		strengthField("strength", "Strength"),
		numberField("volume", "Volume", "mL", "0.001", "1000"),
	}}, workDose},
}

func workStrength(in *inputs) Working {
	s := in.strengths["strength"]
	amount, inUnits := s.perMillilitre()
	return Working{Result: showConcentration(amount, inUnits), Formula: "mg/mL = % × 10 = micrograms/mL / 1000 = 1000 / n of 1:n",
		Steps: []string{s.String() + " = " + concentrationText(amount, inUnits)}, Cautions: []string{cautionRatio}, Source: sourceStrength}
}

func workDose(in *inputs) Working {
	s, volume := in.strengths["strength"], in.numbers["volume"]
	perML, inUnits := s.perMillilitre()
	dose := times(perML, ratio(volume))
	w := Working{Formula: "amount = strength × volume", Source: sourceStrength,
		Steps: []string{s.String() + " = " + concentrationText(perML, inUnits),
			concentrationText(perML, inUnits) + " × " + volume.String() + " mL = " + amountText(dose, inUnits)}}
	w.Result = []Shown{{ID: "amount", Label: "Amount in " + volume.String() + " mL", Value: figures(dose), Unit: string(massUnit(inUnits))}}
	if !inUnits && dose.Cmp(ratOne) < 0 {
		w.Result = append(w.Result, Shown{ID: "micrograms", Label: "In micrograms", Value: figures(times(dose, ratThousand)), Unit: "micrograms"})
	}
	w.Cautions = append(smallVolumes("The volume", volume), "Arithmetic on what was entered; not a dose for a patient.")
	return w
}
