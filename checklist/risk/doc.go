// Package risk shows what published models say about the chance of rupture of
// the posterior capsule for the facts of a case. It is a part of its own,
// with an intended purpose of its own, and it is off until a unit turns it on.
//
// # Intended purpose
//
// Purpose (purpose.go) is the whole statement; docs/risk.md holds the same
// words and the limits. In short: an eye surgeon sees, beside the own
// judgement, the published group of a case, so that a precaution can be added.
// It is not for telling a patient a figure, for withholding a precaution or an
// operation, for setting a machine, or for ranking surgeons.
//
// # Why it stands apart
//
// A card in digital form, or a list that follows the unit's own rules, is not
// a medical device. A figure for the future of one patient is a prognosis and
// is likely to make software one. So nothing in package checklist imports this
// package (this package imports checklist, so the compiler refuses it), a
// sheet is the same with it and without it, and a unit lead who has read
// docs/risk.md turns it on. Tables can be shown without that: the published
// tables hold no figure of one case.
//
// # The types
//
// Model (model.go) is a published model as data: Models lists them. Inputs
// (inputs.go) are what the models ask and a case does not hold; they are given
// for the moment and never kept. Assess (assess.go) makes an Assessment with
// one Result for each model. Models are never mixed.
//
// What nobody knows is never taken for the reference level: it gives a range
// from the lowest to the highest the unknown could make of it.
//
// # Arithmetic
//
// Odds multiply, percentages do not: odds = p0/(1-p0) × product of the ratios,
// p = odds/(1+odds). Everything is an exact ratio of whole numbers until it is
// written; it is rounded once, there, with halves up. No floating point, no
// clock, no map order: the server and the browser write the same bytes.
package risk
