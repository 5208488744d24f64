package battery_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/anishathalye/porcupine"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store"
	"sideport/server/store/storetest"
)

// registerInput is one operation on one document: a read, or an edit that
// names its parent. A person document is decided as a whole: an edit from an
// older revision is a question where both sides changed it, and leaves the
// value as it was. The revision rises either way.
type registerInput struct {
	doc    string
	write  bool
	parent int
	value  string
}

type registerOutput struct {
	unknown bool // no answer: it may have happened or not, then or later
	outcome edits.Outcome
	rev     int
	value   string
}

// registerState is the value of every revision, one after the other.
type registerState struct {
	rev    int
	values string // each value with a bar behind it
}

func (s registerState) at(rev int) string {
	if rev == 0 {
		return ""
	}
	return strings.Split(s.values, "|")[rev-1]
}

func (s registerState) with(value string) registerState {
	return registerState{s.rev + 1, s.values + value + "|"}
}

// edited is what the design says of an edit: the outcome and the new state.
func (s registerState) edited(in registerInput) (edits.Outcome, registerState) {
	if in.parent > s.rev {
		return edits.SetAside, s
	}
	base, head := s.at(in.parent), s.at(s.rev)
	switch {
	case in.parent == s.rev:
		return edits.Applied, s.with(in.value)
	case in.value == head, in.value == base:
		return edits.Merged, s.with(head) // nothing to decide
	case base == head:
		return edits.Merged, s.with(in.value) // changed here alone
	}
	return edits.Questioned, s.with(head)
}

// register is what one document must look like from outside.
var register = porcupine.Model{
	Partition: func(history []porcupine.Operation) [][]porcupine.Operation {
		byDoc := map[string][]porcupine.Operation{}
		for _, op := range history {
			doc := op.Input.(registerInput).doc
			byDoc[doc] = append(byDoc[doc], op)
		}
		var parts [][]porcupine.Operation
		for _, part := range byDoc {
			parts = append(parts, part)
		}
		return parts
	},
	Init: func() any { return registerState{} },
	Step: func(state, input, output any) (bool, any) {
		s, in, out := state.(registerState), input.(registerInput), output.(registerOutput)
		if !in.write {
			return out.unknown || out.rev == s.rev && out.value == s.at(s.rev), s
		}
		outcome, next := s.edited(in)
		return out.unknown || out.outcome == outcome && out.rev == next.rev, next
	},
	DescribeOperation: func(input, output any) string { return fmt.Sprintf("%+v -> %+v", input, output) },
}

// recorder is a history that clients write together.
type recorder struct {
	mu      sync.Mutex
	began   time.Time
	history []porcupine.Operation
}

func (r *recorder) at() int64 { return int64(time.Since(r.began)) }

