package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"go.etcd.io/bbolt"

	"sideport/server/edits"
)

// ErrNotWhole is returned for a copy that does not pass Verify. The text lists what is wrong.
var ErrNotWhole = errors.New("the copy does not pass its checks")

// Backup writes a copy of the data to a new file while everything goes on. A
// file with the name is always whole: it is on disk and has been verified
// before it gets the name. ErrExists: there is such a file already.
func (s *Store) Backup(target string) (Report, error) {
	if err := makeDir(filepath.Dir(target)); err != nil {
		return Report{}, err
	}
	var report Report
	err := writeThenName(target, func(temp string) error {
		if err := s.copyTo(temp); err != nil {
			return err
		}
		var err error
		report, err = VerifyFile(temp, Full)
		return err
	})
	return report, err
}

// copyTo streams one reading transaction into a file. The local disk takes it
// in moments; a long reading transaction would make the database grow.
func (s *Store) copyTo(path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return fmt.Errorf("create %s: %w", path, err)
	}
	err = s.View(func(tx *Tx) error {
		_, err := tx.tx.WriteTo(f)
		return err
	})
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("copy the data to %s: %w", path, err)
	}
	return nil
}

// VerifyFile verifies one database file and returns ErrNotWhole when something is wrong.
func VerifyFile(path string, depth Depth) (Report, error) {
	s, err := OpenFile(path)
	if err != nil {
		return Report{}, err
	}
	report, err := s.Verify(depth)
	if err := errors.Join(err, s.Close()); err != nil {
		return report, err
	}
	if len(report.Findings) > 0 {
		return report, fmt.Errorf("%w: %s: %s", ErrNotWhole, path, strings.Join(report.Findings, "; "))
	}
	return report, nil
}

// Restore makes a data directory out of a backup. The copy is verified before
// and after. It has a new epoch, so that every device reads everything again
// and no device takes a lost revision for a kept one. ErrExists: the directory
// holds data already.
func Restore(from, dir string, random func([]byte)) (Report, error) {
	if _, err := VerifyFile(from, Full); err != nil {
		return Report{}, err
	}
	if err := makeDir(dir); err != nil {
		return Report{}, err
	}
	target := filepath.Join(dir, FileName)
	if _, err := os.Lstat(target); !errors.Is(err, fs.ErrNotExist) {
		return Report{}, fmt.Errorf("%w: %s", ErrExists, target)
	}
	var report Report
	err := writeThenName(target, func(temp string) error {
		if err := copyFile(from, temp); err != nil {
			return err
		}
		if err := renewEpoch(temp, newEpoch(random)); err != nil {
			return err
		}
		var err error
		report, err = VerifyFile(temp, Full)
		return err
	})
	return report, err
}

func renewEpoch(path, epoch string) error {
	db, err := openBolt(path, false)
	if err != nil {
		return err
	}
	err = db.Update(func(tx *bbolt.Tx) error {
		t := &Tx{tx: tx}
		m, err := t.meta()
		if err != nil {
			return err
		}
		m.Epoch = epoch
		// Who was signed in when the copy was made must not be signed in again.
		return errors.Join(t.forget(Sessions), t.setMeta(m))
	})
	if err := errors.Join(err, db.Close()); err != nil {
		return fmt.Errorf("give %s a new epoch: %w", path, err)
	}
	return nil
}

// makeDir makes a directory and brings its name to disk.
func makeDir(dir string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("make %s: %w", dir, err)
	}
	return syncPath(filepath.Dir(filepath.Clean(dir)))
}

var _ edits.Log = (*Tx)(nil)

// Copy copies a database file that nobody writes to, such as a backup, to a
// new and verified file. ErrExists: there is such a file already.
func Copy(from, to string) error {
	if err := makeDir(filepath.Dir(to)); err != nil {
		return err
	}
	return writeThenName(to, func(temp string) error {
		if err := copyFile(from, temp); err != nil {
			return err
		}
		_, err := VerifyFile(temp, Full)
		return err
	})
}
