// Sluice makes a downloaded drawing of flat parts ready for an abrasive
// water-jet table.
package main

import (
	"os"

	"sluice/cmd/internal/cli"
)

func main() {
	os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
