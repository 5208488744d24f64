// Package battery attacks the program the way the world does and reports what
// was lost: disks that tear writes, disks that fail, bits that rot, networks
// that drop and repeat, clocks that lie, servers restored from an old copy.
//
// The library half is a deterministic simulation (Run): a server with the real
// rules of package edits, up to three devices that follow docs/sync.md, and an
// oracle that remembers what every person meant and saw. The tests hold the
// rest. docs/reliability.md says what each row does and how to run it.
//
// A battery that cannot fail is worthless, so every row is also run against
// faults planted on purpose (Fault, and the planted disks and stores of the
// tests), and a test expects each of them to be caught.
//
// # Caveats
//
// No violation found is not the same as none there. The disk of the tests has
// one machine's view of a disk: ordered fsyncs and tearing at 512 bytes.
// Drives that lie about fsync are not modelled.
package battery
