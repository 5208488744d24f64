package e2e

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// keptRecord is what the journeys compare of one record on the server.
type keptRecord struct {
	rev           int
	by            string
	What          string `json:"what"`
	Case          string `json:"case"`
	Pause         string `json:"pause"`
	Outcome       string `json:"outcome"`
	Reason        string `json:"reason"`
	Drill         string `json:"drill"`
	CardRevision  int    `json:"card_revision"`
	RulesRevision int    `json:"rules_revision"`
	Lines         []struct {
		Answer string `json:"answer"`
		Note   string `json:"note"`
		By     string `json:"by"`
		Stored string `json:"stored"`
		At     string `json:"at"`
	} `json:"lines"`
}

// records reads every record of the server.
func (s *server) records() []keptRecord {
	s.t.Helper()
	body, err := s.get("/api/v1/snapshot")
	if err != nil {
		s.t.Fatal(err)
	}
	var snapshot struct {
		Docs []struct {
			Kind    string
			Rev     int
			Body    json.RawMessage
			History []struct{ By string }
		}
	}
	if err := json.Unmarshal(body, &snapshot); err != nil {
		s.t.Fatal(err)
	}
	var out []keptRecord
	for _, d := range snapshot.Docs {
		if d.Kind != "record" {
			continue
		}
		r := keptRecord{rev: d.Rev, by: d.History[0].By}
		if err := json.Unmarshal(d.Body, &r); err != nil {
			s.t.Fatal(err)
		}
		out = append(out, r)
	}
	return out
}

// says how a record reads in one line.
func (r keptRecord) says() string {
	return strings.Join(slices.DeleteFunc([]string{r.What, r.Pause, r.Outcome, r.Reason, r.Drill}, func(s string) bool { return s == "" }), " ")
}

// opensPause goes to one pause of a case from anywhere.
func (b *tablet) opensPause(id, pause string) {
	b.t.Helper()
	b.open("/sheet/" + id + "/aloud?pause=" + strings.ReplaceAll(pause, " ", "%20"))
}

// readsOn answers every line that is left, each with what is offered for it, until the pause has ended.
func (b *tablet) readsOn() {
	b.t.Helper()
	b.readsOnWith(func() {})
}

// readsOnWith looks at every line, and again at one whose stored value is compared, before it is answered.
func (b *tablet) readsOnWith(look func()) {
	b.t.Helper()
	eventually(b.t, "the pause comes to its end", func() error {
		for range 40 { // presses; a pause has at most 14 lines
			text, err := b.text()
			switch {
			case err != nil:
				return err
			case strings.Contains(text, "Read this line aloud."):
				return nil
			case strings.Contains(text, "Is it the same as what was just said?"):
				look()
				err = b.tryTap("document", "Same")
			default:
				look()
				err = b.tryTap("document", "Answered")
			}
			if err != nil {
				return err
			}
			b.settle()
		}
		return errors.New("not yet")
	})
}

