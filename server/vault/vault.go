// Package vault lets package people keep its tables in the store: people knows
// no database, the store knows no people.
package vault

import (
	"sideport/server/people"
	"sideport/server/store"
)

// Of is the store as package people sees it.
func Of(s *store.Store) people.Vault { return vault{s} }

type vault struct{ *store.Store }

// Update runs a writing transaction.
func (v vault) Update(do func(people.Tx) error) error {
	return v.Store.Update(func(tx *store.Tx) error { return do(tx) })
}

// View runs a reading transaction.
func (v vault) View(do func(people.Tx) error) error {
	return v.Store.View(func(tx *store.Tx) error { return do(tx) })
}
