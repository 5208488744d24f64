// Package api serves a unit over HTTP: the JSON interface that docs/api.md
// describes and the built web client.
//
// routes.go is the whole route table; each handler is a file named by what it
// does. Handlers know the log only as the interface Store. Every string and
// slice the web framework hands out is reused for the next request, so what
// outlives a handler is copied at its door.
package api
