// Sluice makes a downloaded drawing of flat parts ready for an abrasive
// water-jet table.
package main

import (
	"os"
	"runtime/debug"

	"sluice/cmd/internal/cli"
)

func main() {
	if os.Getenv("GOGC") == "" {
		// Drawings are large and short-lived: collecting twice as often as Go's
		// default costs a few hundredths of the time and saves a third of the memory.
		debug.SetGCPercent(60)
	}
	os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
