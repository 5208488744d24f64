// Package edits decides what becomes of one edit. It is the rule of the whole
// system in one place, and it knows neither HTTP nor the database nor a
// clock: the log comes in as an interface (Log), the time as a value.
//
// An edit is one change of one document by one person on one device. It
// carries the revision it was made from. Accept takes it through these steps,
// in this order:
//
//  1. An id that is in the log already changes nothing: already applied.
//  2. By somebody who may not make it, or not known to be theirs: set aside.
//     The caller says so (Standing); this package asks nobody who they are.
//  3. A body that does not pass the checks of its kind is set aside.
//  4. Made from a revision this server has never had: set aside.
//  5. By somebody who is not the owner of the document as it is now: a
//     proposal. The document stays as it is until its owner answers.
//  6. Answers proposals and leaves the document as its author saw it: answered.
//  7. Made from the newest revision: applied.
//  8. Made from an older one: merged three ways. Units that two people changed
//     differently become open questions; nobody's value is overwritten. What is
//     valid alone and not together with what others changed is set aside.
//
// Every edit ends in the log, whole and for ever, in exactly one of those
// states. "Set aside" loses nothing: the edit stays readable as it came.
//
// # The log decides, not the program
//
// A log entry holds the edit and the verdict on it, with the body the
// document had afterwards. Documents are rebuilt from verdicts (Apply), so a
// later version of the program with better checks still reads an old log the
// way it was written. Rules says which edition of the rules judged an entry.
//
// # Caveats
//
// Slices handed to Accept are kept in the log: the caller gives them away.
package edits
