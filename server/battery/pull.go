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
// Where its author had read back an own earlier edit that is lost too, it comes
// after that one: counted from the shared revision alone, what the author took
// back since would stand as never touched.
func (d *device) compare(fresh map[edits.DocKey]edits.Document, has func(edits.EditID) bool, newID func() edits.EditID) []offer {
	shared := map[edits.DocKey]int{}
	for key, old := range d.mirror {
		shared[key] = sharedRevisions(old, fresh[key])
		if shared[key] < old.Rev {
			d.rescued = append(d.rescued, old)
		}
	}
	made := revisionsOf(d.mirror)
	back := map[edits.DocKey]ownRevision{}
	var offers []offer
	var outbox []held
	renamed := map[edits.EditID]edits.EditID{}
	for _, h := range d.inOrder() {
		there, key := has(h.edit.ID), edits.DocKey{Kind: h.edit.Kind, ID: h.edit.Doc}
		rev, lostParent := made[h.edit.ID], h.edit.Parent > shared[key]
		if own := back[key]; lostParent && h.edit.After == "" && own.rev <= h.edit.Parent && d.fault != OwnNotNamed {
			h.edit.After = own.id
		}
		after, moved := renamed[h.edit.After]
		if (lostParent || moved) && d.fault != OfferedUnchanged && !there {
			o := offer{was: h.edit.ID, is: newID()}
			offers, renamed[o.was] = append(offers, o), o.is
			h.edit.ID, h.edit.Parent = o.is, min(shared[key], h.edit.Parent)
			if moved {
				h.edit.After = after
			}
		}
		if rev > shared[key] {
			back[key] = ownRevision{rev: rev, id: h.edit.ID}
		}
		if h.epoch != "" && there {
			continue
		}
		h.epoch, h.seq, h.rev = "", 0, min(shared[key], h.rev)
		if lostParent {
			h.shown = nil // what it counts from now is not here
		}
		outbox = append(outbox, h)
	}
	d.kept = slices.DeleteFunc(slices.Clone(d.kept), func(h held) bool { return d.fault != NotOfferedAgain && !has(h.edit.ID) })
	d.outbox, d.sent = outbox, nil
	return offers
}

// ownRevision is a revision that a restored server has lost and that this device brings back, and under which id.
type ownRevision struct {
	rev int
	id  edits.EditID
}

// inOrder are the edits that a restored server may have lost, as they were made.
func (d *device) inOrder() []held {
	all := slices.Clone(d.outbox)
	if d.fault != NotOfferedAgain {
		all = slices.Concat(d.kept, d.outbox)
	}
	slices.SortStableFunc(all, func(a, b held) int { return cmp.Compare(a.n, b.n) })
	return all
}

// revisionsOf says which revision each edit made.
func revisionsOf(mirror map[edits.DocKey]edits.Document) map[edits.EditID]int {
	made := map[edits.EditID]int{}
	for _, doc := range mirror {
		for _, r := range doc.History {
			made[r.Edit] = r.Rev
		}
	}
	return made
}

// sharedRevisions counts the revisions that two histories begin with.
func sharedRevisions(a, b edits.Document) int {
	n := 0
	for n < len(a.History) && n < len(b.History) && a.History[n].Edit == b.History[n].Edit {
		n++
	}
	return n
}
