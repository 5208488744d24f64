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
	usage:   "-data DIR -to FILE [-addr ADDRESS] [-origin https://NAME] [-tls-cert FILE]",
	example: "sideport backup -data /var/lib/sideport -to /mnt/backup/sideport-2027-03-31.db",
	run:     backup,
}

func backup(op *operator, c command, args []string) error {
	fs := op.flags(c)
	dir := fs.String("data", "", "data `DIR`")
	to := fs.String("to", "", "the new `FILE`; an existing one is never replaced")
	server := askFlags(fs, ", used when it is running")
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
		return backupByServer(*server, *dir, *to)
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
func backupByServer(server asked, dir, to string) error {
	name := make([]byte, 8)
	store.Random(name)
	written, err := askForBackup(server, dir, "for-command-"+hex.EncodeToString(name)+".db")
	if err != nil {
		return err
	}
	here := filepath.Join(dir, backupDir, filepath.Base(written.Path))
	if _, err := os.Lstat(here); err != nil {
		return fmt.Errorf("the server at %s keeps its data elsewhere: check -data and -addr", server.at())
	}
	err = store.Copy(here, to)
	return errors.Join(copyWords(to, err), os.Remove(here))
}

// askForBackup shows the server the word that it has written into its data
// directory: who can read that may copy the data.
func askForBackup(server asked, dir, name string) (api.Backup, error) {
	var written api.Backup
	body, err := json.Marshal(map[string]string{"name": name})
	if err != nil {
		return written, err
	}
	request, err := http.NewRequest(http.MethodPost, server.base()+"/api/v1/backup", bytes.NewReader(body))
	if err != nil {
		return written, misused("-addr %q is not an address: write it like 127.0.0.1:8080", server.addr)
	}
	word, err := os.ReadFile(filepath.Join(dir, operatorFile))
	if err != nil {
		return written, fmt.Errorf("cannot read %s, with which the running server knows its operator: use the account that the server runs as, or stop the server", filepath.Join(dir, operatorFile))
	}
	request.Header.Set("Content-Type", "application/json")
	request.Header.Set("Sideport-Request", "1")
	request.Header.Set("Sideport-Operator", string(word))
	client, err := server.client(serverWait)
	if err != nil {
		return written, err
	}
	answer, err := client.Do(request)
	if err != nil {
		return written, fmt.Errorf("the data are in use and no server answers at %s: give its address with -addr", server.at())
	}
	defer answer.Body.Close()
	return backupAnswer(server, answer)
}

func backupAnswer(server asked, answer *http.Response) (api.Backup, error) {
	var written api.Backup
	b, err := io.ReadAll(io.LimitReader(answer.Body, 1<<20))
	if err != nil {
		return written, fmt.Errorf("the server at %s broke off: try again", server.at())
	}
	if answer.StatusCode != http.StatusOK {
		var refused api.Error
		if json.Unmarshal(b, &refused) != nil || refused.Text == "" {
			return written, fmt.Errorf("what answers at %s is not a sideport server: check -addr", server.at())
		}
		return written, fmt.Errorf("the server at %s wrote no backup: %s", server.at(), refused.Text)
	}
	if err := json.Unmarshal(b, &written); err != nil || written.Path == "" {
		return written, fmt.Errorf("what answers at %s is not a sideport server: check -addr", server.at())
	}
	return written, nil
}
