package battery

import (
	"cmp"
	"slices"

	"sideport/server/edits"
)

// pulled is the server's answer to a device that reads.
type pulled struct {
	number int
	after  edits.Seq
	whole  bool // a snapshot
	info   edits.Info
	docs   []edits.Document
	has    func(edits.EditID) bool // whether the server has an edit (GET /api/v1/edits/ID)
}

// take stores what was read. It reports which edits were offered anew.
func (d *device) take(p pulled, newID func() edits.EditID) []offer {
	otherEpoch := p.info.Epoch != d.epoch && d.fault != EpochIgnored
	switch {
	case !p.whole && (otherEpoch || p.info.Seq < d.seq):
		d.whole = true // the places of another epoch say nothing: read everything again
		return nil
	case !p.whole && p.after != d.seq:
		return nil // an answer that does not continue what is here
	}
	d.whole = false
	var offers []offer
	if p.whole {
		fresh := map[edits.DocKey]edits.Document{}
		for _, doc := range p.docs {
			fresh[edits.DocKey{Kind: doc.Kind, ID: doc.ID}] = doc
		}
		if otherEpoch && d.epoch != "" {
			offers = d.compare(fresh, p.has, newID)
		}
		d.mirror = fresh
	} else if d.fault != PlaceBeforeDocs || len(p.docs) < 2 {
		for _, doc := range p.docs {
			d.mirror[edits.DocKey{Kind: doc.Kind, ID: doc.ID}] = doc
		}
	}
	d.epoch, d.seq = p.info.Epoch, p.info.Seq
	d.sent = slices.DeleteFunc(slices.Clone(d.sent), func(h held) bool { return h.epoch != d.epoch || h.seq <= d.seq })
	return offers
}

// offer is an edit under a new id, because what it was made from is gone.
type offer struct{ was, is edits.EditID }

// compare looks at a restored server and offers again whatever of this device
// it has lost: received edits as well as waiting ones, in the order in which
// they were made. An edit whose parent the server still has goes out as it is,
// under its own id. One whose parent is gone would be judged against a
// revision its author never saw: it goes out under a new id, made from the
// newest revision that both histories share, so that nothing passes for agreed.
func (d *device) compare(fresh map[edits.DocKey]edits.Document, has func(edits.EditID) bool, newID func() edits.EditID) []offer {
	shared := map[edits.DocKey]int{}
	for key, old := range d.mirror {
		shared[key] = sharedRevisions(old, fresh[key])
		if shared[key] < old.Rev {
			d.rescued = append(d.rescued, old)
		}
	}
	all := slices.Clone(d.outbox)
	if d.fault != NotOfferedAgain {
		all = slices.Concat(d.kept, d.outbox)
	}
	slices.SortStableFunc(all, func(a, b held) int { return cmp.Compare(a.n, b.n) })
	var offers []offer
	var outbox []held
	renamed := map[edits.EditID]edits.EditID{}
	for _, h := range all {
		if h.epoch != "" && has(h.edit.ID) {
			continue
		}
		key := edits.DocKey{Kind: h.edit.Kind, ID: h.edit.Doc}
		after, moved := renamed[h.edit.After]
		if (h.edit.Parent > shared[key] || moved) && d.fault != OfferedUnchanged && !has(h.edit.ID) {
			o := offer{was: h.edit.ID, is: newID()}
			offers, renamed[o.was] = append(offers, o), o.is
			h.edit.ID, h.edit.After, h.edit.Parent = o.is, after, min(shared[key], h.edit.Parent)
		}
		h.epoch, h.seq, h.rev = "", 0, min(shared[key], h.rev)
		outbox = append(outbox, h)
	}
	d.kept = slices.DeleteFunc(slices.Clone(d.kept), func(h held) bool { return d.fault != NotOfferedAgain && !has(h.edit.ID) })
	d.outbox, d.sent = outbox, nil
	return offers
}

// sharedRevisions counts the revisions that two histories begin with.
func sharedRevisions(a, b edits.Document) int {
	n := 0
	for n < len(a.History) && n < len(b.History) && a.History[n].Edit == b.History[n].Edit {
		n++
	}
	return n
}
