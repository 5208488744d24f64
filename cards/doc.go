// Package cards holds what a technique card is: one surgeon's way of taking a
// lens nucleus apart, with everything the theatre needs to prepare for it.
//
// The types a newcomer needs are Card (card.go), the closed choices
// (choices.go), the numeric vocabulary with units, bounds and sources
// (vocabulary.go), the case factors that conditions speak about (factor.go,
// condition.go) and Problem (problem.go). Check finds what is wrong or unusual
// in a card; Format and Parse turn a card into readable Markdown and back;
// Merge joins two people's changes; Diff says in words what changed.
//
// Everything here is a function of its arguments: no clock, no randomness, no
// files, no network, no package variable that changes. The server links this
// package and the browser runs it as WebAssembly, and both must give the same
// bytes, so numbers are decimals (Quantity) and nothing is ever read out of a
// map in map order. Native code and WebAssembly disagree in math.Exp and
// math.Pow on about one input in six, which is why neither is used here.
//
// # The unit of merging
//
// What a person decides as a whole merges as a whole: all limits of one
// phase, one item, one drug, one step, one trigger, one variant, one
// paragraph of the notes, one header field. Two people changing the same unit
// differently is an open question that the owner answers. No merge ever
// produces a value that nobody wrote.
//
// # Compatibility
//
// A card written by any released version is read by every later one. The
// words of the closed choices and the keys of the JSON form are only ever
// added to.
package cards
