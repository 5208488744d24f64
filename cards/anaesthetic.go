package cards

import "math/big"

// AnaestheticLimit is what one label allows of lidocaine. Labels disagree, so
// the unit chooses one and the screen shows which, with the others beside it.
type AnaestheticLimit struct {
	ID    string   `json:"id"`
	Label string   `json:"label"`           // whose label it is
	PerKg Quantity `json:"per_kg,omitzero"` // mg for each kg of body weight
	Most  Quantity `json:"most,omitzero"`   // mg, whatever the weight
}

// limitOwn is what a limit is called that is not a label's: the unit set it.
const limitOwn = "the unit's own limit"

// AnaestheticLimits are the published labels that were read; they disagree.
func AnaestheticLimits() []AnaestheticLimit {
	return []AnaestheticLimit{
		{ID: "3 mg per kg", Label: "a national drug label", PerKg: Whole(3)},
		{ID: "4.5 mg per kg, at most 300 mg, plain", Label: "a United States label, without adrenaline", PerKg: MustQuantity("4.5"), Most: Whole(300)},
		{ID: "7 mg per kg, at most 500 mg, with adrenaline", Label: "a United States label, with adrenaline", PerKg: Whole(7), Most: Whole(500)},
		{ID: "at most 200 mg, plain", Label: "a British-style label, without adrenaline", Most: Whole(200)},
		{ID: "at most 500 mg, with adrenaline", Label: "a British-style label, with adrenaline", Most: Whole(500)},
	}
}

// Allows gives the largest total in mg for a body weight in kg, exactly: the
// smaller of weight × mg per kg and the most whatever the weight. ok is false
// when the limit states neither, or needs a weight that is not stated.
// Source: the label named in the limit.
func (l AnaestheticLimit) Allows(weight Quantity) (most *big.Rat, ok bool) {
	if !l.PerKg.Stated() {
		return ratio(l.Most), l.Most.Stated()
	}
	if !weight.Stated() {
		return nil, false
	}
	most = times(ratio(weight), ratio(l.PerKg))
	if l.Most.Stated() && ratio(l.Most).Cmp(most) < 0 {
		most = ratio(l.Most)
	}
	return most, true
}

// words says the limit as it is written on the label.
func (l AnaestheticLimit) words() string {
	text := "at most " + l.Most.String() + " mg"
	if l.PerKg.Stated() {
		text = l.PerKg.String() + " mg per kg"
		if l.Most.Stated() {
			text += ", at most " + l.Most.String() + " mg"
		}
	}
	return l.Label + ": " + text
}

func limitChoices() []string {
	var ids []string
	for _, l := range AnaestheticLimits() {
		ids = append(ids, l.ID)
	}
	return ids
}

const sourceAnaesthetic = "Total = sum of strength × volume; limits as printed on the labels named, which disagree; " + sourceStrength

var anaestheticReckoners = []reckoner{
	{Calculation{"lidocaine total", "Lidocaine in total against the unit's limit", []InputField{
		{ID: "amounts", Label: "Lidocaine given or planned", Kind: InputRows, Fields: []InputField{
			{ID: "what", Label: "What", Kind: InputText, Help: "Drops, block, intracameral: count them all."},
			strengthField("strength", "Strength"),
			numberField("volume", "Volume", "mL", "0.001", "200"),
		}},
		numberField("weight", "Body weight", "kg", "2", "300").optional(),
		numberField("per_kg", "The unit's own limit", "mg per kg", "0.1", "20").optional().from("local-anaesthetic-limit").help("Filled in from the unit's settings."),
		numberField("most", "The unit's own limit, whatever the weight", "mg", "1", "2000").optional(),
		choiceOf("limit", "A label, in place of the unit's own limit", limitChoices()...).optional(),
	}}, workAnaesthetic},
}

