package main

import (
	"errors"
	"fmt"
	"strings"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/people"
	"sideport/server/store"
	"sideport/server/vault"
)

var importCommand = command{
	name:    "import",
	summary: "take in edits that were saved as a file on a device, while the server is stopped",
	usage:   "-data DIR [-unsigned] FILE...",
	example: "sideport import -data /var/lib/sideport sideport-waiting-2027-03-31.json",
	run:     importWaiting,
}

// waitingFile is what a device saves: the edits that wait on it, byte for byte as it would send them.
type waitingFile struct {
	name  string
	Epoch string       `json:"epoch,omitempty"` // whose revisions the parents are, where the file says so
	Edits []edits.Edit `json:"edits"`
}

func importWaiting(op *operator, c command, args []string) error {
	fs := op.flags(c)
	dir := fs.String("data", "", "data `DIR` of the stopped server")
	unsigned := fs.Bool("unsigned", false, "take edits that nobody signed as well: you vouch for who made them")
	names, err := op.parse(c, fs, args)
	if err != nil {
		return err
	}
	if err := needs(c, "data", *dir); err != nil {
		return err
	}
	if len(names) == 0 {
		return misused("import needs a file: type sideport import -h")
	}
	var files []waitingFile
	for _, name := range names {
		f, err := readWaiting(name)
		if err == nil && !*unsigned {
			err = allSigned(f)
		}
		if err != nil {
			return err
		}
		files = append(files, f)
	}
	s, err := openToWrite(*dir)
	if err != nil {
		return err
	}
	return errors.Join(takeAll(op, s, files), s.Close())
}

// allSigned refuses a file in which anybody could have written anybody's name.
func allSigned(f waitingFile) error {
	for n, e := range f.Edits {
		if !people.Signed(e) {
			return misused("nothing was taken from %s: edit %d of it is not signed, so nothing but the file says that %q made it: add -unsigned where you know who made everything in it", f.name, n+1, e.Author)
		}
	}
	return nil
}

// readWaiting refuses a file as a whole where one edit could not be given a receipt, as a push is refused.
func readWaiting(name string) (waitingFile, error) {
	f := waitingFile{name: name}
	b, err := readFile(name)
	if err != nil {
		return f, err
	}
	if err := cards.Decode(b, &f); err != nil || f.Edits == nil {
		return f, misused("%s is not a file that a device saved: on the device choose Waiting, then “Save what is waiting as a file”", name)
	}
	for n, e := range f.Edits {
		if f.Epoch == "" && e.Parent > 0 {
			return f, misused("nothing was taken from %s: it does not say whose revisions its edits were made from, and edit %d of it names revision %d, which may be another one here: let the device connect and send them itself, or take the file in on a device and save it there again", name, n+1, e.Parent)
		}
		err := e.Malformed()
		if err == nil && e.Device == edits.ServerDevice {
			err = fmt.Errorf("edit %s has the device of the server itself", e.ID)
		}
		if err != nil {
			return f, misused("nothing was taken from %s: edit %d of it: %v", name, n+1, err)
		}
	}
	return f, nil
}

// takeAll takes the edits in their order, each in a transaction of its own, as
// a push does: those before one that fails are kept, and doing it again is safe.
func takeAll(op *operator, s *store.Store, files []waitingFile) error {
	info, err := s.Info()
	if err != nil {
		return err
	}
	for _, f := range files {
		if f.Epoch != "" && f.Epoch != info.Epoch {
			return misused("nothing was taken: %s was saved before these data were restored from a backup, so its edits may mean other revisions: let the device connect and send them itself", f.name)
		}
	}
	refused := false
	for _, f := range files {
		for n, e := range f.Edits {
			receipt, err := people.TakeIn(vault.Of(s), wallClock(), e)
			switch {
			case errors.Is(err, edits.ErrReused):
				refused = true
				fmt.Fprintf(op.out, "%s: not taken: its id was used before for other contents\n", editWords(f.name, n, e))
			case err != nil:
				return fmt.Errorf("stopped at edit %d of %s, those before it are kept: look at the disk, then import the same file again, nothing is taken twice: %w", n+1, f.name, err)
			default:
				fmt.Fprintf(op.out, "%s: %s\n", editWords(f.name, n, e), receiptWords(receipt))
			}
		}
	}
	if refused {
		return errFound
	}
	return nil
}

func editWords(file string, n int, e edits.Edit) string {
	return fmt.Sprintf("%s[%d]: %s %s by %s, made %s", file, n+1, e.Kind, e.Doc, e.Author, e.Made)
}

// receiptWords says in one line what became of an edit.
func receiptWords(r edits.Receipt) string {
	words := outcomeWords(r.Outcome)
	if r.Outcome == edits.AlreadyApplied {
		words = "was here already: " + outcomeWords(r.First)
	}
	if r.Rev > 0 {
		words += fmt.Sprintf(", revision %d", r.Rev)
	}
	for _, text := range append([]string{r.Reason}, problemTexts(r.Problems)...) {
		if text != "" {
			words += ": " + strings.TrimSuffix(text, ".")
		}
	}
	return words
}

func problemTexts(problems cards.Problems) []string {
	var texts []string
	for _, p := range problems {
		texts = append(texts, p.Text)
	}
	return texts
}

func outcomeWords(o edits.Outcome) string {
	switch o {
	case edits.Merged:
		return "merged with what others changed"
	case edits.Questioned:
		return "question: somebody else changed the same differently, the owner decides"
	case edits.SetAside:
		return "set aside, kept in the log and not applied"
	}
	return string(o)
}
