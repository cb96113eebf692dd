// Package centroid reads and writes placement tables: where each part sits, how it is turned and on
// which side. There is no standard for them; the reader knows the shapes that CAD systems write and
// refuses the rest.
package centroid

import "panelwright/pipeline/geom"

// Table is a placement file.
type Table struct {
	Rows        []Row
	Unit        string   // "mm", "mil", "inch"; "cell" when every coordinate carries its own
	UnitGuessed bool     // the file does not say its unit; millimetres were taken
	Columns     []string // as the file calls them; empty when it has no header line
}

// Row is one part, in the coordinates of the file.
type Row struct {
	Refdes, Value, Package, PartNumber string
	Side                               string // "top", "bottom", or "" when neither the file nor its name says it
	X, Y                               geom.Length
	Rotation                           geom.Angle // in [0°, 360°)
	Line                               int        // in the file, from 1
}
