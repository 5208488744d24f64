package store

import "go.etcd.io/bbolt"

// people checks the hash of every row about people and devices.
func (v *verifier) people() {
	b := v.tx.tx.Bucket(bucketPeople)
	if b == nil { // a file of layout 1
		return
	}
	_ = b.ForEach(func(key, value []byte) error { // it returns no error of its own
		if _, err := unseal(bucketPeople, key, value); err != nil {
			v.found("%v", err)
		}
		return nil
	})
}

// events walks the chain of events.
func (v *verifier) events() {
	var err error
	if v.eventSeq, v.eventHead, err = v.tx.EventHead(); err != nil {
		v.found("%v", err)
		return
	}
	prev := noRecord
	for seq := uint64(1); seq <= v.eventSeq; seq++ {
		_, hash, before, err := v.tx.Event(seq)
		if err != nil {
			v.found("%v", err)
			return
		}
		if before != prev {
			v.found("event %d does not follow from event %d: the chain is broken", seq, seq-1)
		}
		prev = hash
	}
	if prev != v.eventHead {
		v.found("the newest event is not the head of the events")
	}
	v.eventCount(v.tx.tx.Bucket(bucketEvents))
}

func (v *verifier) eventCount(b *bbolt.Bucket) {
	if b != nil && count(b) != int(v.eventSeq) {
		v.found("there are %d events and should be %d", count(b), v.eventSeq)
	}
}
