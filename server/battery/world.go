package battery

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"math/rand/v2"
	"slices"
	"time"

	"sideport/cards"
	"sideport/server/edits"
	"sideport/server/store/storetest"
)

// Schedule says what one simulation does.
type Schedule struct {
	Seed    uint64
	Devices int // 1 to 3
	Steps   int
	Fault   Fault
	// Alone lets one surgeon do everything at every device, so that nothing is a
	// proposal and all changes meet. Who is at a device still changes.
	Alone bool
	// Restores makes backups and restores common.
	Restores bool
	// Dir is a directory for the real store; empty: the memory log.
	Dir string
	// Clock moves every clock by this much from the start. The outcome must not depend on it.
	Clock time.Duration
	// Story, where given, gets a line for everything that happens.
	Story io.Writer
}

// Documents of every simulated unit.
var (
	theCard   = edits.DocKey{Kind: edits.Card, ID: "anna-chop"}
	theCase   = edits.DocKey{Kind: edits.Case, ID: "case-1"}
	thePerson = edits.DocKey{Kind: edits.Person, ID: "anna"}
)

// world is one simulation under way.
type world struct {
	Schedule
	rand    *rand.Rand
	unit    Unit
	devices []*device
	apart   []bool // devices that no message reaches
	bag     []message
	oracle  *oracle
	trace   hash.Hash
	story   io.Writer
	now     time.Time
	skew    []time.Duration // of the devices' clocks
	number  int
	epochs  int
	ids     uint64
	backed  bool
	early   []earlyAck
	result  Result
	failure error
}

// earlyAck is an edit that a faulty server has answered and not kept.
type earlyAck struct {
	now  time.Time
	edit edits.Edit
}

// message is on its way.
type message struct {
	device int
	to     string // "push", "receipts", "refused", "pull", "pulled"
	push   pushRequest
	answer struct {
		epoch    string
		receipts []edits.Receipt
		other    bool
	}
	pull pulled
}

// Run runs one schedule to its end and judges it.
func Run(s Schedule) Result {
	w := &world{Schedule: s, rand: rand.New(rand.NewPCG(s.Seed, 0x51de9047)), trace: sha256.New(), now: storetest.Start.Add(s.Clock)}
	w.oracle = newOracle()
	w.story = w.trace
	if s.Story != nil {
		w.story = io.MultiWriter(w.trace, s.Story)
	}
	if err := w.begin(); err != nil {
		w.fail(err)
	}
	for range s.Steps {
		if w.failure != nil {
			break
		}
		w.step()
	}
	w.end()
	w.result.Violation = w.failure
	w.result.Trace = hex.EncodeToString(w.trace.Sum(nil))
	return w.result
}

func (w *world) fail(err error) {
	if w.failure == nil && err != nil {
		w.failure = fmt.Errorf("seed %d: %w", w.Seed, err)
	}
}

func (w *world) log(format string, args ...any) { fmt.Fprintf(w.story, format+"\n", args...) }

func (w *world) begin() error {
	if w.Dir != "" {
		u, err := newOnDisk(w.Dir, w.random)
		if err != nil {
			return err
		}
		w.unit = u
	} else {
		wrap := func(l edits.Log) edits.Log { return l }
		if w.Fault != NoFault {
			wrap = func(l edits.Log) edits.Log { return faultyLog{l, w.Fault} }
		}
		w.unit = newInMemory(w.newEpoch(), wrap)
	}
	for i := range w.Devices {
		w.devices = append(w.devices, &device{id: storetest.DeviceID(fmt.Sprintf("device-%d", i)), fault: w.Fault, alone: w.Alone,
			person: people[i%len(people)], mirror: map[edits.DocKey]edits.Document{}})
		w.apart, w.skew = append(w.apart, false), append(w.skew, w.Clock)
	}
	return w.settleIn()
}

// settleIn puts in what every schedule begins with and lets every device read it.
func (w *world) settleIn() error {
	for _, first := range []struct {
		key  edits.DocKey
		body any
	}{{theCard, storetest.Card()}, {theCase, storetest.Case()}, {thePerson, storetest.Person()}} {
		e := edits.Edit{ID: w.newID(), Kind: first.key.Kind, Doc: first.key.ID, Author: "anna", Device: edits.ServerDevice,
			Made: w.clock(-1), Body: mustEncode(first.body)}
		w.oracle.made(e, nil)
		if r, err := w.unit.Accept(w.now, e); err != nil || r.Outcome != edits.Applied {
			return fmt.Errorf("begin %v: %+v, %w", first.key, r, err)
		}
	}
	for i := range w.devices {
		w.readNow(i)
	}
	return nil
}

