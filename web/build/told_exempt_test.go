package main

import "slices"

// composed are parts of texts that are joined at run time, each with whole texts as they come out.
var composed = map[string][]string{
	", but lists none":                   {"Horizontal chop is done with a horizontal chopper, but lists none. Add it as open."},
	", but has it ready only":            {"Divide and conquer is done with a nucleus rotator or a spatula, but has it ready only. Add it as open."},
	"§ is done with §§. Add it as open.": {"Vertical chop is done with a vertical chopper, but lists none. Add it as open."},
	"§s in another order":                {"Items in another order", "Drugs in another order", "Steps in another order", "Settings in another order", "§: lines in another order"},
	"to the §":                           {"to the left", "to the right"},
	", for example “§”.":                 {"“§” is not a key. Write a to z, 0 to 9 and single hyphens, for example “§”."},
	"“§” is not a key. Write a to z, 0 to 9 and single hyphens§": {"“§” is not a key. Write a to z, 0 to 9 and single hyphens."},
	"1 minute":  {"Wait 1 minute, or ask a unit lead for a new PIN."},
	"§ minutes": {"Wait § minutes, or ask a unit lead for a new PIN."},
	"§ hours":   {"Wait § hours, or ask a unit lead for a new PIN."},
	"There were too many wrong PINs for this name. Wait §, or ask a unit lead for a new PIN.": {"There were too many wrong PINs for this name. Wait 1 minute, or ask a unit lead for a new PIN."},
	"§ (approximate, from §)":                                  {"3 (approximate, from clinical 3+)"},
	", the unit's setting, §":                                  {"dilated pupil below 5 mm, the unit's setting, published 3 to 5 mm: 2.5 mm", "house rule: § (§, the unit's setting, 3 unconfirmed: 3.8)"},
	"§, the unit's setting, §":                                 {"5 mm, the unit's setting, published 3 to 5 mm", "1500, the unit's setting, 1000 to 1500 unconfirmed"},
	"The whole §":                                              {"The whole card", "The whole rule book", "The whole unit"},
	"§ § has no unit. Choose one of: §.":                       {"Drug “§”: dose § has no unit. Choose one of: mg, micrograms.", "Drug “§”: strength § has no unit. Choose one of: mg/mL, units/mL."},
	"§ § is not above 0. Write the amount, or leave it empty.": {"Drug “§”: dose § is not above 0. Write the amount, or leave it empty."},
	"§ has § §, and § is the most. Take some away.":            {"The card has § items, and § is the most. Take some away.", "Trigger “§” has § things to open, and § is the most. Take some away."},
	"has § §. Choose one of: §.":                               {"Rule “§”, action § has pause “§”. Choose one of: team brief, sign in."},
	"New §":                                                    {"New card", "New case", "New person", "New record"},
	"§ the text":                                               {"Notes: the text: holds a line break; write it on one line"},
	"§ § per mL":                                               {"§ mg per mL", "§ units per mL"},
	"§, which is not on this sheet. Have it ready or agree on another way.": {
		"The drill “§” opens §, which is not on this sheet. Have it ready or agree on another way."},
	"§, which is struck out on this sheet (§). Agree on another way.": {
		"The drill “§” opens §, which is struck out on this sheet (withheld). Agree on another way."},
	"Two variants both change ":              {"Two variants both change § (§): the surgeon must say which."},
	"Several variants change ":               {"Several variants change § (§): the surgeon must say which."},
	"§§ (§): the surgeon must say which.":    {"Two variants both change § (§): the surgeon must say which."},
	"§ Shown are the card's own limits.":     {"Two variants both change § (§): the surgeon must say which. Shown are the card's own limits."},
	"fixed line of the §":                    {"fixed line of the team brief", "fixed line of the lens check", "fixed line of the debrief"},
	"length of the §":                        {"length of the sign in", "length of the time out", "length of the sign out"},
	", instead §":                            {"withhold what contains latex, instead § (key §)"},
	", because §":                            {"withhold §, because §", "do not §, instead §, because §"},
	"at § “§” (§ asks, § answers":            {"at team brief “§” (reader asks, surgeon answers)", "add line at sign in “§” (reader asks, patient answers, expected: §)"},
	", expected: §":                          {"add question at time out “§” (reader asks, everyone answers, expected: §)"},
	", stored value §":                       {"at lens check “§” (reader asks, surgeon answers, stored value §)"},
	": instead of §":                         {"house rule: § (§): instead of §"},
	"“§” of the record §":                    {"“§” of the record is missing.", "“§” of the record is below 0."},
	" The first § of § problems are listed.": {"The card does not pass its checks. The first 100 of 200 problems are listed."},
}

