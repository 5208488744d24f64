package cards_test

import (
	"fmt"
	"os"
	"strings"

	"sideport/cards"
)

// A card is written as Markdown and read back. The values are made up.
func ExampleFormat() {
	card := cards.Card{
		ID: "ash-flip", Title: "Flip", Technique: cards.Flip, Owner: "ash",
		Phases: []cards.Phase{{Key: "epinucleus", Name: "Epinucleus", Kind: cards.Epinucleus, Limits: cards.Limits{
			Vacuum: cards.Whole(200), VacuumControl: cards.Linear, Flow: cards.MustQuantity("28.5"),
		}}},
	}
	os.Stdout.Write(cards.Format(card))
	// Output:
	// # Flip
	//
	// - Card: ash-flip
	// - Technique: flip
	// - Owner: ash
	//
	// ## Phases
	//
	// ### Epinucleus
	//
	// - Kind: epinucleus
	//
	// | Limit           | Value | Unit   | Control |
	// | --------------- | ----- | ------ | ------- |
	// | Vacuum          | 200   | mmHg   | linear  |
	// | Aspiration flow | 28.5  | mL/min |         |
}

// All problems of a file are reported, each with its line and its mend.
func ExampleParse() {
	md := strings.Join([]string{
		"# Flip", // 1
		"",
		"- Owner: Ash", // 3
		"",
		"## Phases", // 5
		"",
		"### Chop", // 7
		"",
		"| Limit  | Value | Unit |", // 9
		"| ------ | ----- | ---- |",
		"| Vaccum | 350   | mmHg |", // 11
		"| Flow   | .5    | mL   |", // 12
	}, "\n")
	_, problems := cards.Parse([]byte(md))
	for _, p := range problems {
		fmt.Printf("line %d: %s\n", p.Line, p.Text)
	}
	// Output:
	// line 3: Owner: “Ash” is not a key. Write a to z, 0 to 9 and single hyphens, for example “ash”.
	// line 11: The limit “Vaccum” is not known. Did you mean “Vacuum”?
	// line 12: The limit “Flow” is not known. Write one of: Ultrasound, Mode, Ultrasound power, Pulse rate, Duty cycle, Burst length, Vacuum, Aspiration flow, Bottle height, Irrigation pressure, Cut rate.
}

func ExampleRenderNotes() {
	fmt.Print(cards.RenderNotes("Keep the vacuum <400 mmHg. See the [protocol](https://unit.example/p) and [this](javascript:alert(1))."))
	// Output:
	// <p>Keep the vacuum &lt;400 mmHg. See the <a href="https://unit.example/p" rel="noopener noreferrer nofollow" target="_blank">protocol</a> and this.</p>
}

func ExampleStorableText() {
	fmt.Printf("%q\n", cards.StorableText("Hooks, set of 5", false))
	fmt.Println("The name", cards.StorableText("Hooks,\nset of 5", false)+".")
	// Output:
	// ""
	// The name holds a line break; write it on one line.
}
