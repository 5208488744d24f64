package store

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"

	"sideport/server/edits"
)

// FileName is the database inside a data directory.
const FileName = "sideport.db"

// Errors of opening a data directory.
var (
	ErrLocked  = errors.New("another process holds the data")
	ErrNoData  = errors.New("there is no data here")
	ErrExists  = errors.New("there is data here already")
	ErrSchema  = errors.New("the data were written by a newer version")
	ErrInvalid = errors.New("the file is not a valid database")
)

// lockWait is how long opening waits for another process to let go.
const lockWait = time.Second

// Store is an open data directory.
type Store struct {
	db       *bbolt.DB
	path     string
	readOnly bool
	commit   func(*bbolt.Tx) error

	spoilt atomic.Bool // a damaged document was met

	mu      sync.Mutex
	stopped error
	failed  chan struct{}
}

// Create makes the database file of a new unit, complete and on disk before
// anything is written into it: a file torn while it is being made would never
// open again. It returns ErrExists where there is one.
func Create(dir string, random func([]byte)) error {
	if err := makeDir(dir); err != nil {
		return err
	}
	target := filepath.Join(dir, FileName)
	if _, err := os.Stat(target); err == nil {
		return fmt.Errorf("%w: %s", ErrExists, target)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("look for the database: %w", err)
	}
	return writeThenName(target, func(temp string) error {
		db, err := openBolt(temp, false)
		if err != nil {
			return err
		}
		return errors.Join(db.Update(func(tx *bbolt.Tx) error { return layOut(tx, newEpoch(random)) }), db.Close())
	})
}

// newEpoch is 32 hex digits nobody had before.
func newEpoch(random func([]byte)) string {
	b := make([]byte, 16)
	random(b)
	return hex.EncodeToString(b)
}

// Random fills b from the system's source.
func Random(b []byte) {
	if _, err := rand.Read(b); err != nil {
		panic("store: the system gives no random bytes: " + err.Error())
	}
}

// Open opens a data directory to read and write. It waits a moment for another process and then returns ErrLocked.
func Open(dir string) (*Store, error) { return open(filepath.Join(dir, FileName), false) }

// OpenReadOnly opens a data directory to read alone. Edits return ErrReadOnly.
func OpenReadOnly(dir string) (*Store, error) { return open(filepath.Join(dir, FileName), true) }

// OpenFile opens one database file, such as a backup, to read alone.
func OpenFile(path string) (*Store, error) { return open(path, true) }

func open(path string, readOnly bool) (*Store, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%w: %s", ErrNoData, path)
	}
	db, err := openBolt(path, readOnly)
	if err != nil {
		return nil, err
	}
	s := &Store{db: db, path: path, readOnly: readOnly, commit: (*bbolt.Tx).Commit, failed: make(chan struct{})}
	err = s.checkSchema()
	if err == nil && !readOnly {
		err = s.raiseSchema()
	}
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return s, nil
}

func openBolt(path string, readOnly bool) (*bbolt.DB, error) {
	options := *bbolt.DefaultOptions
	options.Timeout = lockWait
	options.ReadOnly = readOnly
	options.FreelistType = bbolt.FreelistMapType
	options.NoFreelistSync = false // an honest free list at open is worth one page a commit
	db, err := openSafely(path, &options)
	switch {
	case errors.Is(err, berrors.ErrTimeout):
		return nil, fmt.Errorf("%w: %s", ErrLocked, path)
	case errors.Is(err, berrors.ErrInvalid), errors.Is(err, berrors.ErrChecksum), errors.Is(err, berrors.ErrVersionMismatch):
		return nil, fmt.Errorf("%w: %s: %w", ErrInvalid, path, err)
	case err != nil:
		return nil, fmt.Errorf("open %s: %w", path, err)
	}
	return db, nil
}

// openSafely turns the engine's panics on a file that is not one of its own into an error.
func openSafely(path string, options *bbolt.Options) (db *bbolt.DB, err error) {
	defer func() {
		if r := recover(); r != nil {
			db, err = nil, fmt.Errorf("%w: %v", berrors.ErrInvalid, r)
		}
	}()
	return bbolt.Open(path, 0o600, options)
}

// Failed is closed when a commit has failed: the program must end.
func (s *Store) Failed() <-chan struct{} { return s.failed }

// ReadOnly reports whether edits are refused.
func (s *Store) ReadOnly() bool { return s.readOnly }

// Close ends all use. It waits for transactions that are under way.
func (s *Store) Close() error {
	s.stop(edits.ErrStopped)
	if err := s.db.Close(); err != nil {
		return fmt.Errorf("close %s: %w", s.path, err)
	}
	return nil
}

func (s *Store) stop(why error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.stopped == nil {
		s.stopped = why
	}
}

func (s *Store) alive() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.stopped
}

// Accept takes one edit in a transaction of its own. When it returns without
// an error the edit is on disk.
func (s *Store) Accept(now time.Time, e edits.Edit) (edits.Receipt, error) {
	var receipt edits.Receipt
	err := s.update(func(tx *Tx) (err error) {
		receipt, err = edits.Accept(tx, now, e)
		return err
	})
	return receipt, err
}

// Update runs a writing transaction, for several edits that are kept together
// or not at all. When it returns without an error they are on disk.
func (s *Store) Update(do func(*Tx) error) error { return s.update(do) }

func (s *Store) update(do func(*Tx) error) error {
	if err := s.alive(); err != nil {
		return err
	}
	if s.readOnly {
		return edits.ErrReadOnly
	}
	tx, err := s.db.Begin(true)
	if err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	// Rolling back after a commit does nothing; on a panic it lets go of the writer's lock.
	defer func() { _ = tx.Rollback() }()
	// The writer that held the lock before this one may have failed.
	if err := s.alive(); err != nil {
		return err
	}
	t := &Tx{tx: tx}
	if err := guarded(do, t); err != nil {
		return err
	}
	if !t.wrote {
		return nil
	}
	if err := s.commit(tx); err != nil {
		s.stop(edits.ErrStopped)
		close(s.failed)
		return fmt.Errorf("%w: %w", edits.ErrOutcomeUnknown, err)
	}
	return nil
}

// View runs a reading transaction. Nothing it hands out may be used afterwards unless it is a copy.
func (s *Store) View(do func(*Tx) error) error {
	if err := s.alive(); err != nil {
		return err
	}
	tx, err := s.db.Begin(false)
	if err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	defer func() { _ = tx.Rollback() }()
	return guarded(do, &Tx{tx: tx})
}