// A theatre without a network, without the core and with nobody chosen reads
// three pauses, is torn away from one, leaves a note from a drill and is
// closed. When the network is back all of it is on the server, each once.
func TestWhatIsReadAloudIsKept(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	id := b.firstSheet()
	b.installed()
	b.takeCoreAway()
	s.kill()
	b.reopen()
	b.expectComplaints("the core cannot start")

	b.opensPause(id, "sign in")
	b.tap("Start")
	b.readsOn()
	b.sees("Sign in complete")
	b.sees("The record of this pause is kept on this device.")
	b.screenshot("aloud-summary")

	b.opensPause(id, "time out")
	b.tap("Start")
	b.sees("Line 1 of")
	b.tapUntil("Not done, because…", "Why is it not done?")
	b.tapUntil("not here yet, somebody is fetching it", "Line 2 of")
	b.readsOn()
	b.sees("1 not done")

	b.opensPause(id, "lens check")
	b.tap("Start")
	b.readsOneLine()
	b.open("/") // torn away
	b.opensPause(id, "lens check")
	b.sees("This pause was interrupted")
	b.sees("Where it stands")
	b.screenshot("aloud-interrupted")
	b.tap("Start this pause again")
	b.sees("Line 1 of")
	b.readsOn()

	b.open("/sheet/" + id + "/if/posterior-capsule-torn")
	b.tap("Note for the debrief")
	b.tapUntil("It took too long to fetch something", "Note kept for the debrief.")

	b.reopen()
	b.open("/sheet/" + id + "/aloud")
	b.sees("1 not done")
	b.sees("put aside")
	b.sees("It took too long to fetch something")
	b.screenshot("aloud-list")
	b.tap("What was read aloud, line by line")
	b.sees("started again from the first line")
	b.sees("not on the server yet")
	b.fits("records")
	b.screenshot("records")

	s.start()
	b.open("/waiting")
	b.tap("Send now")
	b.sees("Nothing is waiting")
	want := []string{"note posterior-capsule-torn", "pause lens check done", "pause lens check put aside started again from the first line", "pause sign in done", "pause time out done"}
	got := s.readsAs(want)
	for _, r := range got {
		if r.rev != 1 || r.by != "theatre" || r.Case != id || r.CardRevision != 1 || r.RulesRevision != 1 {
			t.Errorf("%s: revision %d by %s of case %s, card revision %d, rules %d", r.says(), r.rev, r.by, r.Case, r.CardRevision, r.RulesRevision)
		}
		for n, l := range r.Lines {
			if r.Outcome == "done" && (l.Answer == "" || l.By == "" || l.At == "" || (l.Stored != "" && l.Answer == "answered")) {
				t.Errorf("%s: line %d is %+v", r.says(), n+1, l)
			}
		}
	}

	// Looking at an ended pause again keeps nothing twice.
	b.opensPause(id, "sign in")
	b.tap("Look at the answers")
	b.sees("The record of this pause is kept on this device.")
	b.open("/waiting")
	b.sees("Nothing is waiting")
	s.readsAs(want)
}

// readsAs waits until the server has exactly these records.
func (s *server) readsAs(want []string) []keptRecord {
	s.t.Helper()
	var got []keptRecord
	eventually(s.t, "the records are on the server, each once", func() error {
		got = s.records()
		says := make([]string, len(got))
		for i, r := range got {
			says[i] = r.says()
		}
		slices.Sort(says)
		if !slices.Equal(says, want) {
			return fmt.Errorf("there are %q", says)
		}
		return nil
	})
	return got
}

// readsOneLine answers the first line, and compares its stored value where it has one.
func (b *tablet) readsOneLine() {
	b.t.Helper()
	b.sees("Line 1 of")
	eventually(b.t, "the second line comes", func() error {
		text, err := b.text()
		switch {
		case err != nil || strings.Contains(text, "Line 2 of"):
			return err
		case strings.Contains(text, "Is it the same as what was just said?"):
			err = b.tryTap("document", "Same")
		default:
			err = b.tryTap("document", "Answered")
		}
		if err == nil {
			b.settle()
			err = errors.New("not yet")
		}
		return err
	})
}

// takeCoreAway removes what checks and generates from what the tablet has stored.
func (b *tablet) takeCoreAway() {
	b.t.Helper()
	removed, err := eval[int](b, `caches.keys().then(async names => { let n = 0;
		for (const name of names) { const cache = await caches.open(name);
			for (const request of await cache.keys()) if (request.url.endsWith(".wasm") && await cache.delete(request)) n++; }
		return n; })`)
	if err != nil || removed == 0 {
		b.t.Fatalf("take the core off the tablet: removed %d, %v", removed, err)
	}
}

// Nobody is sure, or what was said differs from what is stored: the pause
// stops in sight of everybody, says what to do, cannot be ended, and stands
// there still after it was left.
func TestAPauseStops(t *testing.T) {
	for _, size := range []size{phone, upright, desk} {
		t.Run(fmt.Sprintf("%dx%d", size.width, size.height), func(t *testing.T) {
			s := startServer(t)
			b := newTablet(t, s, size)
			id := b.firstSheet()
			b.opensPause(id, "sign in")
			b.tap("Start")
			b.screenshot("line")
			b.tapUntil("No, or not sure", "Stop: not answered")
			b.sees("Look again at the thing itself")
			b.fits("stop")
			b.screenshot("stop")
			if text, err := b.text(); err != nil || strings.Contains(text, "Line 2 of") {
				t.Fatalf("the pause went on over a stop (%v)", err)
			}
			b.open("/sheet/" + id + "/aloud")
			b.sees("stopped at line 1")
			b.tapIn("main", "Sign in")
			b.sees("This pause was interrupted")
			b.sees("not sure")
			b.tap("Go on at line 1")
			b.sees("Stop: not answered")
			b.tapUntil("Looked again: answered", "Stored")
			b.screenshot("stored")
			b.tapUntil("Different", "They differ")
			b.fits("differs")
			b.screenshot("differs")
			b.open("/sheet/" + id + "/aloud?pause=sign%20in")
			b.sees("different")
			b.tap("Go on at line 1")
			b.tapUntil("Looked again: same", "Line 2 of")
			b.tapUntil("Back", "Line 1 of")
			b.sees("differed at first")
			b.tap("Put aside…")
			b.tap("called away")
			b.sees("put aside after 1 of")
			b.open("/sheet/" + id + "/aloud")
			b.sees("put aside")
			r := s.readsAs([]string{"pause sign in put aside called away"})[0]
			if first := r.Lines[0]; first.Answer != "same" || first.Note != "differed at first" || r.Lines[1].Answer != "" {
				t.Errorf("the first two lines are %+v", r.Lines[:2])
			}
		})
	}
}