// random fills b from the schedule's own source.
func (w *world) random(b []byte) {
	for i := range b {
		b[i] = byte(w.rand.Uint32())
	}
}

func (w *world) newID() edits.EditID {
	w.ids++
	return edits.EditID(fmt.Sprintf("%016x%016x", w.rand.Uint64(), w.ids))
}

func (w *world) newEpoch() string {
	w.epochs++
	return fmt.Sprintf("%032x", w.epochs)
}

// clock is what a device's clock says; -1 is the server's.
func (w *world) clock(device int) string {
	at := w.now
	if device >= 0 {
		at = storetest.Start.Add(w.now.Sub(storetest.Start) - w.Clock + w.skew[device])
	}
	return at.UTC().Format(time.RFC3339)
}

// step lets one thing happen. The weights make lost and late messages common and restores rare.
func (w *world) step() {
	i := w.rand.IntN(len(w.devices))
	switch p := w.weight(); {
	case p < 26:
		w.edit(i)
	case p < 41:
		w.startPush(i)
	case p < 53:
		w.startPull(i)
	case p < 79:
		w.deliver(true)
	case p < 83:
		w.deliver(false)
	case p < 87:
		w.repeat()
	case p < 89:
		w.apart[i] = !w.apart[i]
		w.log("apart %d %v", i, w.apart[i])
	case p < 92:
		w.log("restart device %d", i)
		w.devices[i].restart()
	case p < 94:
		w.restartServer()
	case p < 96:
		w.jump(i)
	case p < 98:
		w.devices[i].become(people[w.rand.IntN(len(people))])
		w.log("person %d %s", i, w.devices[i].person)
	case p < 99:
		w.backup()
	default:
		w.restore()
	}
}

func (w *world) weight() int {
	if w.Restores && w.rand.IntN(10) == 0 {
		return 98 + w.rand.IntN(2)
	}
	return w.rand.IntN(100)
}

// jump moves a clock by up to ten years, in either direction.
func (w *world) jump(i int) {
	by := time.Duration(w.rand.Int64N(int64(20*365*24)))*time.Hour - 10*365*24*time.Hour
	if w.rand.IntN(2) == 0 {
		w.skew[i] += by
	} else {
		w.now = w.now.Add(by)
	}
}

func (w *world) startPush(i int) {
	w.number++
	r, ok := w.devices[i].startPush(w.number, 1+w.rand.IntN(5))
	if !ok {
		return
	}
	r.device = i
	w.result.Pushes++
	w.send(message{device: i, to: "push", push: r})
}

func (w *world) startPull(i int) {
	w.number++
	d := w.devices[i]
	d.pull = w.number
	w.send(message{device: i, to: "pull", pull: pulled{number: w.number, after: d.seq, whole: d.whole || d.epoch == ""}})
}

func (w *world) send(m message) {
	w.log("send %d %s %d", m.device, m.to, m.push.number+m.pull.number)
	w.bag = append(w.bag, m)
}

// deliver takes any message out of the bag: late, early, or not at all.
func (w *world) deliver(arrives bool) {
	if len(w.bag) == 0 {
		return
	}
	at := w.rand.IntN(len(w.bag))
	m := w.bag[at]
	w.bag = slices.Delete(slices.Clone(w.bag), at, at+1)
	if !arrives || w.apart[m.device] {
		w.result.Lost++
		w.log("lose %d %s", m.device, m.to)
		return
	}
	w.arrive(m)
}

// repeat lets a request arrive once more. Answers are not repeated: a device waits for one answer to each request.
func (w *world) repeat() {
	var at []int
	for i, m := range w.bag {
		if m.to == "push" || m.to == "pull" {
			at = append(at, i)
		}
	}
	if len(at) > 0 {
		w.result.Repeated++
		w.bag = append(w.bag, w.bag[at[w.rand.IntN(len(at))]])
	}
}

func (w *world) arrive(m message) {
	w.log("arrive %d %s %d", m.device, m.to, m.push.number+m.pull.number)
	d := w.devices[m.device]
	switch m.to {
	case "push":
		w.serverTakes(m)
	case "pull":
		w.serverAnswers(m)
	case "receipts":
		if d.push == m.push.number {
			w.fail(w.oracle.acknowledged(w.unit, m.answer.epoch, m.answer.receipts))
			d.settle(m.answer.epoch, m.answer.receipts)
		}
	case "refused":
		if d.push == m.push.number {
			d.refused(m.push.edits, m.answer.other)
		}
	case "pulled":
		if d.pull == m.pull.number {
			w.deviceReads(m.device, m.pull)
		}
	}
}

