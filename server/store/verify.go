package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"

	"go.etcd.io/bbolt"

	"sideport/server/edits"
)

// Report is what Verify found.
type Report struct {
	Info      edits.Info
	Documents int
	Events    uint64
	EventHead string
	// Findings say what is wrong, at most maxFindings of them; none means that everything agrees.
	Findings []string
}

const maxFindings = 20

// Depth says how much Verify does.
type Depth int

const (
	// Quick checks the pages of the file, every hash, the chain and that the documents are what the log made of them.
	Quick Depth = iota
	// Full also judges every edit again, with the rules of this program.
	Full
)

// Verify recomputes everything that can be recomputed and compares.
func (s *Store) Verify(depth Depth) (Report, error) {
	var report Report
	err := s.View(func(tx *Tx) error {
		v := &verifier{tx: tx, depth: depth, docs: map[edits.DocKey]edits.Document{}, newest: map[edits.EditID]edits.Seq{}}
		v.pages()
		v.log()
		v.indexes()
		v.documents()
		v.people()
		v.events()
		slices.Sort(v.findings)
		report = Report{Info: v.info, Documents: len(v.docs), Events: v.eventSeq, EventHead: v.eventHead, Findings: v.findings}
		return nil
	})
	return report, err
}

type verifier struct {
	tx        *Tx
	depth     Depth
	info      edits.Info
	docs      map[edits.DocKey]edits.Document // rebuilt from the log
	newest    map[edits.EditID]edits.Seq      // of each id, up to the record looked at
	revisions int
	eventSeq  uint64
	eventHead string
	findings  []string
}

func (v *verifier) found(format string, args ...any) {
	if len(v.findings) < maxFindings {
		v.findings = append(v.findings, fmt.Sprintf(format, args...))
	}
}

func (v *verifier) pages() {
	for err := range v.tx.tx.Check() {
		v.found("pages of the file: %v", err)
	}
}

// log walks the chain and rebuilds every document.
func (v *verifier) log() {
	m, err := v.tx.meta()
	if err != nil {
		v.found("%v", err)
		return
	}
	v.info = edits.Info{Epoch: m.Epoch, Seq: m.Seq, Head: m.Head}
	if !edits.IsHex32(m.Epoch) {
		v.found("the epoch %q is not 32 hex digits", m.Epoch)
	}
	prev := noRecord
	for seq := edits.Seq(1); seq <= m.Seq; seq++ {
		r, sum, err := v.tx.record(seq)
		if err != nil {
			v.found("%v", err)
			return // everything after would fail for this one's sake
		}
		if r.Prev != prev {
			v.found("record %d does not follow from record %d: the chain is broken", seq, seq-1)
		}
		prev = sum
		v.entry(r.Entry)
	}
	for id, seq := range v.newest {
		v.points(bucketEdits, []byte(id), seq)
	}
	if prev != m.Head {
		v.found("the newest record is not the head of the log")
	}
	if n := count(v.tx.tx.Bucket(bucketLog)); n != int(m.Seq) {
		v.found("the log holds %d records and should hold %d", n, m.Seq)
	}
}

// entry applies one entry to the rebuilt documents and checks its places in the indexes.
func (v *verifier) entry(e edits.Entry) {
	key := edits.DocKey{Kind: e.Edit.Kind, ID: e.Edit.Doc}
	var before *edits.Document
	if doc, ok := v.docs[key]; ok {
		before = &doc
	}
	if v.depth == Full {
		v.judge(e, before)
	}
	v.place(e)
	if e.Verdict.Outcome == edits.SetAside {
		return
	}
	if e.Verdict.Rev > 0 {
		v.points(bucketRevisions, revKey(key.Kind, key.ID, e.Verdict.Rev), e.Seq)
		v.revisions++
	}
	v.docs[key] = edits.Apply(before, e)
}

