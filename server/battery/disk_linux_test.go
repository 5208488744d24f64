package battery_test

import (
	"context"
	"os"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"

	"github.com/hanwen/go-fuse/v2/fs"
	"github.com/hanwen/go-fuse/v2/fuse"
)

// disk is a file system in memory that records what is done to it, in order,
// and can let one call fail. The process that uses it must be another one: a
// page fault on a mapped file would wait for the goroutine that serves it.
type disk struct {
	mu     sync.Mutex
	dir    string
	root   *diskDir
	events []event
	calls  int // writes, truncates, fsyncs and renames so far
	failAt int // the call that fails, from 1; 0: none
	fault  diskFault
	after  bool // a short write happened: the next write finds the disk full
}

// diskFault is how a call fails.
type diskFault string

const (
	ioError    diskFault = "input/output error"
	diskFull   diskFault = "no space left"
	shortWrite diskFault = "half the write, then no space left"
)

type eventKind string

const (
	evWrite    eventKind = "write"
	evTruncate eventKind = "truncate"
	evSync     eventKind = "sync"
	evRename   eventKind = "rename"
	evAck      eventKind = "acknowledge"
)

// event is one thing that happened to the disk.
type event struct {
	kind eventKind
	file *diskFile
	off  int64
	data []byte // of a write
	name string // of a rename
}

// mount makes the disk. It needs /dev/fuse and the right to mount.
func mount(t *testing.T) *disk {
	t.Helper()
	d := &disk{dir: t.TempDir()}
	d.root = &diskDir{d: d}
	options := &fs.Options{MountOptions: fuse.MountOptions{DirectMountStrict: true, FsName: "sideport-test", DisableXAttrs: true, Options: []string{"default_permissions"}}}
	server, err := fs.Mount(d.dir, d.root, options)
	if err != nil {
		t.Fatalf("the disk of this test cannot be mounted (%v): run it as root on Linux with /dev/fuse, in a container with --device /dev/fuse --cap-add SYS_ADMIN", err)
	}
	t.Cleanup(func() {
		if err := server.Unmount(); err != nil {
			t.Errorf("unmount: %v", err)
		}
	})
	return d
}

// count is called at the start of every call that may fail. It reports how this one does.
func (d *disk) count() (diskFault, bool) {
	d.calls++
	if d.after {
		d.after = false
		return diskFull, true
	}
	return d.fault, d.failAt == d.calls
}

func (f diskFault) errno() syscall.Errno {
	if f == ioError {
		return syscall.EIO
	}
	return syscall.ENOSPC
}

// arm lets the k-th call from now on fail; 0 lets none.
func (d *disk) arm(k int, f diskFault) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.calls, d.failAt, d.fault, d.after = 0, k, f, false
}

// seen is what has happened so far.
func (d *disk) seen() []event {
	d.mu.Lock()
	defer d.mu.Unlock()
	return slices.Clone(d.events)
}

func (d *disk) callsSoFar() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.calls
}

// clear takes every file off the disk and forgets what happened.
func (d *disk) clear() {
	d.mu.Lock()
	defer d.mu.Unlock()
	for name := range d.root.Children() {
		d.root.RmChild(name)
	}
	d.events = nil
}

func (d *disk) record(e event) {
	if strings.HasPrefix(e.file.name, ackFile) {
		if e.kind != evWrite {
			return
		}
		e = event{kind: evAck, file: e.file}
	}
	d.events = append(d.events, e)
}

type diskDir struct {
	fs.Inode
	d *disk
}

func (n *diskDir) Create(ctx context.Context, name string, _, mode uint32, _ *fuse.EntryOut) (*fs.Inode, fs.FileHandle, uint32, syscall.Errno) {
	file := &diskFile{d: n.d, name: name}
	return n.NewPersistentInode(ctx, file, fs.StableAttr{Mode: syscall.S_IFREG}), nil, 0, 0
}

func (n *diskDir) Rename(_ context.Context, name string, _ fs.InodeEmbedder, newName string, _ uint32) syscall.Errno {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	if f, fails := n.d.count(); fails {
		return f.errno()
	}
	file := n.GetChild(name).Operations().(*diskFile)
	file.name = newName
	n.d.record(event{kind: evRename, file: file, name: newName})
	return 0
}

