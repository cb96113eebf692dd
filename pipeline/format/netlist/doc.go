// Package netlist reads and writes bare-board test netlists in the IPC-D-356 format, revision A
// included. Columns and codes are from memory of that open standard.
//
// A file is lines of 80 columns: C remarks, P parameters, test records 317 (hole), 327 (surface
// feature) and 367 (unplated hole), and 999 at the end. Read carries test records; those that only
// describe conductors, board edges and adjacency (codes ending in 8 or 9) are passed over, as their
// content is in the layer files.
package netlist

import "panelwright/pipeline/panel"

// Point is a test point to be written: in panel coordinates, its net's name unlike that of any other
// copy's net.
type Point struct{ panel.NetPoint }

// columns of a test record, from 0, end excluded.
var (
	colNet    = [2]int{3, 17}
	colRefdes = [2]int{20, 26}
	colPin    = [2]int{27, 31}
	colDrill  = [2]int{33, 37} // behind a D in column 32
	colAccess = [2]int{39, 41} // behind an A
	colX      = [2]int{42, 49} // behind an X: sign and six digits
	colY      = [2]int{50, 57}
	colWidth  = [2]int{58, 62}
	colHeight = [2]int{63, 67}
	colTurn   = [2]int{68, 71} // behind an R: whole degrees
	colMask   = [2]int{73, 74} // behind an S
)

const (
	colPlated = 37 // P or U
	none      = "N/C"
	via       = "VIA"
)
