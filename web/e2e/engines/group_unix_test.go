//go:build unix

package engines

import (
	"os/exec"
	"syscall"
)

// apart has the command begin a group of its own, which whatever it starts belongs to.
func apart(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// killGroup kills the command and its group.
func killGroup(cmd *exec.Cmd) { syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
