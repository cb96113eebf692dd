// Package centroid reads and writes placement tables: where each part sits, how it is turned and on
// which side. There is no standard for them. The reader knows the shapes that CAD systems and
// spreadsheets write (separators, fixed columns, with and without header line, with remarks in front
// and counts at the end), says what it took for granted, and refuses the rest: a table read wrongly
// puts parts where none belong.
package centroid

import "panelwright/pipeline/geom"

// Table is a placement file.
type Table struct {
	Rows     []Row
	Unit     string   // "mm", "mil", "inch", "um"; "cell" when every coordinate carries its own
	UnitOpen bool     // nobody says the unit: coordinates were read as millimetres (as mils or micrometres where that is too far) and cannot be used before it is settled, see InUnits
	Columns  []string // as the file calls them; empty when it has no header line
	Left     []Left   // lines that name a part and place none
	Notes    []Note   // what was taken for granted
}

// Row is one part, in the coordinates of the file.
type Row struct {
	Refdes, Value, Package, PartNumber string
	Side                               string // "top", "bottom", or "" when neither the file nor its name says it
	X, Y                               geom.Length
	Rotation                           geom.Angle // in [0°, 360°)
	Line                               int        // in the file, from 1
}

// Left is a line that names a part which is not to be placed, or has no place.
type Left struct {
	Refdes, Why string
	Line        int
}

// Note is something taken for granted. One in doubt may be wrong, and somebody should look at it.
type Note struct {
	Line  int // 0: the whole file
	Text  string
	Doubt bool
}

// Options are what somebody knows of a file that does not say it itself.
type Options struct {
	Unit    string   // "mm", "mil", "inch", "um": of coordinates for which the file has none
	Columns []string // what the columns are, in their order: ColumnWords; they outrank a header line
}

// ColumnWords are the words that Options.Columns takes. "-" is a column that is not read; mirrored is
// one that says yes for parts on the bottom, unplaced one that says yes for parts that are not placed.
var ColumnWords = []string{"refdes", "value", "package", "part_number", "x", "y", "rotation", "side", "mirrored", "unplaced", "-"}
