package engines

import (
	"bytes"
	"image"
	"image/png"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"sideport/web/e2e/engines/webdriver"
	"sideport/web/e2e/harness"
)

// handsPage counts presses and has a field.
const handsPage = `<!doctype html><meta charset="utf-8"><title>Hands</title>
<button style="position:absolute;left:200px;top:300px;width:100px;height:60px">Press</button><input value="before">
<script>presses = []; document.querySelector("button").addEventListener("click", e => presses.push(e.isTrusted))</script>`

// The journeys are worth as much as the hands they have: both protocols must do in every engine what they are asked.
func TestHands(t *testing.T) {
	page := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		io.WriteString(w, handsPage)
	}))
	t.Cleanup(page.Close)
	everyEngine(t, func(t *testing.T, e engine) {
		h := hands{t, e.ready(t, t.TempDir())()}
		t.Cleanup(func() { h.s.Close() })
		h.must(h.s.Resize(harness.Patience, width, height))
		h.must(h.s.Go(harness.Patience, page.URL))
		h.evaluates()
		h.presses()
		h.types()
		h.takesPicture()
		h.begins(page.URL)
	})
}

type hands struct {
	t *testing.T
	s webdriver.Session
}

func (h hands) must(err error) {
	h.t.Helper()
	if err != nil {
		h.t.Fatal(err)
	}
}

// seen is the value of an expression of the page.
func seen[T any](h hands, expression string) T {
	h.t.Helper()
	var v T
	h.must(h.s.Eval(harness.Patience, expression, &v))
	return v
}

func (h hands) evaluates() {
	h.t.Helper()
	if got := seen[[]int](h, "[innerWidth, innerHeight]"); !slices.Equal(got, []int{width, height}) {
		h.t.Errorf("the page is %d large, want %d × %d", got, width, height)
	}
	if got := seen[string](h, `new Promise(done => setTimeout(() => done("“late”"), 20))`); got != "“late”" {
		h.t.Errorf("a promise gave %q", got)
	}
	if got := seen[*int](h, "undefined"); got != nil {
		h.t.Errorf("nothing at all gave %d", *got)
	}
	for _, wrong := range []string{`Promise.reject(new Error("no such thing"))`, `(() => { throw new Error("no such thing") })()`} {
		if err := h.s.Eval(harness.Patience, wrong, new(any)); err == nil || !strings.Contains(err.Error(), "no such thing") {
			h.t.Errorf("%s gave the error %v", wrong, err)
		}
	}
	if err := h.s.Eval(harness.Patience, "1 +", new(any)); err == nil {
		h.t.Error("half an expression gave no error")
	}
	began := time.Now()
	if err := h.s.Eval(300*time.Millisecond, `new Promise(done => setTimeout(done, 3000))`, new(any)); err == nil {
		h.t.Errorf("a script of 3 s gave no error after %s", time.Since(began))
	}
}

// presses are those of a person: the standard of the DOM calls events trusted that no script made.
func (h hands) presses() {
	h.t.Helper()
	h.must(h.s.Press(harness.Patience, 250.4, 329.6))
	h.must(h.s.Press(harness.Patience, 250, 370)) // below it
	if got := seen[[]bool](h, "presses"); !slices.Equal(got, []bool{true}) {
		h.t.Errorf("one press on the button and one beside it: %v", got)
	}
}

func (h hands) types() {
	h.t.Helper()
	const words = "5 µL, “Ünit”"
	seen[any](h, `document.querySelector("input").select()`)
	h.must(h.s.Type(harness.Patience, words))
	if got := seen[string](h, `document.querySelector("input").value`); got != words {
		h.t.Errorf("the field holds %q, want %q", got, words)
	}
}

func (h hands) takesPicture() {
	h.t.Helper()
	picture, err := h.s.Picture(harness.Patience)
	h.must(err)
	found, err := png.Decode(bytes.NewReader(picture))
	h.must(err)
	if size := found.Bounds().Size(); size != image.Pt(width, height) {
		h.t.Errorf("the picture is %s, want %d × %d", size, width, height)
	}
	if ground, button := found.At(100, 800), found.At(202, 330); ground == button {
		h.t.Errorf("the button has the colour of the page, %v: nothing is in the picture", ground)
	}
}

// begins opens another window: what the first alone had is gone, what was stored is not.
func (h hands) begins(url string) {
	h.t.Helper()
	seen[any](h, `(sessionStorage.setItem("of the window", "yes"), localStorage.setItem("stored", "yes"))`)
	h.must(h.s.Afresh(harness.Patience))
	h.must(h.s.Go(harness.Patience, url))
	if got := seen[[]string](h, `[...Object.keys(sessionStorage), ...Object.keys(localStorage)]`); !slices.Equal(got, []string{"stored"}) {
		h.t.Errorf("the other window has %q, want what was stored alone", got)
	}
}
