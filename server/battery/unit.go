package battery

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"time"

	"sideport/server/edits"
	"sideport/server/store"
)

// Unit is the server's log, as the simulation needs it.
type Unit interface {
	Accept(now time.Time, e edits.Edit) (edits.Receipt, error)
	Info() (edits.Info, error)
	Snapshot() (edits.Info, []edits.Document, error)
	Changes(after edits.Seq) (edits.Info, []edits.Document, error)
	Entry(edits.EditID) (edits.Entry, bool, error)
	// Entries is the whole log, oldest first.
	Entries() ([]edits.Entry, error)
	// Restart is a crash and a new start: what was acknowledged must be there.
	Restart() error
	// Backup keeps a copy; Restore goes back to the newest one under a new epoch.
	Backup() error
	Restore(epoch string) error
	// Findings says everything that does not agree inside.
	Findings() ([]string, error)
	Close() error
}

// inMemory is a Unit on the memory log of package edits. Fast; most schedules use it.
type inMemory struct {
	log    edits.Memory
	epoch  string
	backup []edits.Entry
	wrap   func(edits.Log) edits.Log
}

func newInMemory(epoch string, wrap func(edits.Log) edits.Log) *inMemory {
	return &inMemory{epoch: epoch, wrap: wrap}
}

func (m *inMemory) Accept(now time.Time, e edits.Edit) (edits.Receipt, error) {
	return edits.Accept(m.wrap(&m.log), now, e)
}

func (m *inMemory) Info() (edits.Info, error) {
	return edits.Info{Epoch: m.epoch, Seq: edits.Seq(len(m.log.Entries()))}, nil
}

func (m *inMemory) Snapshot() (edits.Info, []edits.Document, error) { return m.Changes(0) }

func (m *inMemory) Changes(after edits.Seq) (edits.Info, []edits.Document, error) {
	info, err := m.Info()
	var docs []edits.Document
	seen := map[edits.DocKey]bool{}
	for _, e := range m.log.Entries() {
		key := edits.DocKey{Kind: e.Edit.Kind, ID: e.Edit.Doc}
		if doc, ok, _ := m.log.Document(key.Kind, key.ID); ok && !seen[key] && doc.Seq > after {
			seen[key] = true
			docs = append(docs, doc)
		}
	}
	return info, docs, err
}

func (m *inMemory) Entry(id edits.EditID) (edits.Entry, bool, error) { return m.log.Entry(id) }

func (m *inMemory) Entries() ([]edits.Entry, error) { return m.log.Entries(), nil }

func (m *inMemory) Restart() error { return nil }

func (m *inMemory) Backup() error { m.backup = m.log.Entries(); return nil }

func (m *inMemory) Restore(epoch string) error {
	m.log, m.epoch = edits.Memory{}, epoch
	return replay(&m.log, m.backup)
}

// replay puts entries into an empty log as they were judged.
func replay(log edits.Log, entries []edits.Entry) error {
	for _, e := range entries {
		var after *edits.Document
		if e.Verdict.Outcome != edits.SetAside {
			before, ok, err := log.Document(e.Edit.Kind, e.Edit.Doc)
			if err != nil {
				return fmt.Errorf("replay: %w", err)
			}
			was := &before
			if !ok {
				was = nil
			}
			doc := edits.Apply(was, e)
			after = &doc
		}
		if err := log.Append(e, after); err != nil {
			return fmt.Errorf("replay: %w", err)
		}
	}
	return nil
}

func (m *inMemory) Findings() ([]string, error) { return nil, nil }

func (m *inMemory) Close() error { return nil }

// onDisk is a Unit on the real store.
type onDisk struct {
	*store.Store
	root    string
	dir     string
	backups int
	restore int
	random  func([]byte)
}

// newOnDisk makes a unit in a directory below root.
func newOnDisk(root string, random func([]byte)) (*onDisk, error) {
	u := &onDisk{root: root, dir: filepath.Join(root, "data-0"), random: random}
	if err := store.Create(u.dir, random); err != nil {
		return nil, err
	}
	return u, u.open()
}

func (u *onDisk) open() (err error) {
	u.Store, err = store.Open(u.dir)
	return err
}

func (u *onDisk) Entries() ([]edits.Entry, error) {
	var entries []edits.Entry
	err := u.View(func(tx *store.Tx) error {
		info, err := tx.Info()
		for seq := edits.Seq(1); err == nil && seq <= info.Seq; seq++ {
			var e edits.Entry
			e, err = tx.At(seq)
			entries = append(entries, e)
		}
		return err
	})
	return entries, err
}

func (u *onDisk) Restart() error {
	if err := u.Store.Close(); err != nil {
		return err
	}
	return u.open()
}

func (u *onDisk) backupPath() string {
	return filepath.Join(u.root, fmt.Sprintf("backup-%d.db", u.backups))
}

func (u *onDisk) Backup() error {
	u.backups++
	_, err := u.Store.Backup(u.backupPath())
	return err
}

func (u *onDisk) Restore(string) error {
	if err := u.Store.Close(); err != nil {
		return err
	}
	u.restore++
	u.dir = filepath.Join(u.root, fmt.Sprintf("data-%d", u.restore))
	if _, err := store.Restore(u.backupPath(), u.dir, u.random); err != nil {
		return err
	}
	return u.open()
}

func (u *onDisk) Findings() ([]string, error) {
	report, err := u.Verify(store.Full)
	return report.Findings, err
}

// compact is JSON with its keys sorted, so that equal values are equal texts.
func compact(raw json.RawMessage) string {
	var v any
	if json.Unmarshal(raw, &v) != nil {
		return string(raw)
	}
	b, err := json.Marshal(v)
	if err != nil {
		return string(raw)
	}
	return string(b)
}
