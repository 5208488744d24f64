package e2e

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// in is how the tablet says the English words.
func (b *tablet) in(words string) string {
	if other, ok := b.tongue[words]; ok {
		return other
	}
	return words
}

// germanOfParts are beginnings and ends of texts that hold figures or names.
var germanOfParts = map[string]string{
	"Line 1 of": "Zeile 1 von", "0 of ": "0 von ", "Editing as " + unitLead: "Es schreibt " + unitLead, "PIN of " + unitLead: "PIN von " + unitLead,
}

// germanInPage are the texts that the German of the client holds, with their English. The file is the page's own.
const germanInPage = `(async () => {
	const files = performance.getEntriesByType("resource").map(r => r.name).filter(n => /\/assets\/(de|behind)-/.test(n));
	const parts = await Promise.all(files.map(f => import(f)));
	return Object.fromEntries(parts.flatMap(m => [...(m.told ?? []), ...(m.fixed ?? [])]).filter(([english]) => !/\{\d\}/.test(english)).reverse());
})()`

// speaksGerman changes the tablet to German by its own button and learns the words.
func (b *tablet) speaksGerman() {
	b.t.Helper()
	b.open("/about")
	b.sees("Language / Sprache")
	b.tapUntil("Deutsch", "Was es nicht ist")
	eventually(b.t, "the German can be read", func() (err error) {
		b.tongue, err = eval[map[string]string](b, germanInPage)
		if err == nil && (len(b.tongue) < 1000 || b.tongue["Chop vacuum"] != "" && b.tongue["For the scrub nurse"] == "nothing") {
			err = fmt.Errorf("there are %d texts", len(b.tongue))
		}
		return err
	})
	maps.Copy(b.tongue, germanOfParts)
}

// speaksEnglish changes back.
func (b *tablet) speaksEnglish() {
	b.t.Helper()
	b.tongue = nil
	b.open("/about")
	b.tapUntil("English", "What it is not")
}

// drawn waits until the screen is there, whatever it says.
func (b *tablet) drawn() {
	b.t.Helper()
	eventually(b.t, b.where()+" is drawn", func() error {
		there, err := eval[bool](b, `document.documentElement.lang === "de" && document.querySelector("main .screen") !== null && document.querySelector("main .shell-reading") === null`)
		if err == nil && !there {
			err = errors.New("it is not")
		}
		return err
	})
}

// shownTexts are the texts and labels that a person sees or hears, but for what is marked as not to be translated.
const shownTexts = `(() => {
	const found = new Set(), own = e => e.closest("pre, code, [translate=no]:not(html), .once") === null;
	const add = (text, e) => { const t = (text ?? "").replace(/\s+/g, " ").trim(); if (/[a-z]{2}/i.test(t) && own(e)) found.add(t); };
	const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	for (let n = walk.nextNode(); n; n = walk.nextNode()) if (n.parentElement.checkVisibility()) add(n.data, n.parentElement);
	for (const e of document.querySelectorAll("[aria-label], [title], [alt], [placeholder]"))
		for (const a of ["aria-label", "title", "alt", "placeholder"]) add(e.getAttribute(a), e);
	add(document.title, document.body);
	return [...found];
})()`

// ofEnglish are words that make an English sentence and stand in no German one.
var ofEnglish = regexp.MustCompile(`(?i)\b(the|of|and|not|with|for|is|are|to|this|by|from|no)\b`)

// isGerman holds that nothing on the screen is English for which there is a German, nor a sentence that only the program can have said.
func (b *tablet) isGerman(name string, people string) {
	b.t.Helper()
	texts, err := eval[[]string](b, shownTexts)
	if err != nil || len(texts) == 0 {
		b.t.Fatalf("%s: read the screen: %d texts, %v", name, len(texts), err)
	}
	for _, text := range texts {
		german, known := b.tongue[text]
		switch {
		case known && german != text && !slices.Contains(slices.Collect(maps.Values(b.tongue)), text):
			b.t.Errorf("%s: %q stands there and is %q", name, text, german)
		case !isOfPeople(text, people) && !cited.MatchString(text):
			b.t.Errorf("%s: %q is English", name, text)
		}
	}
}

