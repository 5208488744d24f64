package e2e

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

const (
	leadName  = "Hazel Quarrington"
	nurseName = "Rowan Tillerby"
)

// shown reads the code or PIN that stands on the screen this once.
func (b *tablet) shown() string {
	b.t.Helper()
	var text string
	eventually(b.t, "a code or a PIN stands on the screen", func() (err error) {
		text, err = eval[string](b, `document.querySelector(".once")?.innerText ?? ""`)
		if err == nil && text == "" {
			err = errors.New("none")
		}
		return err
	})
	return strings.ReplaceAll(text, " ", "")
}

// setsUp does what the first person of a unit does on an empty server, and returns their PIN.
func (b *tablet) setsUp(code string) string {
	b.t.Helper()
	b.open("/")
	b.sees("Nothing is on this server yet")
	b.write("Set-up code", code)
	b.write("Name of the eye unit", "Eye unit of the tests")
	b.write("Your name", leadName)
	b.write("Name of this device", "Office desk")
	b.tap("One person's own")
	b.tap("Set up")
	pin := b.shown()
	b.sees("It is shown this once")
	b.tap("I have written it down")
	b.sees("PIN of " + leadName)
	return pin
}

// types a PIN on the keys of the screen and waits until the tablet says who is in.
func (b *tablet) typesPIN(person, pin string) {
	b.t.Helper()
	b.sees("PIN of " + person)
	for _, digit := range pin {
		b.tapIn(".pin-keys", string(digit))
	}
	b.sees("Editing as " + person)
}

// goes opens another screen as a link does: the page stays, so a shared tablet is not locked by it. It waits until the
// focus is at the screen's name, since keys typed before that would go there.
func (b *tablet) goes(path string) {
	b.t.Helper()
	script := fmt.Sprintf(`(() => { const a = document.createElement("a"); a.href = %s; document.body.append(a); a.click(); a.remove(); return true; })()`, quoted(path))
	if _, err := eval[bool](b, script); err != nil {
		b.t.Fatalf("go to %s: %v", path, err)
	}
	eventually(b.t, path+" has the focus", func() error {
		there, err := eval[bool](b, `document.activeElement?.id === "heading"`)
		if err == nil && !there {
			err = errors.New("not yet")
		}
		return err
	})
}

// makesCode makes the code for one more device and returns it.
func (b *tablet) makesCode(name, kind string) string {
	b.t.Helper()
	b.goes("/office/devices")
	b.write("Name of the device", name)
	b.tap(kind)
	b.tap("Make a code")
	b.sees("Code for “" + name + "”")
	b.sees("It holds for about 10 minutes and works once.")
	return b.shown()
}

// photographed is the path that a camera finds in the picture of the code; the address must be the one beside it.
func (b *tablet) photographed(code string) (path string) {
	b.t.Helper()
	want := "/enrol#" + code
	eventually(b.t, "the picture of the code can be read", func() error {
		got, err := b.decoded(".office-code")
		if err == nil && got != b.s.url(want) {
			err = fmt.Errorf("it leads to %q, want %q", got, b.s.url(want))
		}
		return err
	})
	return want
}

// leavesNoCodeBehind checks that the address no longer holds the code with which it was opened.
func (b *tablet) leavesNoCodeBehind() {
	b.t.Helper()
	eventually(b.t, "the code is out of the address", func() error {
		at, err := eval[string](b, "location.href")
		if err == nil && strings.Contains(at, "#") {
			err = fmt.Errorf("the address is %q", at)
		}
		return err
	})
}

