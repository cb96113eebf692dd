// Package program is the program with all that comes with it, for a main of a few lines: a shop adds its own stages and
// rules and hands it to cli.Main.
package program

import (
	"panelwright/pipeline/cli"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/store/anywhere"
	"panelwright/stages"
)

// Version is that of the program as it comes: what files state. Equal versions give equal bytes.
const Version = "0.1.0"

// New gives the program with every built-in stage and rule. Name is what people type; version is what files say wrote
// them, and must change with whatever changes a byte of them.
func New(name, version string) cli.Program {
	return cli.Program{
		Name: name, Version: version, Stages: stages.All(), Rules: rule.All(),
		Prove: proof.Prove, PanelData: panel.Panel.Data, ReadPanelData: panel.ReadData, Survey: stages.Survey, Returned: stages.Returned, Start: stages.Start,
		Store: anywhere.Open,
	}
}