// cited is a publication, which is named as it names itself.
var cited = regexp.MustCompile(`\b(19|20)\d\d\)?$`)

// techniques have their English names in German as well.
var techniques = strings.NewReplacer("Divide and Conquer", "", "Stop and Chop", "")

var programSigns = regexp.MustCompile(`[·:;,→„“()|]|\. `)

// isOfPeople reports whether the English of a text is what people wrote: in each part between the signs that the
// program sets, some words of theirs, and around these no English.
func isOfPeople(text, people string) bool {
	if strings.Contains(people, text) {
		return true
	}
	for _, part := range programSigns.Split(techniques.Replace(text), -1) {
		if ofEnglish.MatchString(withoutPeople(part, people)) {
			return false
		}
	}
	return true
}

// withoutPeople is the part without the longest run of words that people wrote.
func withoutPeople(part, people string) string {
	words := strings.Fields(strings.Trim(part, " ."))
	for length := len(words); length > 0; length-- {
		for at := 0; at+length <= len(words); at++ {
			if strings.Contains(people, strings.Join(words[at:at+length], " ")) {
				return strings.Join(words[:at], " ") + " … " + strings.Join(words[at+length:], " ")
			}
		}
	}
	return part
}

// written is all that the people of the demonstration wrote, with decimals as German shows them, and the sources that
// the rule book cites: these stay as they are. The other texts of the starter rule book are the program's.
func (b *tablet) written() string {
	b.t.Helper()
	snapshot, err := b.s.get("/api/v1/snapshot")
	if err != nil {
		b.t.Fatal(err)
	}
	var all struct{ Docs []map[string]any }
	if err := json.Unmarshal(snapshot, &all); err != nil || len(all.Docs) == 0 {
		b.t.Fatalf("the snapshot has %d documents: %v", len(all.Docs), err)
	}
	var texts []string
	for _, d := range all.Docs {
		texts = collected(texts, d, "", d["kind"] == "rules")
	}
	return decimals.ReplaceAllString(strings.ReplaceAll(strings.Join(texts, "\n"), "\u00a0", " "), "$1,$2")
}

var decimals = regexp.MustCompile(`(\d)\.(\d)`)

// collected adds the texts of a document, of the rule book only the sources.
func collected(texts []string, of any, key string, sources bool) []string {
	switch of := of.(type) {
	case string:
		if !sources || key == "source" {
			return append(texts, of)
		}
	case []any:
		for _, x := range of {
			texts = collected(texts, x, key, sources)
		}
	case map[string]any:
		for k, x := range of {
			texts = collected(texts, x, k, sources)
		}
	}
	return texts
}

// A device that was set to German opens from cold, without a network, in
// German: on every screen, at the width of a phone, whatever the program says
// is German, and nothing sticks out. What people wrote stays. Then back to English.
func TestGerman(t *testing.T) {
	s := startServer(t)
	b := newTablet(t, s, phone)
	b.becomes(chopSurgeon)
	id := b.firstSheet()
	b.installed()
	people := b.written()
	b.speaksGerman()
	b.open("/help")
	b.drawn()

	s.kill()
	b.reopen()
	for _, size := range []size{upright, phone} {
		b.behind(size)
		for _, screen := range screens {
			if !screen.lead {
				b.showsGerman(screen, id, people)
			}
		}
	}
	b.typesWithComma()
	s.start()
	b.speaksEnglish()
	b.becomes(unitLead)
	b.speaksGerman()
	for _, screen := range screens {
		if screen.lead {
			b.showsGerman(screen, id, people)
		}
	}
	b.speaksEnglish()
	b.open("/")
	b.sees("Whole list")
}

