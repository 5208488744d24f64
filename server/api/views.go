package api

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"sync"

	"sideport/cards"
	"sideport/server/edits"
)

// views keeps what the newest revision of each card looks like ready to show.
// Making it takes milliseconds a card and every device asks for all of them.
// A revision never changes, so what is kept is never stale.
type views struct {
	mu   sync.Mutex
	kept map[string]view
	// damaged are the cards that nothing can be made of. They are named in every answer to who reads.
	damaged map[string]bool
}

type view struct {
	rev  int
	json json.RawMessage
}

// of returns the view of a document; only cards have one.
func (v *views) of(d edits.Document) (json.RawMessage, error) {
	if d.Kind != edits.Card {
		return nil, nil
	}
	v.mu.Lock()
	kept, ok := v.kept[d.ID]
	v.mu.Unlock()
	if ok && kept.rev == d.Rev {
		return kept.json, nil
	}
	made, err := viewOf(d.Kind, d.Body)
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.kept == nil {
		v.kept, v.damaged = map[string]view{}, map[string]bool{}
	}
	if err != nil {
		v.damaged[d.ID] = true
		return nil, err
	}
	delete(v.damaged, d.ID)
	v.kept[d.ID] = view{d.Rev, made}
	return made, nil
}

// damagedCards lists the cards that nothing could be made of.
func (v *views) damagedCards() []string {
	v.mu.Lock()
	defer v.mu.Unlock()
	return slices.Sorted(maps.Keys(v.damaged))
}

// viewOf makes a card ready to show; other kinds have no view.
func viewOf(kind edits.Kind, body []byte) (json.RawMessage, error) {
	if kind != edits.Card {
		return nil, nil
	}
	var card cards.Card
	if err := cards.Decode(body, &card); err != nil {
		return nil, fmt.Errorf("%w: %v", edits.ErrDamaged, err)
	}
	return edits.Encode(cards.NewView(card))
}
