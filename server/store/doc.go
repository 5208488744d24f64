// Package store keeps the log and the documents of one unit in one file of a
// data directory. It is the only place that knows the database engine, bbolt.
//
// # What is kept
//
//	meta       schema, epoch and the head of the log
//	log        seq → record: the edit as it came, the verdict, the hash of the record before
//	edits      edit id → seq
//	documents  kind and id → the document as it is now
//	revisions  kind, id and revision → seq
//	people     table and key → a row about people and devices; what rows say is for package people
//	events     number → what happened at the doors, with the hash of the event before
//
// The edits, documents and revisions can be rebuilt from the log. One edit is one
// transaction over all buckets, on disk (fsync) before it is answered.
//
// # How a change in the file is noticed
//
// Every value is stored behind its own SHA-256, which covers its bucket and
// its key, so a value that rotted or that was moved is an error and never
// served. Records of the log also hold the hash of the record before them, so
// that nothing inside the log can be changed, left out or put in without
// every later hash failing. A chain cannot show that its newest end was cut
// off together with the head in meta; devices remember the head they saw.
//
// # When a commit fails
//
// An error from a commit does not mean that nothing was kept: with a fault in
// the last fsync the change can be there afterwards. So the outcome is
// unknown (edits.ErrOutcomeUnknown), the store serves nothing more
// (edits.ErrStopped), and the program ends and starts again. Sending the same
// edit again then yields applied or already applied.
//
// # Caveats
//
// Slices out of the database die with the transaction; everything this
// package returns is a copy. The data directory must be on a local disk: file
// locks and fsync mean little on a network share.
package store
