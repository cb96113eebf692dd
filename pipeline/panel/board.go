// Package panel is the model that the stages of a recipe meet in: boards, their copies on a panel,
// and what a panel adds to them. It knows no file format and no stage.
//
// Coordinates are whole nanometres; the panel's origin is the lower left corner of its outline, x
// right and y up, seen from the top, bottom layers unmirrored.
package panel

import (
	"strconv"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// Side is a side of a board or panel.
type Side string

// The sides. NoSide is for what has none.
const (
	NoSide Side = ""
	Top    Side = "top"
	Bottom Side = "bottom"
	Inner  Side = "inner"
)

// FunctionKind is what a layer is for.
type FunctionKind string

// The functions of layers that are carried into a panel. The words are the layer format's own.
const (
	Copper     FunctionKind = "copper"
	Soldermask FunctionKind = "mask"
	Paste      FunctionKind = "paste"
	Legend     FunctionKind = "legend"
	Glue       FunctionKind = "glue"
	Carbon     FunctionKind = "carbonmask"
	Peelable   FunctionKind = "peelablemask"
	Profile    FunctionKind = "profile"
)

// Function is what one layer is for: copper 1 on top, mask on the bottom.
type Function struct {
	Kind  FunctionKind
	Side  Side
	Index int    // copper: the layer's number, 1 = top; otherwise 0
	Type  string // copper: Plane, Signal, Mixed, Hatched where the source says so
}

// Key names the function in files and findings: "copper-1-top", "mask-bottom".
func (f Function) Key() string {
	s := string(f.Kind)
	if f.Kind == Copper {
		s += "-" + strconv.Itoa(f.Index)
	}
	if f.Side != NoSide {
		s += "-" + string(f.Side)
	}
	return s
}

// Layer is one layer of a board.
type Layer struct {
	Function Function
	Image    *artwork.Image
	Source   string // the file it came from, by its name within the board's files
}

// DrillFile is one drill or rout file of a board: one layer span, one plating.
type DrillFile struct {
	Drilling *artwork.Drilling
	Plating  artwork.Plating // settled: Plated or NonPlated
	From, To int             // layer span, settled: 1 = top
	Source   string
}

// Key names the file's span and plating: "plated-1-4", "nonplated-1-4".
func (d DrillFile) Key() string {
	p := "plated"
	if d.Plating == artwork.NonPlated {
		p = "nonplated"
	}
	return p + "-" + strconv.Itoa(d.From) + "-" + strconv.Itoa(d.To)
}

// Part is one component of a board, from its placement file, in the board's coordinates.
type Part struct {
	Refdes, Value, Package, PartNumber string
	Side                               Side
	At                                 geom.Point
	Turn                               geom.Angle // counter-clockwise seen from the top, for both sides
	Body                               Body       // what is known of its size; the board stage fills it from the shop's table
}

// SourceFile tells what became of one of a board's files: Use, or Ignored with the reason.
type SourceFile struct {
	Name    string
	SHA256  string
	Bytes   int64
	Use     string // "copper-1-top", "drill plated-1-4", "placement" …; empty when ignored
	Ignored string // why, when ignored
}

// Board is one board's fabrication data, in the coordinates of its own files. It is immutable once
// the board stage has made it, and shared by its copies.
type Board struct {
	Name, PartNumber, Revision string
	Thickness                  geom.Length
	ThicknessAssumed           bool // neither recipe nor files say it
	CopperCount                int
	Finish, MaskColor          string        // empty where nobody says
	Foils                      []geom.Length // how thick each copper layer is, from the top; nil where nobody says
	Outline                    geom.Outline
	EdgePlated                 bool    // the outline's own attribute says that edges are plated
	Layers                     []Layer // ordered: copper by number, then mask, paste, legend … top before bottom
	Drills                     []DrillFile
	Parts                      []Part
	PartsElsewhere             bool        // Parts are not in the board's coordinates: nothing may be placed by them
	Packages                   *SourceFile // the shop's table of bodies; nil without one
	Netlist                    *Netlist
	Sources                    []SourceFile
}

// Layer gives the layer with the function f (its Type is not compared), nil when there is none.
func (b *Board) Layer(f Function) *Layer {
	f.Type = ""
	for i := range b.Layers {
		g := b.Layers[i].Function
		g.Type = ""
		if g == f {
			return &b.Layers[i]
		}
	}
	return nil
}

// Netlist is a board's bare-board test netlist.
type Netlist struct {
	Points []NetPoint
	Source string
}

// NetPoint is one test point of a netlist, in the board's coordinates.
type NetPoint struct {
	Net, Refdes, Pin string
	At               geom.Point
	Drill            geom.Length // 0 without a hole
	Plated           bool
	Access           int         // 0 both sides, 1 top, n bottom, as the netlist format counts
	Width, Height    geom.Length // of the feature; Height 0 means round
	Turn             geom.Angle
	Via              bool
	Mask             int // soldermask code of the netlist format, -1 when absent
}
