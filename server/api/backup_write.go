package api

import (
	"strings"

	"github.com/gofiber/fiber/v2"

	"sideport/server/people"
)

// backupWrite writes a verified copy of the data into the server's own backup directory.
func (a *API) backupWrite(c *fiber.Ctx) error {
	b, err := ownBody(c)
	if err != nil {
		return err
	}
	name, err := decodeBackup(b)
	if err != nil {
		return err
	}
	if !a.backing.TryLock() {
		return &Error{Code: Busy, Text: "Another backup is being written. Try again when it is done."}
	}
	defer a.backing.Unlock()
	written, err := a.Backup(name)
	if err != nil {
		return err
	}
	if err := a.note(c, people.BackupMade, name); err != nil {
		return err
	}
	return send(c, written)
}

func decodeBackup(b []byte) (name string, err error) {
	var request struct {
		Name string `json:"name"`
	}
	if err := decodeBody(b, &request); err != nil {
		return "", err
	}
	if !plainName(request.Name) {
		return "", badRequest("A backup's name is 1 to 80 of a to z, 0 to 9, hyphen and full stop, and begins with a letter or a digit.")
	}
	if wrong := NotPortable(request.Name); wrong != "" {
		return "", badRequest("The backup's name " + wrong + ". Choose another name.")
	}
	return request.Name, nil
}

// plainName keeps a name inside the backup directory on every system.
func plainName(s string) bool {
	if s == "" || len(s) > 80 || s[0] == '.' || s[0] == '-' || strings.HasSuffix(s, ".part") || strings.HasSuffix(s, ".") {
		return false
	}
	for i := 0; i < len(s); i++ {
		c := s[i]
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' && c != '.' {
			return false
		}
	}
	return true
}

// NotPortable says why a file's name, without its directory, would not come
// through a copy to another system, or "". The names of devices are those of
// Microsoft's page "Naming Files, Paths, and Namespaces", with any extension.
func NotPortable(name string) string {
	stem, _, _ := strings.Cut(strings.ToLower(name), ".")
	stem = strings.TrimRight(stem, " ")
	numbered := len(stem) == 4 && (strings.HasPrefix(stem, "com") || strings.HasPrefix(stem, "lpt")) && stem[3] >= '1' && stem[3] <= '9'
	switch {
	case numbered, stem == "con", stem == "prn", stem == "aux", stem == "nul":
		return "is one that some systems keep for a device"
	case strings.HasSuffix(name, "."), strings.HasSuffix(name, " "):
		return "ends in a full stop or a space, which some systems drop"
	}
	return ""
}
