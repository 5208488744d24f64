package battery_test

import (
	"fmt"
	"net/http"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"sideport/server/edits"
	"sideport/server/store"
)

// pressure pushes edits of documents of its own until stopped, each until it has a receipt.
type pressure struct {
	stop atomic.Bool
	wg   sync.WaitGroup
	mu   sync.Mutex
	kept []edits.Edit // in the order of each writer
}

func (p *pressure) start(where *address, writers int) {
	for id := range writers {
		p.wg.Go(func() {
			doc := fmt.Sprintf("person-%d", id)
			for n := 0; !p.stop.Load(); n++ {
				e := personEdit(id, doc, n)
				if !p.keep(where, e) {
					return
				}
			}
		})
	}
}

func (p *pressure) keep(where *address, e edits.Edit) bool {
	for !p.stop.Load() {
		if _, status := pushEdit(where.get(), e); status == http.StatusOK {
			p.mu.Lock()
			p.kept = append(p.kept, e)
			p.mu.Unlock()
			return true
		}
		time.Sleep(10 * time.Millisecond)
	}
	return false
}

func (p *pressure) end() []edits.Edit {
	p.stop.Store(true)
	p.wg.Wait()
	return p.kept
}

// TestBackupUnderLoad is the first part of row B11: a copy made while edits
// pour in is one moment of the log, verified, and holds everything that was
// acknowledged before it was asked for.
func TestBackupUnderLoad(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	_, url := serverAt(t, dir)
	p := &pressure{}
	p.start(&address{url: url}, 3)
	for n := range size(t, 4, 100) {
		time.Sleep(100 * time.Millisecond)
		p.mu.Lock()
		before := len(p.kept)
		p.mu.Unlock()
		var made struct {
			Path, Head string
			Seq        int
		}
		if status := post(url, "backup", map[string]string{"name": fmt.Sprintf("copy-%d.db", n)}, &made); status != http.StatusOK {
			t.Fatalf("backup %d: %d", n, status)
		}
		report, err := store.VerifyFile(made.Path, store.Full)
		if err != nil || report.Info.Head != made.Head || int(report.Info.Seq) != made.Seq {
			t.Errorf("the copy is not the moment that was named: %+v, %+v, %v", report.Info, made, err)
		}
		if made.Seq < before {
			t.Errorf("%d edits were acknowledged before, the copy holds %d", before, made.Seq)
		}
	}
	if kept := p.end(); len(kept) < 10 {
		t.Errorf("only %d edits: there was no load", len(kept))
	}
}

// TestKillDuringBackup: a server killed in the middle of a copy leaves no file
// with the copy's name that is not whole, and its own data as they were.
func TestKillDuringBackup(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	server, url := serverAt(t, dir)
	where := &address{url: url}
	p := &pressure{}
	p.start(where, 3)
	time.Sleep(400 * time.Millisecond)
	names := 0
	for n := range size(t, 8, 200) {
		name := fmt.Sprintf("copy-%d.db", n)
		gone := make(chan int, 1)
		go func() { gone <- post(where.get(), "backup", map[string]string{"name": name}, &struct{}{}) }()
		time.Sleep(time.Duration(n%8) * 3 * time.Millisecond)
		server.kill()
		status := <-gone
		report, err := store.VerifyFile(filepath.Join(dir, "backups", name), store.Full)
		switch {
		case err == nil && report.Info.Seq > 0:
			names++
		case status == http.StatusOK:
			t.Errorf("%s was acknowledged and is not whole: %v", name, err)
		case !isNoData(err):
			t.Errorf("%s has its name and is not whole: %v", name, err)
		}
		server, url = serverAt(t, dir)
		where.set(url)
	}
	kept := p.end()
	wantKept(t, url, kept)
	t.Logf("%d of the copies were whole, %d edits kept", names, len(kept))
}

// wantKept checks that every acknowledged edit is there.
func wantKept(t *testing.T, url string, kept []edits.Edit) {
	t.Helper()
	for _, e := range kept {
		var got struct{ Edit edits.Edit }
		if status := get(url, "edits/"+string(e.ID), &got); status != http.StatusOK || string(got.Edit.Body) != string(e.Body) {
			t.Errorf("edit %s was acknowledged and is gone: %d", e.ID, status)
		}
	}
}

// TestOlderBackupRestored is the rest of row B11: an older copy comes back
// under a new epoch; a device that has not noticed is refused; offered again,
// everything that was acknowledged is there once more.
func TestOlderBackupRestored(t *testing.T) {
	root := t.TempDir()
	server, url := serverAt(t, filepath.Join(root, "data"))
	p := &pressure{}
	p.start(&address{url: url}, 2)
	time.Sleep(200 * time.Millisecond)
	var made struct{ Path string }
	if status := post(url, "backup", map[string]string{"name": "monday.db"}, &made); status != http.StatusOK {
		t.Fatalf("backup: %d", status)
	}
	time.Sleep(200 * time.Millisecond)
	kept := p.end()
	var health struct{ Epoch string }
	get(url, "health", &health)
	server.kill()
	restored := filepath.Join(root, "restored")
	report, err := store.Restore(made.Path, restored, store.Random)
	if err != nil || report.Info.Epoch == health.Epoch || int(report.Info.Seq) >= len(kept) {
		t.Fatalf("restored %+v of %d edits, %v", report.Info, len(kept), err)
	}
	_, url = serverAt(t, restored)
	late := kept[len(kept)-1]
	if status := post(url, "edits", map[string]any{"protocol": 1, "epoch": health.Epoch, "device": late.Device, "edits": []edits.Edit{late}}, &struct{}{}); status != http.StatusConflict {
		t.Errorf("a push of the old epoch was answered %d", status)
	}
	for _, e := range kept {
		if r, err := pushUntilKept(url, e, 5*time.Second); err != nil || r.Outcome == edits.SetAside {
			t.Errorf("offered again: %+v, %v", r, err)
		}
	}
	wantKept(t, url, kept)
	t.Logf("%d edits, %d of them lost by the restore and offered again", len(kept), len(kept)-int(report.Info.Seq))
}