func workAnaesthetic(in *inputs) Working {
	w := Working{Formula: "total = sum of strength × volume, held against the smaller of weight × mg per kg and the most whatever the weight", Source: sourceAnaesthetic}
	total := new(big.Rat)
	for n, row := range in.rows["amounts"] {
		total = plus(total, in.anaestheticRow(&w, n, row))
	}
	limit := in.anaestheticLimit()
	most, ok := limit.Allows(in.numbers["weight"])
	if !ok {
		if limit.PerKg.Stated() {
			in.errorf("empty", "weight", "Body weight is not given. The limit chosen needs it; write it in kg.")
		} else if len(in.found) == 0 {
			in.errorf("empty", "per_kg", "The unit's own limit is not given. Write mg per kg, mg, or both, or choose a label.")
		}
	}
	if len(in.found) > 0 {
		return w
	}
	w.Steps = append(w.Steps, "Total: "+figures(total)+" mg", "Limit by "+limit.words()+": "+figures(most)+" mg")
	in.showAnaesthetic(&w, total, most)
	for _, l := range append([]AnaestheticLimit{in.ownLimit()}, AnaestheticLimits()...) {
		if allows, ok := l.Allows(in.numbers["weight"]); ok && (l.ID != limitOwn || limit.ID != limitOwn) {
			w.Beside = append(w.Beside, upperFirst(l.words())+", here "+figures(allows)+" mg.")
		}
	}
	w.Cautions = append(w.Cautions, "Labels disagree. This is held against "+limit.words()+".",
		"Count every lidocaine: drops, gel, block and intracameral. Other local anaesthetics add to the effect and are not counted here.")
	return w
}

func (in *inputs) anaestheticRow(w *Working, n int, row *inputs) *big.Rat {
	perML, inUnits := row.strengths["strength"].perMillilitre()
	if inUnits {
		in.errorf("units", "amounts/"+Whole(int64(n+1)).String()+"/strength", "The strength of lidocaine cannot be in units. Write % or mg/mL.")
	}
	mg := times(perML, ratio(row.numbers["volume"]))
	w.Steps = append(w.Steps, row.texts["what"]+": "+row.strengths["strength"].String()+" × "+row.numbers["volume"].String()+" mL = "+figures(mg)+" mg")
	return mg
}

// anaestheticLimit is the label that was chosen, or else the unit's own limit.
func (in *inputs) anaestheticLimit() AnaestheticLimit {
	for _, l := range AnaestheticLimits() {
		if l.ID == in.texts["limit"] {
			return l
		}
	}
	return in.ownLimit()
}

func (in *inputs) ownLimit() AnaestheticLimit {
	return AnaestheticLimit{ID: limitOwn, Label: limitOwn, PerKg: in.numbers["per_kg"], Most: in.numbers["most"]}
}

// showAnaesthetic shows total, limit and what is left, and the limit as a volume of each strength used.
func (in *inputs) showAnaesthetic(w *Working, total, most *big.Rat) {
	w.Result = []Shown{{ID: "total", Label: "Total", Value: figures(total), Unit: "mg"}, {ID: "limit", Label: "Limit", Value: figures(most), Unit: "mg"}}
	left := minus(most, total)
	if left.Sign() < 0 {
		over := figures(new(big.Rat).Neg(left))
		w.Result = append(w.Result, Shown{ID: "over", Label: "Over the limit by", Value: over, Unit: "mg"})
		w.Stops = append(w.Stops, "The total of "+figures(total)+" mg is over the limit of "+figures(most)+" mg by "+over+" mg. Tell the surgeon and anaesthesia.")
	} else {
		w.Result = append(w.Result, Shown{ID: "left", Label: "Left", Value: figures(left), Unit: "mg"})
	}
	seen := map[Strength]bool{}
	for _, row := range in.rows["amounts"] {
		if s := row.strengths["strength"]; !seen[s] {
			seen[s] = true
			perML, _ := s.perMillilitre()
			w.Result = append(w.Result, Shown{ID: "volume", Label: "The limit as " + s.String() + " lidocaine", Value: figures(over(most, perML)), Unit: "mL"})
		}
	}
}

func upperFirst(s string) string { return string(s[0]-'a'+'A') + s[1:] }