// From an empty server to a nurse who signs in on the theatre's tablet, and to
// the day on which that tablet is lost; all of it stands in the record.
func TestFromTheFirstDayToALostTablet(t *testing.T) {
	s := startEmptyServer(t)
	lead := bareTablet(t, s, desk)
	t.Log("the first day")
	lead.open("/")
	lead.write("Set-up code", "0000-0000")
	lead.write("Name of the eye unit", "Somebody else's")
	lead.write("Your name", "Somebody")
	lead.write("Name of this device", "A device")
	lead.tap("One person's own")
	lead.tap("Set up")
	lead.sees("Not set up")
	pin := lead.setsUp(s.said("Set-up code:"))
	lead.typesPIN(leadName, pin)

	t.Log("a nurse, and a PIN")
	lead.goes("/office/people")
	lead.sees("Only one person here is a unit lead.")
	lead.write("Name", nurseName)
	lead.tap("scrub nurse")
	lead.tap("Add")
	lead.sees("no PIN yet")
	lead.screenshot("office-person")
	lead.tap("Issue a PIN")
	lead.tap("Issue it now")
	nursePIN := lead.shown()
	lead.sees("Hand it over on paper")
	lead.tap("Handed over")
	lead.sees("PIN issued")

	t.Log("a tablet for the theatre")
	code := lead.makesCode("Theatre 1 tablet", "Shared")
	lead.screenshot("office-code")
	theatre := bareTablet(t, s, upright)
	theatre.open("/")
	theatre.sees("Cards and sheets are read on devices that the unit lead has let in.")
	theatre.write("Code", strings.ToLower(strings.ReplaceAll(code, "-", "")))
	theatre.tap("Let this device in")
	theatre.sees("This device is let in as “Theatre 1 tablet”.")
	lead.sees("“Theatre 1 tablet” is let in. The code is used up.")

	t.Log("the code works once")
	stranger := bareTablet(t, s, phone)
	stranger.open("/cards")
	stranger.write("Code", code)
	stranger.tap("Let this device in")
	stranger.sees("Not let in")
	stranger.screenshot("enrol-refused")

	t.Log("the nurse signs in on it, and finds no office")
	theatre.goes("/person")
	theatre.tap(nurseName)
	theatre.typesPIN(nurseName, nursePIN)
	theatre.goes("/office/devices")
	theatre.sees("Ask " + leadName + ".")

	t.Log("the tablet is lost")
	theatre.leavesWritten()
	lead.tap("Done")
	lead.tap("Take out of use")
	lead.sees("A sheet in use on it goes with its ticks and answers")
	lead.sees("Its last contact was")
	lead.sees("Edits waiting on it are not lost")
	lead.tap("lost")
	lead.tapIn("dialog", "Take out of use")
	lead.sees("“Theatre 1 tablet” is out of use.")
	theatre.goes("/")
	theatre.sees("The unit lead has taken this device out of use.")
	theatre.forgotWritten()

	t.Log("the record holds all of it")
	lead.goes("/office/audit")
	for _, what := range []string{"Device taken out of use: Theatre 1 tablet", "Signed in", "Device let in Theatre 1 tablet, shared", "Code made Theatre 1 tablet", "PIN issued: " + nurseName, "Server set up"} {
		lead.sees(what)
	}
	lead.screenshot("office-audit")
	lead.chooses("Device", "Theatre 1 tablet")
	eventually(t, "only what happened on the tablet is left", func() error {
		text, err := lead.text()
		if err == nil && (strings.Contains(text, "Server set up") || !strings.Contains(text, "Signed in")) {
			err = fmt.Errorf("the screen says: %.1500s", text)
		}
		return err
	})
	lead.exportHas("device revoked", "PIN issued", "device enrolled", "set up")
}

// chooses picks one of a list.
func (b *tablet) chooses(label, option string) {
	b.t.Helper()
	script := fmt.Sprintf(`(() => { const s = [...document.querySelectorAll("select")].find(e => [...e.labels].some(l => l.innerText === %s));
		const o = s && [...s.options].find(o => o.label === %s); if (!o) return "no such choice";
		s.value = o.value; s.dispatchEvent(new Event("change", {bubbles: true})); return ""; })()`, quoted(label), quoted(option))
	eventually(b.t, fmt.Sprintf("%q can be chosen as %q", option, label), func() error {
		wrong, err := eval[string](b, script)
		if err == nil && wrong != "" {
			err = errors.New(wrong)
		}
		return err
	})
}

// exportHas downloads the record as the link on the screen does and looks for these events and for the edit that added the nurse.
func (b *tablet) exportHas(what ...string) {
	b.t.Helper()
	text, err := eval[string](b, `fetch([...document.querySelectorAll("a[download]")][0].href).then(r => r.text())`)
	if err != nil {
		b.t.Fatalf("export the record: %v", err)
	}
	missing := map[string]bool{"an edit by the lead": true}
	for _, w := range what {
		missing[w] = true
	}
	for line := range strings.Lines(text) {
		var entry struct {
			Event struct{ What string }
			Edit  struct{ Author, Outcome, Checked string }
			Hash  string
		}
		if err := json.Unmarshal([]byte(line), &entry); err != nil || len(entry.Hash) != 64 {
			b.t.Fatalf("a line of the export is no sealed JSON: %v: %s", err, line)
		}
		delete(missing, entry.Event.What)
		if e := entry.Edit; e.Author == "hazel-quarrington" && e.Outcome == "applied" && e.Checked == "server" {
			delete(missing, "an edit by the lead")
		}
	}
	if len(missing) > 0 {
		b.t.Errorf("the export lacks %v; it is:\n%s", missing, text)
	}
}