// place remembers where an id stands. Only one that was set aside for who sent it can come again.
func (v *verifier) place(e edits.Entry) {
	if at, seen := v.newest[e.Edit.ID]; seen {
		if first, _, err := v.tx.record(at); err == nil && !first.Entry.Refused() {
			v.found("records %d and %d hold the same edit %s", at, e.Seq, e.Edit.ID)
		}
	}
	v.newest[e.Edit.ID] = e.Seq
}

func (v *verifier) points(bucket, key []byte, seq edits.Seq) {
	payload, ok, err := v.tx.get(bucket, key)
	switch {
	case err != nil:
		v.found("%v", err)
	case !ok, !bytes.Equal(payload, seqKey(seq)):
		v.found("%s %q does not point to record %d", bucket, key, seq)
	}
}

// judge compares the verdict with that of the rules of this program, where the same edition of the rules judged.
func (v *verifier) judge(e edits.Entry, before *edits.Document) {
	if e.Verdict.Rules != edits.RulesEdition || e.Refused() {
		return
	}
	again, err := edits.Judge(past{v.tx, e.Seq, v.newest}, before, e.At, e.Edit)
	if err != nil {
		v.found("record %d cannot be judged again: %v", e.Seq, err)
		return
	}
	repeat := e
	repeat.Verdict = again
	same := again.Outcome == e.Verdict.Outcome && again.Rev == e.Verdict.Rev && bytes.Equal(repeat.Result(), e.Result()) &&
		slices.Equal(again.Decided, e.Verdict.Decided) && slices.EqualFunc(again.Questions, e.Verdict.Questions, sameQuestion) &&
		slices.Equal(again.Answers, e.Verdict.Answers) && bytes.Equal(again.Base, e.Verdict.Base)
	if !same {
		v.found("record %d says %q and the rules of this program say %q", e.Seq, e.Verdict.Outcome, again.Outcome)
	}
}

func sameQuestion(a, b edits.Question) bool {
	return a.ID == b.ID && bytes.Equal(a.Base, b.Base) && bytes.Equal(a.Head, b.Head) && bytes.Equal(a.Mine, b.Mine)
}

// past is the log as it was before one entry.
type past struct {
	tx     *Tx
	before edits.Seq
	places map[edits.EditID]edits.Seq
}

func (p past) Entry(id edits.EditID) (edits.Entry, bool, error) {
	seq, ok := p.places[id]
	if !ok {
		return edits.Entry{}, false, nil
	}
	e, err := p.tx.At(seq)
	return e, err == nil, err
}

func (p past) Revision(kind edits.Kind, doc string, rev int) (json.RawMessage, bool, error) {
	e, ok, err := p.tx.RevisionEntry(kind, doc, rev)
	return e.Result(), ok && e.Seq < p.before, err
}

func (v *verifier) indexes() {
	for _, x := range []struct {
		bucket []byte
		want   int
	}{{bucketEdits, len(v.newest)}, {bucketRevisions, v.revisions}, {bucketDocuments, len(v.docs)}} {
		if n := count(v.tx.tx.Bucket(x.bucket)); n != x.want {
			v.found("%s holds %d and the log makes %d", x.bucket, n, x.want)
		}
	}
}

// documents compares what is stored with what the log makes, byte by byte.
func (v *verifier) documents() {
	for key, doc := range v.docs {
		want, err := edits.Encode(doc)
		if err != nil {
			v.found("%s %s: %v", key.Kind, key.ID, err)
			continue
		}
		got, ok, err := v.tx.get(bucketDocuments, docKey(key.Kind, key.ID))
		switch {
		case err != nil:
			v.found("%v", err)
		case !ok:
			v.found("%s %s is missing", key.Kind, key.ID)
		case !bytes.Equal(got, want):
			v.found("%s %s is not what the log makes of it", key.Kind, key.ID)
		}
	}
}

func count(b *bbolt.Bucket) int {
	n := 0
	c := b.Cursor()
	for k, _ := c.First(); k != nil; k, _ = c.Next() {
		n++
	}
	return n
}