const germanBrowser = `Object.defineProperty(navigator, "languages", { get: () => ["de-AT", "en"] });`

// forgetsItsLanguage is a device on which nobody has chosen one.
const forgetsItsLanguage = `new Promise((done, failed) => {
	const opening = indexedDB.open("sideport");
	opening.onerror = () => failed(opening.error);
	opening.onsuccess = () => {
		const db = opening.result, tx = db.transaction("meta", "readwrite");
		tx.objectStore("meta").delete("language");
		tx.oncomplete = () => { db.close(); done(true); };
		tx.onabort = () => failed(tx.error);
	};
})`

// A tablet with a German browser is let in in German, what is to be known of the translation above the form, and stays in
// German whatever its browser says afterwards. One at work on which nobody chose is in English.
func TestEnrolInTheLanguageOfTheBrowser(t *testing.T) {
	b := bareTablet(t, startServer(t), upright)
	b.injects(germanBrowser)
	b.open("/")
	b.sees("Übersetzt, ohne dass eine Person vom Fach es gelesen hat.")
	b.tap("Als Tablet des Saals")
	b.sees("Ganze Liste")

	b.reopen()
	b.open("/")
	b.drawn()
	b.sees("Ganze Liste")
	if _, err := eval[bool](b, forgetsItsLanguage); err != nil {
		t.Fatal(err)
	}
	b.injects(germanBrowser)
	b.open("/")
	b.sees("Whole list")
}

// Where the German neither comes nor is refused, the page opens in English and says so.
func TestEnrolWhereTheLanguageNeverComes(t *testing.T) {
	l := newLine(t, startServer(t))
	b := bareTablet(t, l.server, upright)
	b.expectComplaints("the German is not there in time")
	b.injects(germanBrowser)
	l.puts(func(l *line, w http.ResponseWriter, r *http.Request) bool {
		return strings.HasPrefix(r.URL.Path, "/assets/de-") && silent(l, w, r)
	})
	b.open("/")
	b.sees("German could not be read on this device")
	b.sees("Let this device in")
}

// holdsItsWords holds that no button or tab is too narrow for what stands on it.
func (b *tablet) holdsItsWords(name string) {
	b.t.Helper()
	narrow, err := eval[[]string](b, `[...document.querySelectorAll("button, a.button, [role=tab], nav a")].filter(e => e.checkVisibility()).filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.innerText)`)
	if err != nil || len(narrow) > 0 {
		b.t.Errorf("%s: too narrow for %q (%v)", name, narrow, err)
	}
}

// typesWithComma types decimals as people write them in German: the field shows the comma, the draft keeps the point, and
// what is no number is refused. So is a point between what may be thousands, of which nothing is kept.
func (b *tablet) typesWithComma() {
	b.t.Helper()
	b.open("/cards/" + chopCard + "/edit?part=basics")
	for typed, want := range map[string][2]string{"2,6": {"2,6", "2.6"}, "2.7": {"2,7", "2.7"}, "2,8,1": {"2,81", "2.81"}, "2.500": {"2,50", ""}, "2,500": {"2,500", "2.500"}} {
		b.write("Main incision width", typed)
		got, err := eval[[2]string](b, `[document.activeElement.value, Object.entries(localStorage).find(([k]) => k.startsWith("sideport/draft/"))?.[1].split('"base":')[0].match(/"main_width":"([^"]*)"/)?.[1] ?? ""]`)
		if err != nil || got != want {
			b.t.Errorf("typed %q: the field and the draft have %q, want %q (%v)", typed, got, want, err)
		}
	}
}

func (b *tablet) showsGerman(s screen, id, people string) {
	b.t.Helper()
	b.open(replaceCase(s.path, id))
	b.drawn()
	if s.reach != nil {
		s.reach(b)
	}
	b.settle()
	if b.size == phone {
		b.isGerman(s.name, people)
	}
	b.fits(s.name)
	b.holdsItsWords(s.name)
	b.screenshot("german-" + s.name)
}