func (w *world) deviceReads(i int, p pulled) {
	p.has = func(id edits.EditID) bool {
		_, ok, err := w.unit.Entry(id)
		w.fail(err)
		return ok
	}
	for _, o := range w.devices[i].take(p, w.newID) {
		w.result.OfferedAnew++
		w.oracle.offered(o)
	}
}

// serverTakes is a push at the server: refused, cut off in the middle, or taken.
func (w *world) serverTakes(m message) {
	info, err := w.unit.Info()
	w.fail(err)
	refuse := w.rand.IntN(30) == 0
	m.answer.other = m.push.epoch != "" && m.push.epoch != info.Epoch && w.Fault != ParentTrusted && w.Fault != OfferedUnchanged
	if refuse || m.answer.other {
		m.to = "refused"
		w.send(m)
		return
	}
	list := w.tampered(m.push)
	crash := len(list)
	if w.rand.IntN(25) == 0 {
		crash = w.rand.IntN(len(list) + 1)
	}
	for i, e := range list {
		if i == crash {
			w.restartServer()
			return // the reply is cut, what was committed stays
		}
		w.now = w.now.Add(time.Second)
		r, err := w.accept(e)
		if errors.Is(err, edits.ErrReused) {
			w.fail(fmt.Errorf("edit %s came with two contents", e.ID))
			return
		} else if err != nil {
			w.fail(err)
			return
		}
		w.log("taken %s %s %s %d", e.ID, r.Outcome, r.First, r.Rev)
		m.answer.receipts = append(m.answer.receipts, r)
	}
	if crash < len(list) {
		return
	}
	m.to, m.answer.epoch = "receipts", info.Epoch
	w.send(m)
}

// tampered is what a faulty server makes of a push before it judges; a right one takes it as it is.
func (w *world) tampered(p pushRequest) []edits.Edit {
	list := slices.Clone(p.edits)
	if w.Fault == OrderedByClock {
		slices.SortStableFunc(list, func(a, b edits.Edit) int { return cmpStrings(b.Made, a.Made) })
	}
	for i := range list {
		switch w.Fault {
		case AfterIgnored:
			list[i].After = ""
		case RelabelledByServer:
			list[i].Author = p.person
		case LastWriterWins:
			if doc, ok := w.head(list[i]); ok {
				list[i].Parent, list[i].After = doc.Rev, ""
			}
		}
	}
	return list
}

func cmpStrings(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func (w *world) head(e edits.Edit) (edits.Document, bool) {
	_, docs, err := w.unit.Snapshot()
	w.fail(err)
	i := slices.IndexFunc(docs, func(d edits.Document) bool { return d.Kind == e.Kind && d.ID == e.Doc })
	if i < 0 {
		return edits.Document{}, false
	}
	return docs[i], true
}

func (w *world) accept(e edits.Edit) (edits.Receipt, error) {
	if w.Fault == AckBeforeCommit {
		w.commitEarly(len(w.early) - 1) // all but the newest have reached the disk
		if _, seen, _ := w.unit.Entry(e.ID); !seen {
			w.early = append(w.early, earlyAck{w.now, e})
			return edits.Receipt{ID: e.ID, Outcome: edits.Applied, Kind: e.Kind, Doc: e.Doc, Rev: 1, Seq: 1}, nil
		}
	}
	return w.unit.Accept(w.now, e)
}

func (w *world) commitEarly(n int) {
	for range n {
		_, err := w.unit.Accept(w.early[0].now, w.early[0].edit)
		w.fail(err)
		w.early = w.early[1:]
	}
}

func (w *world) serverAnswers(m message) {
	m.to = "pulled"
	var err error
	if m.pull.whole {
		m.pull.info, m.pull.docs, err = w.unit.Snapshot()
	} else {
		m.pull.info, m.pull.docs, err = w.unit.Changes(m.pull.after)
	}
	w.fail(err)
	w.send(m)
}

func (w *world) restartServer() {
	w.log("restart server")
	w.result.Restarts++
	w.early = nil
	w.fail(w.unit.Restart())
}

func (w *world) backup() {
	w.log("backup")
	w.backed = true
	w.fail(w.unit.Backup())
}

// restore goes back to the newest backup. What the lost part of the log did is judged first.
func (w *world) restore() {
	if !w.backed {
		return
	}
	w.log("restore")
	w.result.Restores++
	w.fail(w.judgeLog())
	w.fail(w.unit.Restore(w.newEpoch()))
}

func (w *world) judgeLog() error {
	entries, err := w.unit.Entries()
	if err != nil {
		return err
	}
	return w.oracle.judge(entries)
}

// people of the unit. Which of them is where changes.
var people = []cards.PersonID{"anna", "ben", "cleo"}
