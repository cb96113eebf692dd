// Panelwright turns boards' fabrication data into panels, by recipes.
package main

import (
	"os"

	"panelwright/pipeline/cli"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/rule"
	"panelwright/stages"
)

// version is what files state; a release sets it, and equal versions give equal bytes.
var version = "0.1.0"

func main() {
	os.Exit(cli.Main(cli.Program{
		Name: "panelwright", Version: version, Stages: stages.All(), Rules: rule.All(),
		Prove: proof.Prove, PanelData: panel.Panel.Data, ReadPanelData: panel.ReadData, Survey: stages.Survey,
	}, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
