//go:build !js

package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"
)

const longestLine = 8 << 20

// main answers one request a line: the name, a space, the JSON.
func main() {
	if err := serve(os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "core:", err)
		os.Exit(1)
	}
}

func serve(in io.Reader, out io.Writer) error {
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, longestLine)
	for lines.Scan() {
		name, request, _ := strings.Cut(lines.Text(), " ")
		if _, err := fmt.Fprintf(out, "%s\n", Call(name, []byte(request))); err != nil {
			return fmt.Errorf("write the answer: %w", err)
		}
	}
	if err := lines.Err(); err != nil {
		return fmt.Errorf("read a request: %w", err)
	}
	return nil
}