func (r *recorder) add(client int, call int64, in registerInput, out registerOutput) {
	ret := r.at()
	if out.unknown {
		ret = int64(time.Hour) // an operation without an answer has no end
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.history = append(r.history, porcupine.Operation{ClientId: client, Input: in, Call: call, Output: out, Return: ret})
}

// address is where the server is now; it moves when the server is killed.
type address struct {
	mu  sync.Mutex
	url string
}

func (a *address) get() string    { a.mu.Lock(); defer a.mu.Unlock(); return a.url }
func (a *address) set(url string) { a.mu.Lock(); defer a.mu.Unlock(); a.url = url }

// registers is what clients work on: two documents, so that they meet.
var registers = []string{"anna", "ben"}

// work lets one client read and write at random.
func work(r *recorder, where *address, id, ops int, random *rand.Rand) {
	seen := map[string]int{}
	for n := range ops {
		doc := registers[random.IntN(len(registers))]
		in := registerInput{doc: doc}
		call := r.at()
		if random.IntN(3) == 0 {
			out := readRegister(where.get(), doc)
			if !out.unknown { // a reading without an answer says nothing
				seen[doc] = out.rev
				r.add(id, call, in, out)
			}
			continue
		}
		in.write, in.parent, in.value = true, seen[doc], fmt.Sprintf("%s %d", doc, random.IntN(4))
		e := entry(0, edits.Person, doc, in.parent, cards.Person{ID: cards.PersonID(doc), Name: in.value, Roles: []cards.PersonRole{cards.PersonScrub}})
		e.ID = storetest.ID(id*1_000_000 + n + 1)
		out := writeRegister(where, e, random.IntN(12) == 0)
		if !out.unknown {
			seen[doc] = out.rev
		}
		r.add(id, call, in, out)
	}
}

// writeRegister sends an edit as devices do: again, under the same id, until
// there is a receipt. One that gives up leaves an operation without an end.
func writeRegister(where *address, e edits.Edit, givesUp bool) registerOutput {
	for {
		receipt, status := pushEdit(where.get(), e)
		if status == http.StatusOK {
			outcome := receipt.Outcome
			if outcome == edits.AlreadyApplied {
				outcome = receipt.First
			}
			return registerOutput{outcome: outcome, rev: receipt.Rev}
		}
		if givesUp {
			return registerOutput{unknown: true}
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// readRegister reads a document out of a snapshot.
func readRegister(url, doc string) registerOutput {
	var s struct {
		Docs []struct {
			Kind, ID string
			Rev      int
			Body     json.RawMessage
		}
	}
	if get(url, "snapshot", &s) != http.StatusOK {
		return registerOutput{unknown: true}
	}
	for _, d := range s.Docs {
		var p cards.Person
		if d.ID == doc && json.Unmarshal(d.Body, &p) == nil {
			return registerOutput{rev: d.Rev, value: p.Name}
		}
	}
	return registerOutput{}
}

// judgeHistory is the verdict on a history. One that takes too long counts as a failure.
func judgeHistory(history []porcupine.Operation) porcupine.CheckResult {
	return porcupine.CheckOperationsTimeout(register, history, 30*time.Second)
}

// TestLinearizable is row B7: eight clients over HTTP at a server that is
// killed again and again see one register a document, with conflict answers.
func TestLinearizable(t *testing.T) {
	const clients = 8
	for n := range size(t, 3, 200) {
		dir := filepath.Join(t.TempDir(), "data")
		server, url := serverAt(t, dir)
		where := &address{url: url}
		rec := &recorder{began: time.Now()}
		var wg sync.WaitGroup
		for id := range clients {
			wg.Go(func() { work(rec, where, id+1, 40, rand.New(rand.NewPCG(*seed+uint64(n), uint64(id)))) })
		}
		random := rand.New(rand.NewPCG(*seed+uint64(n), 0xdead))
		for range 3 {
			time.Sleep(time.Duration(50+random.IntN(200)) * time.Millisecond)
			server.kill()
			server, url = serverAt(t, dir)
			where.set(url)
		}
		wg.Wait()
		server.kill()
		if verdict := judgeHistory(rec.history); verdict != porcupine.Ok {
			t.Errorf("seed %d, history %d of %d operations: %s", *seed, n, len(rec.history), verdict)
		}
		if report, err := store.VerifyFile(filepath.Join(dir, store.FileName), store.Full); err != nil {
			t.Errorf("history %d: %+v, %v", n, report, err)
		}
		t.Logf("history %d: %d operations, %d without an answer", n, len(rec.history), unanswered(rec.history))
	}
}

func unanswered(history []porcupine.Operation) int {
	n := 0
	for _, op := range history {
		if op.Output.(registerOutput).unknown {
			n++
		}
	}
	return n
}

// TestLinearizableCatchesPlantedFaults: the judge refuses histories of wrong servers.
func TestLinearizableCatchesPlantedFaults(t *testing.T) {
	write := func(call, ret int64, parent int, value string, outcome edits.Outcome, rev int) porcupine.Operation {
		return porcupine.Operation{ClientId: 1, Call: call, Return: ret, Input: registerInput{"anna", true, parent, value},
			Output: registerOutput{outcome: outcome, rev: rev}}
	}
	read := func(call, ret int64, rev int, value string) porcupine.Operation {
		return porcupine.Operation{ClientId: 2, Call: call, Return: ret, Input: registerInput{doc: "anna"}, Output: registerOutput{rev: rev, value: value}}
	}
	first := write(1, 2, 0, "a", edits.Applied, 1)
	for name, history := range map[string][]porcupine.Operation{
		"a stale read":                 {first, write(3, 4, 1, "b", edits.Applied, 2), read(5, 6, 1, "a")},
		"a lost write":                 {first, read(3, 4, 0, "")},
		"an edit applied over another": {first, write(3, 4, 1, "b", edits.Applied, 2), write(5, 6, 1, "c", edits.Applied, 3)},
		"an edit taken twice":          {first, read(3, 4, 2, "a")},
		"a value nobody wrote":         {first, read(3, 4, 1, "z")},
	} {
		if verdict := judgeHistory(history); verdict != porcupine.Illegal {
			t.Errorf("%s: %s", name, verdict)
		}
	}
	good := []porcupine.Operation{first, write(3, 4, 1, "b", edits.Applied, 2), write(5, 6, 1, "c", edits.Questioned, 3), read(7, 8, 3, "b")}
	if verdict := judgeHistory(good); verdict != porcupine.Ok {
		t.Errorf("a right history: %s", verdict)
	}
}
