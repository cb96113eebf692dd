// Panelwright turns boards' fabrication data into panels, by recipes.
package main

import (
	"os"

	"panelwright/cmd/program"
	"panelwright/pipeline/cli"
)

// version is what files state; a release may set it, and equal versions give equal bytes.
var version = program.Version

func main() {
	os.Exit(cli.Main(program.New("panelwright", version), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
