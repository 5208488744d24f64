package axe

import (
	"crypto/sha256"
	"encoding/hex"
	"testing"
)

// The hash of axe.min.js in the published package 4.14.1.
const published = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c"

func TestScriptIsAsPublished(t *testing.T) {
	sum := sha256.Sum256([]byte(Script))
	if got := hex.EncodeToString(sum[:]); got != published {
		t.Errorf("axe.min.js has the hash %s, the published file has %s", got, published)
	}
}
