package people

import (
	"encoding/json"

	"sideport/server/edits"
)

// Vault is where the log and everything about people and devices are kept. It
// returns the errors of package edits.
type Vault interface {
	// Update runs a writing transaction: when it returns without an error everything is on disk.
	Update(func(Tx) error) error
	View(func(Tx) error) error
	ReadOnly() bool
}

// Tx is one transaction over the log, the tables of this package and the chain of events.
type Tx interface {
	edits.Log
	Info() (edits.Info, error)
	// Record returns an entry of the log, its hash and the hash of the one before.
	Record(edits.Seq) (e edits.Entry, hash, prev string, err error)
	Documents() ([]edits.Document, error)

	// Row reads a row of a table, Rows walks through those whose key begins with prefix, in order of keys.
	Row(table, key string, into any) (bool, error)
	Rows(table, prefix string, each func(key string, read func(into any) error) error) error
	PutRow(table, key string, row any) error
	DeleteRow(table, key string) error

	// EventHead says where the chain of events stands, AppendEvent puts one at
	// place seq, the next, and Event reads one with its hash and the hash of the one before.
	EventHead() (seq uint64, hash string, err error)
	AppendEvent(seq uint64, event any) error
	Event(seq uint64) (event json.RawMessage, hash, prev string, err error)
}