// Whoever looks up a drill in the middle of a pause comes back to the very
// line. A page that was out of sight asks whether to start again.
func TestAPauseIsLeftAndFoundAgain(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	id := b.firstSheet()
	b.opensPause(id, "sign in")
	b.tap("Start")
	b.readsOneLine()
	b.tapIn("main", "If…")
	b.tap("Posterior capsule torn")
	b.sees("since it was opened")
	b.tap("Back to Sign in, line 2")
	b.sees("Line 2 of")
	b.sees("You are back where the pause stood.")
	b.tap("Limits")
	b.sees("confirm on the machine")
	b.tap("Read aloud")
	b.tapIn("main", "Sign in")
	b.sees("This pause was interrupted")
	b.tap("Go on at line 2")
	b.sees("Line 2 of")
	eventually(t, "a page that was out of sight asks", func() error {
		for _, state := range []string{"hidden", "visible"} {
			if _, err := eval[any](b, `(Object.defineProperty(document, "visibilityState", {value: `+quoted(state)+`, configurable: true}), document.dispatchEvent(new Event("visibilitychange")), null)`); err != nil {
				return err
			}
		}
		text, err := b.text()
		if err == nil && !strings.Contains(text, "This pause was interrupted") {
			err = errors.New("it goes on as if nothing had been")
		}
		return err
	})
}

// A line is large enough for where it is read: 40 px in the hand where it fits, 84 px across the room.
func TestALineIsLargeEnough(t *testing.T) {
	s := startServer(t)
	for _, size := range []size{phone, upright, desk} {
		b := newTablet(t, s, size)
		id := b.firstSheet()
		b.opensPause(id, "time out")
		b.tap("Start")
		b.largeLine(40)
		b.settle()
		b.screenshot("line-time-out")
		if size == phone { // nobody reads a phone across the room
			b.shut()
			continue
		}
		b.tap("Wall view")
		b.sees("Leave wall view")
		b.largeLine(84)
		b.fits("wall view")
		b.settle()
		b.screenshot("wall")
		b.wear("bright")
		b.settle()
		b.screenshot("wall-bright")
		b.tap("Leave wall view")
		b.largeLine(40)
		b.screenshot("line-bright")
		b.shut()
	}
}

// In the hand a line is whole in sight: nothing of it lies behind the bar, and
// nothing behind the buttons, before its answer and while its stored value is
// compared. A long one has smaller type for that, never below 28 px; where that
// does not do, as with a line whose reasons stand below it, the page says that it goes on.
func TestALineIsWholeInSight(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.open("/")
	b.sees("No sheet yet")
	id, err := eval[string](b, `document.querySelector("a[href^='/sheet/']").getAttribute("href").split("/")[2]`)
	if err != nil {
		t.Fatalf("find the first case: %v", err)
	}
	b.open("/sheet/" + id + "/setup")
	b.tapUntil("Make the sheet", "0 of ")
	b.open("/sheet/" + id + "/aloud")
	b.sees("One person reads")
	pauses, err := eval[[]string](b, `[...document.querySelectorAll("a.pause-row")].map(a => new URL(a.href).searchParams.get("pause"))`)
	if err != nil || len(pauses) < 3 {
		t.Fatalf("find the pauses: %q, %v", pauses, err)
	}
	for _, pause := range pauses {
		b.opensPause(id, pause)
		b.tap("Start")
		b.sees("Line 1 of")
		b.readsOnWith(func() { b.wholeLine(pause) })
	}
}

