package main

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"sideport/server/api"
	"sideport/server/store"
)

var backupCommand = command{
	name:    "backup",
	summary: "copy the data to a new, verified file, whether the server runs or not",
	usage:   "-data DIR -to FILE [-addr ADDRESS]",
	example: "sideport backup -data /var/lib/sideport -to /mnt/backup/sideport-2027-03-31.db",
	run:     backup,
}

func backup(op *operator, c command, args []string) error {
	fs := op.flags(c)
	dir := fs.String("data", "", "data `DIR`")
	to := fs.String("to", "", "the new `FILE`; an existing one is never replaced")
	addr := fs.String("addr", "127.0.0.1:8080", "`ADDRESS` of the server, used when it is running")
	if err := op.parseAlone(c, fs, args); err != nil {
		return err
	}
	if err := errors.Join(needs(c, "data", *dir), needs(c, "to", *to)); err != nil {
		return err
	}
	if wrong := api.NotPortable(filepath.Base(*to)); wrong != "" {
		return misused("the name of %q %s: choose another -to", *to, wrong)
	}
	if _, err := os.Lstat(*to); err == nil {
		return misused("%s exists already and is not replaced: choose another -to", *to)
	}
	s, err := store.OpenReadOnly(*dir)
	if errors.Is(err, store.ErrLocked) {
		return backupByServer(*addr, *dir, *to)
	} else if err != nil {
		return openWords(*dir, err)
	}
	_, err = s.Backup(*to)
	return errors.Join(copyWords(*to, err), s.Close())
}

func copyWords(to string, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, store.ErrNotWhole):
		return fmt.Errorf("the copy does not pass its checks, so it was not kept: run sideport verify: %w", err)
	}
	return fmt.Errorf("cannot write the backup %s: %w", to, err)
}

// serverWait bounds a backup by the running server.
const serverWait = 5 * time.Minute

// backupByServer asks the running server, which alone may read its data, and moves what it wrote.
func backupByServer(addr, dir, to string) error {
	name := make([]byte, 8)
	store.Random(name)
	written, err := askForBackup(addr, "for-command-"+hex.EncodeToString(name)+".db")
	if err != nil {
		return err
	}
	here := filepath.Join(dir, backupDir, filepath.Base(written.Path))
	if _, err := os.Lstat(here); err != nil {
		return fmt.Errorf("the server at %s keeps its data elsewhere: check -data and -addr", addr)
	}
	err = store.Copy(here, to)
	return errors.Join(copyWords(to, err), os.Remove(here))
}

func askForBackup(addr, name string) (api.Backup, error) {
	var written api.Backup
	body, err := json.Marshal(map[string]string{"name": name})
	if err != nil {
		return written, err
	}
	request, err := http.NewRequest(http.MethodPost, "http://"+addr+"/api/v1/backup", bytes.NewReader(body))
	if err != nil {
		return written, misused("-addr %q is not an address: write it like 127.0.0.1:8080", addr)
	}
	request.Header.Set("Content-Type", "application/json")
	request.Header.Set("Sideport-Request", "1")
	answer, err := (&http.Client{Timeout: serverWait}).Do(request)
	if err != nil {
		return written, fmt.Errorf("the data are in use and no server answers at %s: give its address with -addr", addr)
	}
	defer answer.Body.Close()
	b, err := io.ReadAll(io.LimitReader(answer.Body, 1<<20))
	if err != nil {
		return written, fmt.Errorf("the server at %s broke off: try again", addr)
	}
	if answer.StatusCode != http.StatusOK {
		var refused api.Error
		if json.Unmarshal(b, &refused) != nil || refused.Text == "" {
			return written, fmt.Errorf("what answers at %s is not a sideport server: check -addr", addr)
		}
		return written, fmt.Errorf("the server at %s wrote no backup: %s", addr, refused.Text)
	}
	if err := json.Unmarshal(b, &written); err != nil || written.Path == "" {
		return written, fmt.Errorf("what answers at %s is not a sideport server: check -addr", addr)
	}
	return written, nil
}
