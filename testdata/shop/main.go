// Acme-panels is panelwright with an invented shop's own stages and rules.
package main

import (
	"os"

	"acme.example/panels/serialarea"
	"panelwright/cmd/program"
	"panelwright/pipeline/cli"
)

func main() {
	p := program.New("acme-panels", "1.0.0")
	p.Stages = append(p.Stages, serialarea.Kind(), serialarea.ListKind())
	p.Rules = append(p.Rules, serialarea.Rules()...)
	os.Exit(cli.Main(p, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
