//go:build unix

package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// A command other than serve that waits for a slow disk ends as soon as somebody asks.
func TestCommandsEndWhenAsked(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	slow := filepath.Join(t.TempDir(), "slow.json")
	if err := syscall.Mkfifo(slow, 0o600); err != nil { // reading it waits for ever
		t.Fatal(err)
	}
	command := exec.Command(self, "check", slow)
	command.Env = append(os.Environ(), asChild+"=1")
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- command.Wait() }()
	limit := time.After(10 * time.Second)
	for {
		if err := command.Process.Signal(syscall.SIGTERM); err != nil && !errors.Is(err, os.ErrProcessDone) {
			t.Fatal(err)
		}
		select {
		case <-ended:
			return
		case <-time.After(50 * time.Millisecond):
		case <-limit:
			_ = command.Process.Kill() // the test has failed already
			t.Fatal("the command goes on")
		}
	}
}
