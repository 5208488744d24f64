package battery

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"sideport/server/edits"
)

// rounds bounds how long devices may take to agree once nothing disturbs them.
const rounds = 60

// end lets every message arrive, heals the network, lets every device send and
// read until all agree, lets owners answer what was proposed, and judges.
func (w *world) end() {
	for i := range w.apart {
		w.apart[i] = false
	}
	for range 10_000 {
		if len(w.bag) == 0 || w.failure != nil {
			break
		}
		w.deliver(true)
	}
	if w.failure == nil {
		w.early = w.early[:0]
		w.fail(w.converge())
	}
	if w.failure == nil {
		w.answerAll()
		w.fail(w.converge())
	}
	if w.failure == nil {
		w.fail(w.verdict())
	}
	if w.unit != nil {
		w.fail(w.unit.Close())
	}
}

func (w *world) converge() error {
	for range rounds {
		done := true
		for i, d := range w.devices {
			w.readNow(i)
			if len(d.outbox) > 0 && d.epoch != "" {
				done = false
				w.pushNow(i)
			}
		}
		if w.failure != nil {
			return nil
		}
		if done {
			return w.agree()
		}
	}
	return fmt.Errorf("after %d undisturbed rounds edits still wait", rounds)
}

// readNow is a pull that nothing disturbs; a device that then wants a snapshot reads once more.
func (w *world) readNow(i int) {
	for range 2 {
		w.startPull(i)
		w.arriveAll()
	}
}

func (w *world) pushNow(i int) {
	w.startPush(i)
	w.arriveAll()
}

func (w *world) arriveAll() {
	for len(w.bag) > 0 && w.failure == nil {
		m := w.bag[0]
		w.bag = slices.Clone(w.bag[1:])
		w.arrive(m)
	}
}

// agree checks that every device shows exactly what the server has.
func (w *world) agree() error {
	for i := range w.devices {
		w.readNow(i)
	}
	info, docs, err := w.unit.Snapshot()
	if err != nil {
		return err
	}
	for i, d := range w.devices {
		if d.epoch != info.Epoch || d.seq != info.Seq || len(d.mirror) != len(docs) {
			return fmt.Errorf("device %d is at %s/%d with %d documents, the server at %s/%d with %d",
				i, d.epoch, d.seq, len(d.mirror), info.Epoch, info.Seq, len(docs))
		}
		for _, doc := range docs {
			mirrored := d.mirror[edits.DocKey{Kind: doc.Kind, ID: doc.ID}]
			if mirrored.Seq != doc.Seq || mirrored.Rev != doc.Rev || !bytes.Equal(mirrored.Body, doc.Body) {
				return fmt.Errorf("device %d shows revision %d of %s and the server has %d", i, mirrored.Rev, doc.ID, doc.Rev)
			}
		}
	}
	return nil
}

func (w *world) verdict() error {
	entries, err := w.unit.Entries()
	if err != nil {
		return err
	}
	if err := w.oracle.judge(entries); err != nil {
		return err
	}
	if err := w.oracle.final(entries); err != nil {
		return err
	}
	_, docs, err := w.unit.Snapshot()
	if err != nil {
		return err
	}
	if err := w.oracle.listed(docs); err != nil {
		return err
	}
	findings, err := w.unit.Findings()
	if err != nil {
		return err
	}
	if len(findings) > 0 {
		return fmt.Errorf("the log does not agree with itself: %v", findings)
	}
	w.count(entries)
	return w.stored(entries)
}

// count adds up what happened and hashes the log without its times.
func (w *world) count(entries []edits.Entry) {
	sum := sha256.New()
	for _, e := range entries {
		switch e.Verdict.Outcome {
		case edits.Merged:
			w.result.Merged++
		case edits.Questioned:
			w.result.Questions++
		case edits.SetAside:
			w.result.SetAside++
		case edits.Proposed:
			w.result.Proposals++
		}
		w.result.Answers += len(e.Verdict.Answers)
		fmt.Fprintf(sum, "%d %s %s %d %s\n", e.Seq, e.Edit.ID, e.Verdict.Outcome, e.Verdict.Rev, e.Result())
		w.log("%s", mustEncode(e))
	}
	w.result.Bodies = hex.EncodeToString(sum.Sum(nil))
}

// stored compares every document with what the log makes of it.
func (w *world) stored(entries []edits.Entry) error {
	var again edits.Memory
	if err := replay(&again, entries); err != nil {
		return err
	}
	_, docs, err := w.unit.Snapshot()
	if err != nil {
		return err
	}
	for _, doc := range docs {
		want, ok, err := again.Document(doc.Kind, doc.ID)
		if err != nil {
			return err
		}
		if !ok || !bytes.Equal(mustEncode(want), mustEncode(doc)) {
			return fmt.Errorf("%s %s is not what the log makes of it", doc.Kind, doc.ID)
		}
	}
	return nil
}