// notTold are the texts that no screen shows, by reason.
var notTold = []struct {
	because string
	files   []string
	texts   []string
}{
	{because: "the sheet as text, which the command line alone writes", files: []string{"text.go"}},
	{because: "headers of answers, for browsers", files: []string{"headers.go"}, texts: []string{
		"application/json; charset=utf-8", "public, max-age=31536000, immutable", "application/x-ndjson; charset=utf-8", `attachment; filename="sideport-audit-§.ndjson"`,
		"Sideport-Build", "Sideport-Operator", "Sideport-Request", "Sec-Fetch-Site", "Origin", ": still here\n\n", "event: seq\ndata: {\"epoch\": \"§\", \"seq\": §}\n\n", "noopener noreferrer nofollow", "Uint8Array"}},
	{because: "codes of problems and of refusals, and names of calculations, which programs compare", texts: []string{
		"known section", "no such phase", "not ready", "no such item", "no such factor", "flow raised", "no flow", "too many", "sculpt mode", "second instrument", "other chopper",
		"too large", "check digit", "no FNC1", "missing step", "takes more", "ten times", "no such calculation", "no such field", "leading zero", "trailing zero", "decimal comma",
		"not used", "two names", "long pause", "long question", "same person", "no factor", "no such setting", "no such recipe", "nucleus scales", "other card", "unknown field",
		"no such input", "bad request", "not found", "other epoch", "not enrolled", "not signed in", "sign in again", "not allowed", "wrong pin", "wrong code", "needs set-up", "own card",
		"lidocaine total", "lens barcode", "make up", "pressure from height", "height from pressure", "dose in a volume", "toric rotation", "toric check", "pulse times"}},
	{because: "names of lists of choices", texts: []string{"item kind", "phase kind"}},
	{because: "formulas of units and signs alone", texts: []string{
		"1 cmH2O = 98.0665 Pa / 133.322387415 Pa = 0.735559 mmHg", "§ cmH2O × 0.735559 = § mmHg", "1 mmHg = 133.322387415 Pa; 1 kPa = 1000 Pa; 1 cmH2O = 98.0665 Pa", "mg per ml", "g in mL"}},
	{because: "how months begin, to find a day of birth", texts: []string{"jan feb mar apr may jun jul aug sep oct nov dec"}},
	{because: "what a decoder says, which is looked for and not shown", texts: []string{"json: unknown field ", "something stands after the end: §"}},
	{because: "a fault of the program, for its log", texts: []string{"core: §: §\n§", "cannot note that a device was here", "at number §", "at record §", "tries of day", "record §: §",
		"no device has this credential", "the unit was not set up: the code is not the printed one"}},
	{because: "what is hashed or signed", texts: []string{"sideport demonstration PIN §", "sideport demonstration code §", "sideport edit 1", "sideport passkey §"}},
	{because: "what verify finds in a log, at the command line", files: []string{"verify.go"}, texts: []string{
		"it does not say its place in the chain of its device", "it does not say who had checked the author", "an Ed25519 key has § bytes, this one §", "\"§\" is neither § nor §"}},
	{because: "faults of the store, worded anew for a device in server/api/errors.go", texts: []string{
		"the commit failed: the edit may or may not be kept", "the log serves nothing more", "the log is read only", "a stored record is damaged", "the id belongs to another edit"}},
	{because: "wrong settings at the start of the server", texts: []string{
		"\"§\" is not the address of a unit, such as https://cards.example.org", "the issuer \"§\" is not an address such as https://login.example.org/realm",
		"the issuer \"§\" is not reached over https: anybody on the way could sign in as anybody", "single sign-on needs the client's id and its secret, as the provider registered them"}},
}

func notToldBecause(file, words string) string {
	for _, e := range notTold {
		if slices.Contains(e.files, file) || slices.Contains(e.texts, words) {
			return e.because
		}
	}
	return ""
}
