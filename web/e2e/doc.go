// Package e2e holds the journeys: a real server process, a real browser and a
// person's hands. The server is killed, not mocked; the browser is closed and
// opened again on the same profile.
//
// What is not tested here: the eviction rules of a tablet's own browser, and
// anything that needs a second machine.
package e2e

//go:generate go run ./ensure
