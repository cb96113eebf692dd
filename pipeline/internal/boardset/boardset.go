// Package boardset is the table of the open boards that tests read: what each one needs from a
// recipe because its files do not say it, and what is expected of its break-off tabs.
//
// The data lie outside the repository; package shared finds them.
package boardset

import "strings"

// Board is one open board.
type Board struct {
	Folder       string   // within the open board data
	BoardOptions string   // the body of a stage "board", without name and files
	Note         string   // what is special about it
	Tabs         []Tabs   // what is expected of break-off tabs
	Edges        []string // what classes its outer edge has, each with the number of holes or fingers
}

// Name is what recipes call the board.
func (b Board) Name() string { return strings.ReplaceAll(b.Folder, "-", "_") }

// All gives the boards, by folder, with what is expected of their tabs.
func All() []Board {
	all := boards()
	for i := range all {
		all[i].Tabs = expected[all[i].Folder]
		all[i].Edges = edges[all[i].Folder]
	}
	return all
}

func boards() []Board {
	return []Board{
		{
			Folder: "control-2l-regions",
			BoardOptions: `
  # Coordinates without a point, and nothing that says how many digits.
  drill "*_drill.txt" {
    unit   = "inch"
    zeros  = "trailing"
    digits = [2, 4]
  }`,
			Note: "planes filled by thousands of regions; one drill file with both platings; the outline twice, byte for byte",
		},
		{
			Folder: "daughter-2l-arcs74",
			BoardOptions: `
  # One drill file, and it does not say what its holes are.
  drill "*_daughterboard.txt" {
    plating = "plated"
  }`,
			Note: "single-quadrant arcs; its outline is there as a drawing too, which is not read",
		},
		{
			Folder: "half-2l-manyslots",
			Note:   "concave outline in unordered strokes; 145 nibbled slots",
		},
		{
			Folder: "module-6l-slots",
			BoardOptions: `
  placement "*-pos.csv" {
    unit = "mm"
  }`,
			Note: "six layers; placements have an origin of their own, and the bottom is mirrored, which the pads tell",
		},
		{
			Folder: "node-4l-x2",
			Note:   "all attributes; routed slots",
		},
		{
			Folder: "notched-2l-large",
			BoardOptions: `
  drill "*.drl" {
    plating = "plated"
  }`,
			Note: "card edge with a notch; plated and other holes in one file that does not tell them apart",
		},
		{
			Folder: "pilot-2l-mil",
			Note:   "neither leading nor trailing zeros left out; placement in mil",
		},
		{
			Folder: "plate-cutouts",
			Note:   "copper layers without copper; drill files without holes; cut-outs with small gaps",
		},
		{
			Folder: "square-10l-inch",
			BoardOptions: `
  # Nine of ten copper files are there: a copy of the first ground layer is left out.
  copper_layers = 10
  layer "*-GND1.gbr" {
    function = "copper-2-inner"
  }
  layer "*-SIGNAL1-X.gbr" {
    function = "copper-3-inner"
  }
  layer "*-SIGNAL2-Y.gbr" {
    function = "copper-4-inner"
  }
  layer "*-PWR.gbr" {
    function = "copper-6-inner"
  }
  layer "*-SIGNAL3-X.gbr" {
    function = "copper-7-inner"
  }
  layer "*-SIGNAL4-Y.gbr" {
    function = "copper-8-inner"
  }
  layer "*-GND3.gbr" {
    function = "copper-9-inner"
  }
  drill "*B.drl" {
    plating = "plated"
  }`,
			Note: "inch; inner layers with names of their own; the order of the inner layers is assumed, since the files do not say it",
		},
		{
			Folder: "tiny-4l-blind",
			BoardOptions: `
  placement "*-pos.csv" {
    unit = "mm"
  }`,
			Note: "blind and buried drill files; a hole drawn on the profile",
		},
		{
			Folder: "watch-2l-loops",
			BoardOptions: `
  drill "drill_1_16.xln" {
    plating = "plated"
  }
  placement "PnP_*" {
    unit = "mm"
  }`,
			Note: "eight loops of short strokes; many changes of polarity; placement without a header",
		},
	}
}

// Stage gives the whole stage block of a recipe; files is written as given.
func (b Board) Stage(files string) string {
	return "stage \"board\" {\n  name  = \"" + b.Name() + "\"\n  files = \"" + files + "\"\n" +
		strings.TrimPrefix(b.BoardOptions, "\n") + "\n}\n"
}
