package battery_test

import (
	"fmt"
	"net/http"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

// TestFiftyDevicesAtOnce is row B13: fifty devices save as fast as they can,
// live streams are refused beyond their number with "busy", and no edit is lost.
func TestFiftyDevicesAtOnce(t *testing.T) {
	const devices = 50
	seconds := size(t, 3, 600)
	dir := filepath.Join(t.TempDir(), "data")
	_, url := serverAt(t, dir)
	var mu sync.Mutex
	var took []time.Duration
	var kept []edits.Edit
	end := time.Now().Add(time.Duration(seconds) * time.Second)
	var wg sync.WaitGroup
	for id := range devices {
		wg.Go(func() {
			doc := fmt.Sprintf("person-%d", id)
			for n := 0; time.Now().Before(end); n++ {
				e := personEdit(id, doc, n)
				began := time.Now()
				r, err := pushUntilKept(url, e, time.Minute)
				if err != nil || r.Outcome != edits.Applied {
					t.Errorf("%s: %+v, %v", doc, r, err)
					return
				}
				mu.Lock()
				took, kept = append(took, time.Since(began)), append(kept, e)
				mu.Unlock()
			}
		})
	}
	streams := openStreams(url, devices+30)
	wg.Wait()
	wantKept(t, url, kept)
	if streams.busy == 0 || streams.opened == 0 {
		t.Errorf("%d streams opened, %d were told to wait: the limit was not tested", streams.opened, streams.busy)
	}
	slices.Sort(took)
	t.Logf("%d edits of %d devices in %d s, all kept; saving took %s in the middle, %s at 99 of 100; %d live streams, %d told to come later",
		len(kept), devices, seconds, took[len(took)/2].Round(time.Millisecond), took[len(took)*99/100].Round(time.Millisecond), streams.opened, streams.busy)
	streams.close()
	if report, err := store.OpenReadOnly(dir); err == nil {
		t.Errorf("the server let go of its data: %v", report.Close())
	}
}

// personEdit is the n-th edit of a document that one writer has to itself.
func personEdit(writer int, doc string, n int) edits.Edit {
	e := entry(0, edits.Person, doc, n, cards.Person{ID: cards.PersonID(doc), Name: fmt.Sprintf("Name %d", n), Roles: []cards.PersonRole{cards.PersonScrub}})
	e.ID = storetest.ID((writer+1)*1_000_000 + n)
	return e
}

// streams are live streams that were tried.
type streams struct {
	opened, busy int
	open         []*http.Response
}

func openStreams(url string, n int) *streams {
	s := &streams{}
	for range n {
		r, err := http.NewRequest(http.MethodGet, url+"live", nil)
		if err != nil {
			continue
		}
		res, err := http.DefaultClient.Do(as(r, storetest.DeviceID("phone")))
		if err != nil {
			continue
		}
		s.open = append(s.open, res)
		switch res.StatusCode {
		case http.StatusOK:
			s.opened++
		case http.StatusTooManyRequests:
			if res.Header.Get("Retry-After") != "" {
				s.busy++
			}
		}
	}
	return s
}

func (s *streams) close() {
	for _, res := range s.open {
		_ = res.Body.Close()
	}
}
