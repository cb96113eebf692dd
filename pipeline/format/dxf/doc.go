// Package dxf reads drawings in the text form of DXF, for the outline of a board: lines, arcs, circles,
// polylines with bulges, ellipses and splines, also by way of inserted blocks, become paths of straight
// edges and circular arcs in whole nanometres, by layer.
//
// What is no such line (text, dimensions, hatches) is counted and told in the Report, what is hidden or
// of paper space too. What is a line but cannot be read faithfully is an error, or is set aside where
// Options says so. Which curves are the board's edge is not decided here.
//
// Group codes are those of the format owner's DXF reference (2024); what stands otherwise is marked
// where it is used.
package dxf

import (
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

// Drawing is what a file draws, seen from above.
type Drawing struct {
	// Layers are those of the layer table in its order, then those that only entities name, in the order
	// in which the file draws on them. A layer on which nothing is drawn is there too.
	Layers []Layer
}

// Layer gives the layer of a name; upper and lower case are the same. It is nil where there is none.
func (d *Drawing) Layer(name string) *Layer {
	for i := range d.Layers {
		if sameName(d.Layers[i].Name, name) {
			return &d.Layers[i]
		}
	}
	return nil
}

// Box is the smallest box round all curves, those on hidden layers too.
func (d *Drawing) Box() geom.Box {
	b := geom.EmptyBox()
	for _, l := range d.Layers {
		for _, c := range l.Curves {
			b = b.Union(c.Path.Box())
		}
	}
	return b
}

// Layer is one layer and what is drawn on it.
type Layer struct {
	Name   string // as the layer table has it, else as the first entity on it
	Frozen bool
	Off    bool
	Plots  bool // false where the layer table says that it is not to be plotted
	Curves []Curve

	// Refused is what is drawn on the layer but cannot be read, in the order of the file; only with
	// Options.SetAside, else the first of them is Read's error. Nobody knows where the lines belong of an
	// insert that cannot be read: the first such is there on every layer. The lines of a layer with any
	// are not all there: to make an outline of them is an error.
	Refused []*format.Fault
}

// Curve is one line of a drawing, from its beginning to its end.
type Curve struct {
	// Path has edges of some length that join exactly. It is closed where Path.Closed says so: a circle
	// is one arc that begins where it ends. Arcs stay arcs but for those squeezed into ellipses and those
	// with centres beyond ±1 m.
	Path geom.Path

	Kind   Kind
	Layer  string // as Layer.Name has it
	Handle string // the entity's mark in the file, hexadecimal; empty where it has none
	Line   int    // where the entity begins in the file, from 1

	// Width is the width of a polyline at its widest, across the path, which is its centre line; 0 for
	// everything else and for most polylines.
	Width geom.Length

	// Blocks are the blocks through whose inserts the curve came, the outermost first; nil for most.
	Blocks []string

	Hidden    bool // its layer is frozen or off, it came by an insert on a frozen one, or is marked invisible
	Flattened bool // it has chords, within Options.Tolerance, where the file has another curve
}

// Kind says what entity a curve was, by the word of the format.
type Kind string

// The kinds of curves.
const (
	Line       Kind = "LINE"
	Arc        Kind = "ARC"
	Circle     Kind = "CIRCLE"
	Polyline   Kind = "POLYLINE"
	LWPolyline Kind = "LWPOLYLINE"
	Ellipse    Kind = "ELLIPSE"
	Spline     Kind = "SPLINE"
)

// Report is what the reader noticed about a file.
type Report struct {
	Version  string // the header's $ACADVER, such as "AC1015"; empty where it has none
	Unit     Unit   // of the file's numbers
	UnitSaid bool   // by the file's $INSUNITS; false: by Options
	Measure  string // what the header's $MEASUREMENT hints at: "inch", "mm", or nothing

	Entities  int // looked at, those of inserts as often as they are inserted
	Curves    int
	Flattened int // curves with chords in place of what the file has

	Ignored []Ignored // by layer and kind, in the order of their first
	Notes   []Note    // what was accepted but should be known, each kind once
}

// Ignored is entities that give no curve.
type Ignored struct {
	Kind  string // the entity's word in the file, such as "TEXT"
	Layer string // as Layer.Name has it
	Why   string // "", or: "paper space"
	Count int
	Line  int  // the first one's, from 1
	Drawn bool // it draws lines or areas, which might belong to an outline; true also for unknown kinds
	Area  bool // it fills or bounds an area, as a hatch does
}

// Note is one remark on a file: the line of its first cause and how often it came up.
type Note struct {
	Line  int
	What  string
	Count int
}

// sameName tells whether two names of layers or blocks mean the same.
func sameName(a, b string) bool { return strings.EqualFold(a, b) }