func (n *diskDir) Unlink(context.Context, string) syscall.Errno { return 0 }

func (n *diskDir) Fsync(context.Context, fs.FileHandle, uint32) syscall.Errno { return 0 }

// diskFile is one file. It has no file handles of its own, so the kernel has
// nothing to pass writes through to: a pass-through would hide them from us.
type diskFile struct {
	fs.Inode
	d       *disk
	name    string
	content []byte
}

func (n *diskFile) Open(context.Context, uint32) (fs.FileHandle, uint32, syscall.Errno) {
	return nil, 0, 0
}

func (n *diskFile) Read(_ context.Context, _ fs.FileHandle, into []byte, off int64) (fuse.ReadResult, syscall.Errno) {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	from := min(off, int64(len(n.content)))
	to := min(off+int64(len(into)), int64(len(n.content)))
	return fuse.ReadResultData(slices.Clone(n.content[from:to])), 0
}

func (n *diskFile) Write(_ context.Context, _ fs.FileHandle, data []byte, off int64) (uint32, syscall.Errno) {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	if n.name != ackFile {
		if f, fails := n.d.count(); fails && (f != shortWrite || len(data) < 2) {
			return 0, f.errno()
		} else if fails {
			data, n.d.after = data[:len(data)/2], true
		}
	}
	data = slices.Clone(data)
	n.content = written(n.content, off, data)
	n.d.record(event{kind: evWrite, file: n, off: off, data: data})
	return uint32(len(data)), 0
}

// written puts data into content at a place, growing it where needed.
func written(content []byte, off int64, data []byte) []byte {
	if need := off + int64(len(data)); need > int64(len(content)) {
		content = append(content, make([]byte, need-int64(len(content)))...)
	}
	copy(content[off:], data)
	return content
}

func resized(content []byte, size int64) []byte {
	if size <= int64(len(content)) {
		return content[:size]
	}
	return append(content, make([]byte, size-int64(len(content)))...)
}

func (n *diskFile) Getattr(_ context.Context, _ fs.FileHandle, out *fuse.AttrOut) syscall.Errno {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	out.Mode, out.Size = 0o600, uint64(len(n.content))
	return 0
}

func (n *diskFile) Setattr(ctx context.Context, h fs.FileHandle, in *fuse.SetAttrIn, out *fuse.AttrOut) syscall.Errno {
	if size, ok := in.GetSize(); ok {
		if errno := n.truncate(int64(size)); errno != 0 {
			return errno
		}
	}
	return n.Getattr(ctx, h, out)
}

func (n *diskFile) truncate(size int64) syscall.Errno {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	if f, fails := n.d.count(); fails {
		return f.errno()
	}
	n.content = resized(n.content, size)
	n.d.record(event{kind: evTruncate, file: n, off: size})
	return 0
}

func (n *diskFile) Fsync(context.Context, fs.FileHandle, uint32) syscall.Errno {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	if f, fails := n.d.count(); fails {
		return f.errno()
	}
	n.d.record(event{kind: evSync, file: n})
	return 0
}

func (n *diskFile) Flush(context.Context, fs.FileHandle) syscall.Errno { return 0 }

// TestDiskSeesEverything: once, a recording was empty because the kernel wrote
// past the file system. Then every later test passes and proves nothing.
func TestDiskSeesEverything(t *testing.T) {
	if _, passes := any(&diskFile{}).(fs.FilePassthroughFder); passes {
		t.Error("the disk lets the kernel write past it")
	}
	d := mount(t)
	f, err := os.Create(d.dir + "/x")
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		if _, err := f.Write([]byte("0123456789")); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Sync(); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	var kinds []eventKind
	for _, e := range d.seen() {
		kinds = append(kinds, e.kind)
	}
	if !slices.Equal(kinds, []eventKind{evWrite, evWrite, evWrite, evSync}) {
		t.Errorf("recorded %v", kinds)
	}
}
