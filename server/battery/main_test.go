package battery_test

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// asChild makes the test binary be a process that may be killed: the judge of
// damaged files, a writer, a server.
const asChild = "SIDEPORT_BATTERY_CHILD"

// children are the programs that the test binary can be.
var children = map[string]func(args []string) error{}

func TestMain(m *testing.M) {
	if name := os.Getenv(asChild); name != "" {
		if err := children[name](os.Args[1:]); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// child is a process that answers one line to each line it is sent.
type child struct {
	cmd *exec.Cmd
	in  io.WriteCloser
	out *bufio.Reader
	err *strings.Builder
}

func launch(t *testing.T, name string, args ...string) *child {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := &child{cmd: exec.Command(self, args...), err: &strings.Builder{}}
	c.cmd.Env = append(os.Environ(), asChild+"="+name)
	c.cmd.Stderr = c.err
	if c.in, err = c.cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	out, err := c.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	c.out = bufio.NewReader(out)
	if err := c.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.kill)
	return c
}

func (c *child) kill() {
	_ = c.cmd.Process.Kill()
	_ = c.cmd.Wait() // says only that it was killed
}

// ask sends a line and waits for the answer; a child that does not answer in time is killed.
func (c *child) ask(line string, limit time.Duration) (string, error) {
	late := time.AfterFunc(limit, func() { _ = c.cmd.Process.Kill() })
	if _, err := io.WriteString(c.in, line+"\n"); err != nil {
		late.Stop()
		return "", fmt.Errorf("the process is gone: %s", c.said())
	}
	answer, err := c.out.ReadString('\n')
	if !late.Stop() {
		return "", fmt.Errorf("no answer within %s", limit)
	}
	if err != nil {
		return "", fmt.Errorf("the process ended: %s", c.said())
	}
	return strings.TrimSpace(answer), nil
}

// said is the first line of what the process wrote at its end.
func (c *child) said() string {
	_ = c.cmd.Wait() // its end is what we ask about
	first, _, _ := strings.Cut(c.err.String(), "\n")
	return first
}

// answering is the loop of a child that answers line by line.
func answering(answer func(line string) string) func([]string) error {
	return func([]string) error {
		for lines := bufio.NewScanner(os.Stdin); lines.Scan(); {
			fmt.Println(answer(lines.Text()))
		}
		return nil
	}
}
