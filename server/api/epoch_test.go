package api_test

import (
	"net/http"
	"strings"
	"testing"

	"sideport/server/edits"
	"sideport/server/store/storetest"
)

// A device that has not noticed a restore names revisions by numbers that may
// belong to others by now. Its push is refused before anything is taken.
func TestPushOfAnotherEpochIsRefused(t *testing.T) {
	s := start(t)
	first := s.push(s.edit(1, edits.Card, "anna-chop", 0, storetest.Card()))
	body := s.pushBody(s.edit(2, edits.Card, "anna-chop", 1, storetest.Card()))
	in := func(epoch string) string {
		return strings.Replace(body, `"protocol"`, `"epoch":"`+epoch+`","protocol"`, 1)
	}
	if got := s.do(http.MethodPost, "/api/v1/edits", in(strings.Repeat("0", 32))); got.status != http.StatusConflict || got.code() != "other epoch" {
		t.Errorf("another epoch: %d %s", got.status, got.body)
	}
	if info, err := s.store.Info(); err != nil || info.Seq != begun+1 {
		t.Errorf("something was taken: %+v, %v", info, err)
	}
	if got := s.do(http.MethodPost, "/api/v1/edits", in(first.Epoch)); got.status != http.StatusOK {
		t.Errorf("the same epoch: %d %s", got.status, got.body)
	}
}
