// Command sideport serves a unit's technique cards and keeps its data.
//
//	sideport -demo                         try it with an invented unit
//	sideport serve -data /var/lib/sideport
//	sideport check cards/*.md              say everything that is wrong with files
//	sideport sheet -card FILE -case FILE   print the sheet of one case
//	sideport backup -data DIR -to FILE     copy the data while the server runs
//
// Each command is a file named after it; "sideport COMMAND -h" explains it
// with an example. docs/operations.md is the manual for whoever runs it.
package main

import (
	"context"
	"os"

	"sideport/web"
)

// commands is everything the program does, in the order of the overview.
var commands = []command{serveCommand, checkCommand, formatCommand, sheetCommand, loadCommand, importCommand, pinCommand, backupCommand, restoreCommand, verifyCommand, healthCommand}

func main() { os.Exit(run(os.Args[1:])) }

func run(args []string) int {
	op := &operator{ctx: context.Background(), out: os.Stdout, err: os.Stderr, assets: web.Assets}
	return op.run(args)
}
