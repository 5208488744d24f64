//go:build !unix

package engines

import "os/exec"

// Where there are no groups of processes, those that a browser started end when it has gone.
func apart(*exec.Cmd) {}

func killGroup(cmd *exec.Cmd) { cmd.Process.Kill() }