// hiddenOfLine says what of a line is not in sight without the page saying so, or "".
const hiddenOfLine = `(() => {
	const line = document.querySelector(".line-words");
	if (!line) return ""; // the pause is at its end
	scrollTo(0, 0); // the press before this one has moved the page
	const box = line.getBoundingClientRect();
	const type = parseFloat(getComputedStyle(line.querySelector(".run-question")).fontSize);
	const over = box.bottom - document.querySelector(".line-foot").getBoundingClientRect().top;
	const under = document.querySelector(".top").getBoundingClientRect().bottom - box.top;
	const told = document.body.innerText.includes("The line goes on below");
	return type >= 28 && under <= 1 && (over <= 1 || told) ? "" :
		Math.round(over) + " px lie behind the buttons and " + Math.round(under) + " px behind the bar, in type of " + type + " px: " + line.innerText;
})()`

// wholeLine waits until the line has its place; then nothing of it may be hidden.
func (b *tablet) wholeLine(pause string) {
	b.t.Helper()
	hidden := "not looked at"
	for range 10 { // looks, a tenth of a second apart: the type steps down in the frame after the line
		got, err := eval[string](b, hiddenOfLine)
		if err != nil {
			hidden = err.Error()
		} else if hidden = got; hidden == "" {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	b.t.Errorf("%s: %s", pause, hidden)
}

// acrossTheRoom begins the pause in the wall view, which a phone does not offer.
func (b *tablet) acrossTheRoom() {
	b.t.Helper()
	b.begins()
	if text, err := b.text(); err == nil && strings.Contains(text, b.in("Wall view")) {
		b.tapUntil("Wall view", "Leave wall view")
	}
}

func (b *tablet) largeLine(px float64) {
	b.t.Helper()
	b.sees("Line 1 of")
	eventually(b.t, fmt.Sprintf("at %d px the line is %.0f px high", b.size.width, px), func() error {
		got, err := eval[float64](b, `parseFloat(getComputedStyle(document.querySelector(".run-question")).fontSize)`)
		if err == nil && got < px {
			err = fmt.Errorf("it is %.1f px high", got)
		}
		return err
	})
}

// before runs a script in every page before the app does.
func (b *tablet) before(script string) {
	b.t.Helper()
	b.do("prepare the pages", func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return chromedp.Void{}, err
	})
}

// voices stands in for the voices of a device, and notes what is spoken.
const voices = `Object.defineProperty(globalThis, "speechSynthesis", {value: {getVoices: () => %s, speak: u => (window.spoken = u.text), cancel: () => {}, addEventListener: () => {}}});
	globalThis.SpeechSynthesisUtterance = class { constructor(text) { this.text = text } };`

// Only a voice of the device itself speaks a line, and only when it is asked to.
func TestALineIsSpokenByTheDeviceAlone(t *testing.T) {
	s := startServer(t)
	away, own := newTablet(t, s, upright), newTablet(t, s, upright)
	away.before(fmt.Sprintf(voices, `[{lang: "en-GB", localService: false, default: true}, {lang: "de-DE", localService: true}]`))
	own.before(fmt.Sprintf(voices, `[{lang: "en-GB", localService: true}]`))
	for _, b := range []*tablet{away, own} {
		b.opensPause(b.firstSheet(), "sign in")
		b.tap("Start")
		b.sees("Line 1 of")
	}
	if text, err := away.text(); err != nil || strings.Contains(text, "Speak this line") {
		t.Errorf("a voice that is not the device's is offered (%v)", err)
	}
	own.tap("Speak this line")
	spoken, err := eval[string](own, "window.spoken ?? ''")
	if err != nil || !strings.Contains(spoken, "asks") || !strings.Contains(spoken, "answers") {
		t.Errorf("spoken was %q (%v)", spoken, err)
	}
}

// A device that will not stay awake is not trusted in silence.
func TestASleepyScreenIsSaid(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, upright)
	b.before(`Object.defineProperty(navigator, "wakeLock", {value: {request: () => Promise.reject(new DOMException("", "NotAllowedError"))}})`)
	b.opensPause(b.firstSheet(), "sign in")
	b.tap("Start")
	b.sees("this device refused to stay awake")
}
