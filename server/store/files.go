package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// writeThenName fills a temporary file beside the target, brings it to disk
// and only then gives it its name: a file with the name is always whole.
// It never replaces a file.
func writeThenName(target string, fill func(temp string) error) error {
	temp := target + ".part"
	if err := os.Remove(temp); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("clear an unfinished file: %w", err)
	}
	if err := fill(temp); err != nil {
		return errors.Join(err, os.RemoveAll(temp))
	}
	if err := syncPath(temp); err != nil {
		return err
	}
	if _, err := os.Lstat(target); !errors.Is(err, fs.ErrNotExist) {
		return errors.Join(fmt.Errorf("%w: %s", ErrExists, target), os.Remove(temp))
	}
	if err := os.Rename(temp, target); err != nil {
		return fmt.Errorf("name %s: %w", target, err)
	}
	return syncPath(filepath.Dir(target))
}

// syncPath brings a file or a directory to disk.
func syncPath(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("open %s: %w", path, err)
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("bring %s to disk: %w", path, err)
	}
	return nil
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return fmt.Errorf("open %s: %w", from, err)
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return fmt.Errorf("create %s: %w", to, err)
	}
	_, err = io.Copy(out, in)
	if err := errors.Join(err, out.Sync(), out.Close()); err != nil {
		return fmt.Errorf("copy %s to %s: %w", from, to, err)
	}
	return nil
}
