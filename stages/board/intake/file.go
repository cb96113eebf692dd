package intake

import (
	"panelwright/pipeline"
	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/format/packages"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// File is one of the board's files and what became of it.
type File struct {
	Name    string
	SHA256  string
	Bytes   int64
	Kind    Kind
	Ignored string // why, when it is not used
	Use     string // what for, when it is used
	By      string // who says what it is for: "its attribute .FileFunction", "its name", "the recipe" …
	Err     error  // why it could not be read

	Unit, Digits, Generator string   // how its numbers are written, and by what; empty where unknown
	Remarks                 []string // what its reader found odd
	Held                    string   // of drill data: how its holes lie on copper and outline; empty where nothing tells

	Image         *artwork.Image    // of a LayerFile
	Drilling      *artwork.Drilling // of a DrillFile
	Parts         []panel.Part      // of a PlacementFile; the side of a part may be open
	Netlist       *panel.Netlist    // of a NetlistFile
	job           *job              // of a JobFile
	claim         claim             // of a LayerFile
	claimed       bool
	text          []byte               // of a DrawingFile
	numbers       *gerber.NumberFormat // of a LayerFile
	layerRule     *LayerRule
	drillRule     *DrillRule
	placementRule *PlacementRule
	project       project
	unitOpen      bool              // a PlacementFile of which nobody says the unit
	table         *centroid.Table   // of a PlacementFile
	inUnits       []*centroid.Table // where unitOpen: read in each unit
	guessed       *xnc.Report       // of a DrillFile whose number format nobody says
	report        *xnc.Report       // of a DrillFile
	data          []byte            // of a DrillFile: it may have to be read in another way
	listed        []xnc.ListedTool  // of a DrillFile: diameters from a list beside it
	assumed       bool              // a DrillFile whose plating nobody says
	ended         bool              // the file has its end
	doubts        []string          // remarks that are findings
}

// project is what a file says of the board it belongs to; empty where it is silent.
type project struct{ name, revision string }

// Result is everything that was understood.
type Result struct {
	Files    []*File // by name
	Board    *panel.Board
	Findings []pipeline.Finding
	Problems []error // what keeps the files from being a board; Board is nil then
	Outline  OutlineReport
	// Unclaimed are layer files of which nobody says what they are for, for a proposal.
	Unclaimed []*File

	req    Request
	layers []layer
	copper int
	jobs   *File
	drills []panel.DrillFile
	parts  []panel.Part
	// bodies is the shop's table, packages where it came from; withBodies is what Bodies gave.
	bodies     *packages.Table
	packages   *panel.SourceFile
	withBodies []panel.Part
	// Places tells how each placement file's coordinates were understood.
	Places []Places
	// partsElsewhere: parts are not in the coordinates of the layers.
	partsElsewhere bool
	strokes        []geom.Edge // that the outline was joined from
	measures       []CopperMeasure
	classes        []EdgeStretch
	mixed          bool // files of two projects or revisions: what follows from it is not said again
	project        project
	pads           map[padsOf]*pads // of copper and mask layers, as they are asked for
}

// OutlineReport tells how the outline was joined.
type OutlineReport struct {
	Source        string
	Edges         int
	Moved         int         // ends that did not meet exactly and were moved
	LargestGap    geom.Length // closed by that
	Duplicates    int         // strokes that lie on others
	Tolerance     geom.Length
	Flashes       int // in the outline's file, which do not count
	Outline       geom.Outline
	Found         bool
	FromRegions   bool
	IgnoredFills  int
	IgnoredClears int
	Pen           geom.Length // the widest pen of its strokes
	Layer         string      // of a drawing
	Loops         []NamedLoop // where more than one could be the board, the largest first
	Why           string      // how the board was chosen among them
	Dropped       []string    // what did not count
}

func (r *Result) problem(what, do string) {
	r.Problems = append(r.Problems, &Problem{what, do})
}

func (r *Result) find(rule string, s pipeline.Severity, message string) {
	r.Findings = append(r.Findings, pipeline.Finding{Rule: rule, Severity: s, Message: message, Feature: r.req.Name})
}

// of gives the files of a kind that are neither ignored nor unreadable.
func (r *Result) of(k Kind) []*File {
	var out []*File
	for _, f := range r.Files {
		if f.Kind == k && f.Ignored == "" && f.Err == nil {
			out = append(out, f)
		}
	}
	return out
}
