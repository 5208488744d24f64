package store

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"

	"sideport/server/edits"
)

// Mistake is a panic of the program's own inside a transaction. Nothing of the
// transaction is kept, and it says nothing about the data.
type Mistake struct {
	what  any
	stack []byte
}

func (m *Mistake) Error() string { return fmt.Sprintf("a mistake in the program: %v", m.what) }

// Stack says where it happened, for the log alone.
func (m *Mistake) Stack() string { return string(m.stack) }

// guarded turns a panic into an error. The engine panics when a page of the
// file does not hold what the page before promised: that is ErrDamaged. Any
// other panic is a Mistake, and the data are not blamed for it.
func guarded(do func(*Tx) error, t *Tx) (err error) {
	defer func() {
		if r := recover(); r == nil {
			return
		} else if _, fault := r.(interface{ Addr() uintptr }); fault || inEngine() {
			err = fmt.Errorf("%w: %v", edits.ErrDamaged, r)
		} else {
			err = &Mistake{what: r, stack: debug.Stack()}
		}
	}()
	return do(t)
}

// inEngine reports whether the panic that is being recovered from arose in the
// engine: of the code on the stack below the panic, the engine's comes first.
func inEngine() bool {
	pcs := make([]uintptr, 100)
	frames := runtime.CallersFrames(pcs[:runtime.Callers(2, pcs)])
	for below := false; ; {
		f, more := frames.Next()
		switch {
		case f.Function == "runtime.gopanic":
			below = true
		case below && strings.HasPrefix(f.Function, "go.etcd.io/bbolt"):
			return true
		case below && (strings.HasPrefix(f.Function, "sideport/") || strings.HasPrefix(f.Function, "main.")), !more:
			return false
		}
	}
}
