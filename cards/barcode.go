package cards

import "strings"

// StoredModel is an article number the unit has stored for a lens model.
type StoredModel struct {
	GTIN string `json:"gtin"`
	Name string `json:"name"`
}

// MatchModel finds the model the unit stored for a scanned article number.
// Numbers of 8, 12 and 13 digits are compared as 14 digits with leading zeros.
// A number whose check digit is wrong matches nothing, and neither does a
// number stored for two different models.
func MatchModel(s Scan, models []StoredModel) (name string, ok bool) {
	if !s.GTINValid {
		return "", false
	}
	for _, m := range models {
		if !ValidGTIN(m.GTIN) || fourteen(m.GTIN) != fourteen(s.GTIN) {
			continue
		}
		if ok && m.Name != name {
			return "", false
		}
		name, ok = m.Name, true
	}
	return name, ok
}

func fourteen(gtin string) string { return strings.Repeat("0", max(0, 14-len(gtin))) + gtin }

var barcodeReckoners = []reckoner{
	{Calculation{"lens barcode", "Barcode of a lens box or a pack", []InputField{
		{ID: "scan", Label: "Scan", Kind: InputScan},
		{ID: "today", Label: "Today", Kind: InputDate},
		choiceOf("separator", "This scanner was seen to pass on the separator", Yes, No).optional(),
		{ID: "models", Label: "Models the unit has stored", Kind: InputRows, Optional: true, Fields: []InputField{
			{ID: "gtin", Label: "Article number", Kind: InputText},
			{ID: "name", Label: "Model", Kind: InputText},
		}},
	}}, workBarcode},
}

const (
	cautionSameItem = "A right check digit does not prove the right item. Two people read model, power with its sign, and expiry from the box."
	cautionNotKept  = "Lot and serial number are shown here and never kept with a case."
)

func workBarcode(in *inputs) Working {
	today := Date(in.texts["today"])
	s, found := ReadScan(in.texts["scan"], ScanSetting{Today: today, FNC1Proven: in.texts["separator"] == Yes})
	in.found = append(in.found, found...)
	w := Working{Formula: "GS1 element string: 01 article, 11 production, 17 expiry, 10 lot, 21 serial, 240 additional; check digit modulo 10",
		Source: sourceGS1 + "; day 00 and century of a year: values from memory, unconfirmed"}
	if s.System != "GS1" {
		w.Result = append(w.Result, Shown{ID: "system", Label: "Coding system", Value: s.System})
	}
	show := func(id, label, value string) {
		if value != "" {
			w.Result = append(w.Result, Shown{ID: id, Label: label, Value: value})
		}
	}
	if name, ok := MatchModel(s, in.models()); ok {
		show("model", "Model stored by the unit for this article number", name)
	} else if s.GTINValid {
		w.Cautions = append(w.Cautions, "The unit has stored no model for article number "+s.GTIN+". Read the model from the box.")
	}
	show("gtin", "Article number", s.GTIN)
	show("expiry", "Expiry", string(s.Expiry))
	show("produced", "Produced", string(s.Produced))
	show("lot", "Lot", s.Lot)
	show("serial", "Serial number", s.Serial)
	show("additional", "Additional identification", s.Additional)
	for _, raw := range s.Unread {
		show("unread", "Not read, as scanned", raw)
	}
	w.expiry(s.Expiry, today)
	for _, p := range found.Cautions() {
		w.Cautions = append(w.Cautions, p.Text)
	}
	w.Cautions = append(w.Cautions, cautionSameItem)
	if s.Lot+s.Serial != "" {
		w.Cautions = append(w.Cautions, cautionNotKept)
	}
	return w
}

func (in *inputs) models() []StoredModel {
	var models []StoredModel
	for _, row := range in.rows["models"] {
		models = append(models, StoredModel{row.texts["gtin"], row.texts["name"]})
	}
	return models
}

// expiry stops what is out of date. Days written year first compare as text.
func (w *Working) expiry(expiry, today Date) {
	switch {
	case expiry == "":
		w.Cautions = append(w.Cautions, "No expiry was read. Read it from the box.")
	case expiry < today:
		w.Stops = append(w.Stops, "Expired on "+string(expiry)+"; today is "+string(today)+" by this device. Do not open it.")
	case expiry == today:
		w.Cautions = append(w.Cautions, "Expires today by the clock of this device. Check the date.")
	}
}
