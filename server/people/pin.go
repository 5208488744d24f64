package people

import (
	"crypto/subtle"
	"time"

	"golang.org/x/crypto/argon2"

	"sideport/cards"
)

// pinDigits is the length of a PIN. The server draws it: chosen ones are guessed.
const pinDigits = 6

// Cost of a hash: 19 MiB, two passes, one lane (OWASP Password Storage Cheat
// Sheet, Argon2id, its second setting). Every hash is kept with its own.
const (
	pinMemory  = 19 << 10 // KiB
	pinPasses  = 2
	pinLanes   = 1
	pinHashLen = 32
	pinSaltLen = 16
)

// pinRow is a PIN as it is kept.
type pinRow struct {
	Hash   []byte         `json:"hash"`
	Salt   []byte         `json:"salt"`
	Memory uint32         `json:"memory"`
	Passes uint32         `json:"passes"`
	Lanes  uint8          `json:"lanes"`
	Issued time.Time      `json:"issued"`
	By     cards.PersonID `json:"by,omitempty"`
}

func (p pinRow) of(pin string) []byte {
	return argon2.IDKey([]byte(pin), p.Salt, p.Passes, p.Memory, p.Lanes, pinHashLen)
}

func (p pinRow) is(pin string) bool { return subtle.ConstantTimeCompare(p.of(pin), p.Hash) == 1 }

// hashPIN makes a row of a PIN. It takes tens of milliseconds and 19 MiB.
func (d *Doors) hashPIN(pin string, by cards.PersonID) pinRow {
	row := pinRow{Salt: d.bytes(pinSaltLen), Memory: pinMemory, Passes: pinPasses, Lanes: pinLanes, Issued: d.Now(), By: by}
	row.Hash = row.of(pin)
	return row
}

// nobody is what a PIN is compared with where there is none: it takes as long and fits nothing.
var nobody = pinRow{Hash: make([]byte, pinHashLen), Salt: make([]byte, pinSaltLen), Memory: pinMemory, Passes: pinPasses, Lanes: pinLanes}

// drawPIN draws six digits, each as likely as any other.
func (d *Doors) drawPIN() string {
	digits := make([]byte, 0, pinDigits)
	for len(digits) < pinDigits {
		if b := d.bytes(1)[0]; b < 250 { // 250 is the last multiple of ten
			digits = append(digits, '0'+b%10)
		}
	}
	return string(digits)
}

// Bounds of hashing at one time: each takes memory and a core.
const (
	maxHashing = 2
	maxQueued  = 16
)

// queue lets few at a time through and sends away whoever would wait long.
type queue struct{ inside, waiting chan struct{} }

func newQueue() queue {
	return queue{make(chan struct{}, maxHashing), make(chan struct{}, maxHashing+maxQueued)}
}

func (q queue) through(do func() error) error {
	select {
	case q.waiting <- struct{}{}:
	default:
		return &Refusal{Code: Busy, Text: "Many people are signing in. Try again in a moment.", Wait: time.Second}
	}
	defer func() { <-q.waiting }()
	q.inside <- struct{}{}
	defer func() { <-q.inside }()
	return do()
}
