package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"

	"sideport/server/edits"
)

// hashSize is the length of the hash in front of every value.
const hashSize = sha256.Size

// seal puts the hash of bucket, key and payload in front of the payload.
func seal(bucket, key, payload []byte) []byte {
	sum := hashOf(bucket, key, payload)
	return append(sum[:], payload...)
}

// unseal returns a copy of the payload, or ErrDamaged.
func unseal(bucket, key, value []byte) ([]byte, error) {
	if len(value) < hashSize {
		return nil, fmt.Errorf("%w: %s %q is cut short", edits.ErrDamaged, bucket, key)
	}
	sum := hashOf(bucket, key, value[hashSize:])
	if !bytes.Equal(sum[:], value[:hashSize]) {
		return nil, fmt.Errorf("%w: %s %q does not match its hash", edits.ErrDamaged, bucket, key)
	}
	return bytes.Clone(value[hashSize:]), nil
}

// hashOf hashes the three parts with their lengths, so that no two different triples run together the same way.
func hashOf(bucket, key, payload []byte) [hashSize]byte {
	h := sha256.New()
	for _, part := range [][]byte{bucket, key, payload} {
		var n [8]byte
		binary.BigEndian.PutUint64(n[:], uint64(len(part)))
		h.Write(n[:])
		h.Write(part)
	}
	var sum [hashSize]byte
	h.Sum(sum[:0])
	return sum
}

func seqKey(n edits.Seq) []byte { return binary.BigEndian.AppendUint64(nil, uint64(n)) }

func seqOf(key []byte) edits.Seq { return edits.Seq(binary.BigEndian.Uint64(key)) }

// docKey is kind and id with a zero byte between; neither can hold one.
func docKey(kind edits.Kind, id string) []byte { return []byte(string(kind) + "\x00" + id) }

func revKey(kind edits.Kind, id string, rev int) []byte {
	return binary.BigEndian.AppendUint64(append(docKey(kind, id), 0), uint64(rev))
}
