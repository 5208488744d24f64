package webdriver

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"
)

// window is a window whose page hears of a new size late, as in a browser that is short of time: it answers the two
// commands of W3C WebDriver that Resize needs.
type window struct {
	mu     sync.Mutex
	frame  [2]int        // what the window is larger than its page
	late   time.Duration // until the page hears of a new size
	deaf   int           // so many commands come before there is a window
	widest int           // as far as the screen allows; 0 is no bound
	inside [2]int
}

func (w *window) ServeHTTP(to http.ResponseWriter, r *http.Request) {
	var ask struct{ Width, Height int }
	json.NewDecoder(r.Body).Decode(&ask)
	w.mu.Lock()
	defer w.mu.Unlock()
	if !strings.HasSuffix(r.URL.Path, "/window/rect") {
		text, _ := json.Marshal(fmt.Sprintf(`{"value":[%d,%d]}`, w.inside[0], w.inside[1]))
		fmt.Fprintf(to, `{"value":%s}`, text)
		return
	}
	fmt.Fprint(to, `{"value":null}`)
	if w.deaf > 0 {
		w.deaf--
		return
	}
	time.AfterFunc(w.late, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		if w.widest > 0 {
			ask.Width = min(ask.Width, w.widest)
		}
		w.inside = [2]int{ask.Width - w.frame[0], ask.Height - w.frame[1]}
	})
}

// A page that is asked for its size too early says the size of the window before; a window made to measure from that would
// be as narrow as a phone.
func TestResizeWaitsForThePage(t *testing.T) {
	for name, w := range map[string]*window{
		"at once":                           {inside: [2]int{820, 1180}},
		"at once, from another window":      {inside: [2]int{1024, 700}},
		"late, and with a frame":            {inside: [2]int{1024, 700}, frame: [2]int{10, 68}, late: 700 * time.Millisecond},
		"after a window that was not there": {inside: [2]int{1024, 700}, deaf: 1},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			err := w.resized(t, 20*time.Second)
			time.Sleep(2 * w.late) // nothing may come after
			w.mu.Lock()
			defer w.mu.Unlock()
			if err != nil || w.inside != [2]int{820, 1180} {
				t.Errorf("the page is %v large, want 820 × 1180 (%v)", w.inside, err)
			}
		})
	}
}

func TestResizeSaysWhatItCannot(t *testing.T) {
	small := &window{inside: [2]int{600, 700}, widest: 600}
	err := small.resized(t, time.Second)
	if want := "its page is 600 × 1180"; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("on a screen too small the error is %v, want one that says %q", err, want)
	}
}

func (w *window) resized(t *testing.T, limit time.Duration) error {
	driver := httptest.NewServer(w)
	t.Cleanup(driver.Close)
	return (&classic{driver.URL + "/session/one"}).Resize(limit, 820, 1180)
}
