package cards

import "strings"

// keyLimit keeps keys short enough to read in a table.
const keyLimit = 60

// Slug makes a key from a name: lower-case ASCII letters and digits, everything else a single hyphen.
// A name without any such character gives "".
func Slug(name string) Key {
	var b strings.Builder
	hyphen := false
	for _, r := range strings.ToLower(name) {
		if (r >= 'a' && r <= 'z') || (r >= '0' && r <= '9') {
			if hyphen && b.Len() > 0 {
				b.WriteByte('-')
			}
			b.WriteRune(r)
			hyphen = false
		} else if r != '\'' && r != '’' {
			hyphen = true
		}
		if b.Len() >= keyLimit {
			break
		}
	}
	key := b.String()
	if len(key) > keyLimit {
		key = key[:keyLimit]
	}
	return Key(strings.TrimRight(key, "-"))
}

// ValidKey reports whether s is a key, a card id or a person id: 1 to 60 of
// a-z, 0-9 and single inner hyphens.
func ValidKey(s string) bool {
	if s == "" || len(s) > keyLimit || s[0] == '-' || s[len(s)-1] == '-' {
		return false
	}
	for i := 0; i < len(s); i++ {
		c := s[i]
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
		case c == '-' && s[i-1] != '-':
		default:
			return false
		}
	}
	return true
}
