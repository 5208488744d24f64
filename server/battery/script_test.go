package battery_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"time"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

// script is a list of edits that touches every outcome: applied, merged,
// question, set aside, a second document, a repeated id. It is small, so that
// an image of the database is.
func script(seed uint64, n int) []edits.Edit {
	r := rand.New(rand.NewPCG(seed, 0x5c817))
	list := []edits.Edit{entry(0, edits.Card, "anna-chop", 0, storetest.Card()), entry(1, edits.Person, "anna", 0, storetest.Person())}
	for i := len(list); i < n; i++ {
		card := storetest.Card()
		switch r.IntN(6) {
		case 0:
			p := storetest.Person()
			p.Name = fmt.Sprintf("Anna %d", i)
			list = append(list, entry(i, edits.Person, "anna", 1, p))
			continue
		case 1:
			storetest.Vacuum("chop", "9999")(&card)
		case 2:
			storetest.Vacuum("chop", fmt.Sprint(300+10*r.IntN(10)))(&card)
		case 3:
			card.Title = fmt.Sprintf("Chop %d", i)
		default:
			card.Notes = fmt.Sprintf("Paragraph %d.", i)
		}
		list = append(list, entry(i, edits.Card, "anna-chop", 1, card))
	}
	return list
}

func entry(i int, kind edits.Kind, doc string, parent int, body any) edits.Edit {
	raw, err := edits.Encode(body)
	if err != nil {
		panic(err)
	}
	return edits.Edit{ID: storetest.ID(i + 1), Kind: kind, Doc: doc, Parent: parent, Author: cards.PersonID("anna"),
		Device: storetest.DeviceID("phone"), Made: "2027-03-31T07:42:00Z", Body: raw}
}

// clockAt is the server's clock of the i-th edit: the same in every run.
func clockAt(i int) time.Time { return storetest.Start.Add(time.Duration(i) * time.Second) }

// judgeData opens data as a start of the server would and says what is wrong
// with them: everything must verify, every acknowledged edit of the script must
// be there exactly once, in order, nothing else, and the rest of the script
// must go on as if nothing had happened.
func judgeData(dir string, list []edits.Edit, acked int, depth store.Depth) error {
	s, err := store.Open(dir)
	if err != nil {
		return fmt.Errorf("open: %w", err)
	}
	defer s.Close()
	report, err := s.Verify(depth)
	if err != nil {
		return err
	}
	if len(report.Findings) > 0 {
		return fmt.Errorf("verify: %s", report.Findings[0])
	}
	there := int(report.Info.Seq)
	if there < acked || there > acked+1 || there > len(list) {
		return fmt.Errorf("%d edits were acknowledged and %d are there", acked, there)
	}
	for i, e := range list[:there] {
		if got, ok, err := s.Entry(e.ID); err != nil || !ok || int(got.Seq) != i+1 || string(got.Edit.Body) != string(e.Body) {
			return fmt.Errorf("edit %d: there %v, at %d, %w", i, ok, got.Seq, err)
		}
	}
	return retry(s, list, acked, depth)
}

// retry sends the edit without an answer again, and one more: exactly once each.
func retry(s *store.Store, list []edits.Edit, acked int, depth store.Depth) error {
	for i := acked; i < min(acked+2, len(list)); i++ {
		r, err := s.Accept(clockAt(i), list[i])
		if err != nil || int(r.Seq) != i+1 {
			return fmt.Errorf("edit %d sent again: %+v, %w", i, r, err)
		}
	}
	if depth == store.Quick {
		return nil
	}
	report, err := s.Verify(depth)
	if err != nil || len(report.Findings) > 0 {
		return fmt.Errorf("after sending again: %v, %w", report.Findings, err)
	}
	return nil
}

func init() {
	scripts := map[string][]edits.Edit{}
	// A line: directory, seed and length of the script, how many edits were acknowledged, how deep to look.
	children["judge"] = answering(func(line string) string {
		var dir string
		var seed uint64
		var n, acked int
		var depth store.Depth
		if _, err := fmt.Sscan(line, &dir, &seed, &n, &acked, &depth); err != nil {
			return "bad line: " + err.Error()
		}
		name := fmt.Sprint(seed, n)
		if scripts[name] == nil {
			scripts[name] = script(seed, n)
		}
		err := judgeData(dir, scripts[name], acked, depth)
		if errors.Is(err, store.ErrNoData) && acked == 0 {
			// The file has no name yet: making it must be possible whatever was left.
			if err = store.Create(dir, fixedRandom); err == nil {
				err = judgeData(dir, scripts[name], acked, depth)
			}
		}
		if err != nil {
			return oneLine(err)
		}
		return "ok"
	})
}

func fixedRandom(b []byte) {
	for i := range b {
		b[i] = 7
	}
}

func isNoData(err error) bool { return errors.Is(err, store.ErrNoData) }

func oneLine(err error) string {
	return fmt.Sprintf("%.300q", err.Error())
}

// ackTo writes acknowledgements where the disk records them between the writes.
type ackTo struct {
	f *os.File
	n int64
}

func openAcks(dir string) (*ackTo, error) {
	f, err := os.OpenFile(dir+"/"+ackFile, os.O_WRONLY|os.O_CREATE, 0o600)
	return &ackTo{f: f}, err
}

func (a *ackTo) ack() error {
	a.n++
	_, err := a.f.WriteAt([]byte{1}, a.n)
	return err
}

const ackFile = "acknowledged"