// Without the server the office shows nothing, and nothing of before: who may
// come in is what the server says now.
func TestTheOfficeShowsNothingOld(t *testing.T) {
	s := startEmptyServer(t)
	lead := bareTablet(t, s, desk)
	lead.typesPIN(leadName, lead.setsUp(s.said("Set-up code:")))
	lead.installed()
	lead.goes("/office/devices")
	lead.sees("Office desk")
	s.kill()
	lead.expectComplaints("the server is killed")
	lead.tap("Read again")
	lead.sees("The server was not reached.")
	if text, err := lead.text(); err != nil || strings.Contains(text, "Last contact") {
		t.Errorf("devices are shown that the server did not name now (%v): %s", err, text)
	}
	s.start()
	lead.sees("Last contact")
}

// Whoever is barred is out at once on every device; the lead lets them in again.
func TestBarredAndAdmitted(t *testing.T) {
	s := startEmptyServer(t)
	lead := bareTablet(t, s, desk)
	lead.typesPIN(leadName, lead.setsUp(s.said("Set-up code:")))
	lead.goes("/office/people")
	lead.write("Name", nurseName)
	lead.tap("scrub nurse")
	lead.tap("Add")
	lead.sees("no PIN yet")
	lead.tap("Issue a PIN")
	lead.tap("Issue it now")
	pin := lead.shown()
	lead.tap("Handed over")
	lead.tap("Bar")
	lead.sees("Nothing they wrote before is taken away.")
	lead.tapIn("dialog", "Bar")
	lead.sees("Give a reason first.")
	lead.tap("left the unit")
	lead.tapIn("dialog", "Bar")
	lead.sees(nurseName + " is barred.")
	lead.sees("Reason: left the unit")

	code := lead.makesCode("A phone", "One person's own")
	nurse := bareTablet(t, s, phone)
	nurse.open(lead.photographed(code))
	nurse.sees("The code came with the address.")
	nurse.leavesNoCodeBehind()
	nurse.do("read the page anew", chromedp.Reload()) // as choosing the language does
	nurse.sees("The code came with the address.")
	nurse.screenshot("enrol-by-camera")
	nurse.tap("Let this device in")
	nurse.sees("This device is let in")
	nurse.goes("/person")
	nurse.tap(nurseName)
	for _, digit := range pin {
		nurse.tapIn(".pin-keys", string(digit))
	}
	nurse.sees("This person may not sign in at present.")

	lead.goes("/office/people/rowan-tillerby")
	lead.tap("Admit again")
	lead.tap("barred by mistake")
	lead.tapIn("dialog", "Admit again")
	lead.sees(nurseName + " may sign in again.")
	nurse.typesPIN(nurseName, pin)
}

// Every screen of the office, in both looks, fits a phone and a desk. With
// SIDEPORT_PICTURES it leaves a picture of each.
func TestTheOfficeFits(t *testing.T) {
	for _, size := range []size{{360, 640}, desk} {
		t.Run(fmt.Sprintf("%dx%d", size.width, size.height), func(t *testing.T) {
			b := newTablet(t, startServer(t), size)
			b.becomes(unitLead)
			for _, look := range []string{"dim", "bright"} {
				for _, screen := range officeScreens {
					b.open(screen.path)
					b.sees(screen.words)
					b.wear(look)
					b.fits(screen.path)
					b.settle()
					b.screenshot(strings.ReplaceAll(screen.path[1:], "/", "-") + "-" + look)
				}
				b.makesCode("A tablet, "+look, "Shared")
				if _, err := eval[bool](b, `(document.querySelector(".office-ways strong").textContent = "https://sideport.eye-unit-of-a-long-name.example:8443", true)`); err != nil {
					t.Fatal(err)
				}
				b.fits("a code")
				b.breaksNoRule("a code in the look "+look, false)
				b.screenshot("office-code-" + look)
			}
		})
	}
}

// A device that was never let in says so without a network as well, and is let
// in as soon as the server is there. A code with a sign that none has is named before it is sent.
func TestLetInWhenTheServerIsBack(t *testing.T) {
	s := startServer(t)
	b := bareTablet(t, s, phone)
	b.open("/")
	b.sees("Cards and sheets are read on devices that the unit lead has let in.")
	b.installed()
	s.kill()
	b.expectComplaints("the server is killed")
	b.open("/cards")
	b.sees("The server was not reached. This device needs the unit's network to be let in.")
	b.write("Code", "u1i1-o0o0")
	b.sees("No code has “U” in it.")
	b.write("Code", "a1i1-o0o0")
	b.tap("Let this device in")
	b.sees("Connect this device to the unit's network and try again.")
	s.start()
	b.tap("Look for the server again")
	b.tap("As the theatre's tablet")
	b.sees("This device is let in")
	b.open("/cards")
	b.sees("Find a card")
	b.open("/enrol")
	b.sees("This device is let in already")
}
