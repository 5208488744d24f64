package people

import (
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base32"
	"encoding/base64"
	"encoding/hex"
	"strings"
	"time"
	"unicode/utf8"

	"sideport/cards"
)

const (
	codeLife  = 10 * time.Minute
	codeBytes = 5 // 40 bits: 8 characters
	maxCodes  = 50
)

// codeRow is a code that lets one device in. Its key is the hash of the code.
type codeRow struct {
	Name   string         `json:"name"`
	Shared bool           `json:"shared"`
	By     cards.PersonID `json:"by"`
	Until  time.Time      `json:"until"`
}

// crockford is Crockford's base 32: no I, L, O or U, so that nothing read aloud or copied by hand is mistaken.
var crockford = base32.NewEncoding("0123456789ABCDEFGHJKMNPQRSTVWXYZ").WithPadding(base32.NoPadding)

func (d *Doors) newCodeText() string { return codeText(d.bytes(codeBytes)) }

func codeText(b []byte) string {
	text := crockford.EncodeToString(b[:codeBytes])
	return text[:4] + "-" + text[4:]
}

// tidyCode undoes what people do to a code when they type it. "" is no code.
func tidyCode(typed string) string {
	if len(typed) > 40 {
		return ""
	}
	tidy := strings.NewReplacer("-", "", " ", "", "O", "0", "I", "1", "L", "1").Replace(strings.ToUpper(typed))
	if b, err := crockford.DecodeString(tidy); err != nil || len(b) != codeBytes {
		return ""
	}
	return tidy
}

// sameCode compares a typed code with one as it was shown.
func sameCode(typed, shown string) bool {
	tidy := tidyCode(typed)
	return shown != "" && tidy != "" && subtle.ConstantTimeCompare([]byte(tidy), []byte(tidyCode(shown))) == 1
}

func wrongCode() error {
	return refuse(WrongCode, "This code is not known, was used, or is older than ten minutes. Ask the unit lead for another.")
}

// hashSecret is how a random secret is kept. It is long, so no slow hash is needed.
func hashSecret(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}

// newSecret is 32 random bytes as text that a cookie can hold.
func (d *Doors) newSecret() string { return base64.RawURLEncoding.EncodeToString(d.bytes(32)) }

// NewCode makes a code that lets one device in.
func (d *Doors) NewCode(by Who, name string, shared bool) (Code, error) {
	name, err := deviceName(name)
	if err != nil {
		return Code{}, err
	}
	code := Code{Text: d.newCodeText(), Until: d.Now().Add(codeLife)}
	err = d.Store.Update(func(tx Tx) error {
		if err := leading(tx, by); err != nil {
			return err
		}
		if err := d.clearCodes(tx); err != nil {
			return err
		}
		row := codeRow{Name: name, Shared: shared, By: by.Person, Until: code.Until}
		if err := tx.PutRow(tableCodes, hashSecret(tidyCode(code.Text)), row); err != nil {
			return err
		}
		return d.write(tx, Event{What: CodeMade, Who: by.Person, Device: by.Device, Detail: name})
	})
	return code, err
}

// clearCodes removes codes that have run out and refuses more than anybody needs.
func (d *Doors) clearCodes(tx Tx) error {
	var over []string
	open := 0
	err := tx.Rows(tableCodes, "", func(key string, read func(any) error) error {
		var row codeRow
		if err := read(&row); err != nil {
			return err
		}
		if row.Until.After(d.Now()) {
			open++
		} else {
			over = append(over, key)
		}
		return nil
	})
	for _, key := range over {
		if err == nil {
			err = tx.DeleteRow(tableCodes, key)
		}
	}
	if err == nil && open >= maxCodes {
		err = refuse(NotAllowed, "Fifty codes are open already. Use one of them, or wait until they have run out.")
	}
	return err
}

// maxDeviceName is in characters: it is read on a button.
const maxDeviceName = 60

// deviceName tidies the name of a device.
func deviceName(name string) (string, error) {
	name = strings.TrimSpace(name)
	switch {
	case name == "":
		return "", refuse(BadRequest, "The device has no name. Write where it is used, such as “Theatre 2 tablet”.")
	case utf8.RuneCountInString(name) > maxDeviceName, !utf8.ValidString(name), strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }):
		return "", refuse(BadRequest, "The name of the device is longer than 60 characters or has a line break in it. Shorten it.")
	}
	return name, nil
}
