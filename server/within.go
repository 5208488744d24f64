package main

import (
	"fmt"
	"os"
	"runtime/debug"
	"runtime/metrics"
	"time"
)

// What looking at whole data never needs: going round in a circle of damaged
// pages keeps asking for more, of the stack or of the heap.
const (
	maxStack  = 64 << 20
	maxMemory = 256 << 20 // and four times the file
	lookEvery = 10 * time.Millisecond
)

// within does work on a file that may be damaged and gives up when it does not
// end in time (0: however long it takes) or takes too much memory. The work then
// goes on until the process ends, which is the caller's part.
func within(limit time.Duration, name, file string, work func() error) error {
	debug.SetMaxStack(maxStack)
	most := uint64(maxMemory)
	if info, err := os.Stat(file); err == nil {
		most += 4 * uint64(info.Size())
	}
	ended := make(chan error, 1)
	go func() {
		debug.SetPanicOnFault(true) // pages behind the end of the file; the store answers a panic with an error
		ended <- work()
	}()
	var late <-chan time.Time
	if limit > 0 {
		late = time.After(limit)
	}
	look := time.NewTicker(lookEvery)
	defer look.Stop()
	for {
		select {
		case err := <-ended:
			return err
		case <-late:
			return lateWords(name, limit)
		case <-look.C:
			if memoryInUse() > most {
				return fmt.Errorf("the data in %s are damaged, pages of the file go round in a circle: keep a copy of them, then restore a backup into a new directory with sideport restore", name)
			}
		}
	}
}

func memoryInUse() uint64 {
	samples := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}, {Name: "/memory/classes/heap/stacks:bytes"}}
	metrics.Read(samples)
	return samples[0].Value.Uint64() + samples[1].Value.Uint64()
}
