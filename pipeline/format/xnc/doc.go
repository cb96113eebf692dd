// Package xnc reads and writes drill and rout files: the XNC format (revision 2021.11) and the
// older numerical-control dialects that it grew out of.
//
// Reading gives holes and slots in whole nanometres. Where a file does not say how its numbers are
// to be read, the reader takes Options, else guesses and says so in the Report.
package xnc

import (
	"fmt"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// Unit is the unit of a file's numbers.
type Unit string

// The units. The zero value is "not said".
const (
	Millimetre Unit = "mm"
	Inch       Unit = "inch"
)

// Length gives one unit in nanometres, 0 for "not said".
func (u Unit) Length() geom.Length {
	switch u {
	case Millimetre:
		return geom.MM
	case Inch:
		return geom.Inch
	}
	return 0
}

// Zeros says which zeros are kept in coordinates without a decimal point.
type Zeros string

// The two rules. The zero value is "not said".
const (
	// LeadingKept (the header word LZ): trailing zeros may be left out, digits count from the left.
	LeadingKept Zeros = "leading"
	// TrailingKept (the header word TZ): leading zeros may be left out, digits count from the right.
	TrailingKept Zeros = "trailing"
)

// Options say what a file leaves unsaid. What the file does say wins; a contradiction is a warning.
type Options struct {
	Unit              Unit
	Zeros             Zeros
	Integer, Decimals int // digits before and after the implied point; both 0: not said

	// Override turns that round: what the Options say of unit, zeros and digits is taken even where
	// the file says something else.
	Override bool
	// Tools are the diameters of tools that the file itself does not give.
	Tools []ListedTool
	// CutsUnlowered takes what G01, G02 and G03 move for cut in a file that never lowers the cutter
	// (M15), with a warning; otherwise such a file is refused.
	CutsUnlowered bool
	// Limits on what a file may expand to; 0 is the default of each.
	MaxHoles, MaxEdges, MaxTools int

	whole bool // coordinates without a point are whole units: a guess that Readings offers
}

// The default limits: enough for any board, too little to exhaust a machine.
const (
	DefaultMaxHoles = 1_000_000
	DefaultMaxEdges = 1_000_000 // of slots and routed paths
	DefaultMaxTools = 100_000
)

// ListedTool is a tool by number, from a list beside the file.
type ListedTool struct {
	Number   int
	Diameter geom.Length
	Plating  artwork.Plating
}

// Report tells how a file was read.
type Report struct {
	Unit              Unit
	Zeros             Zeros
	Integer, Decimals int    // 0, 0 when every coordinate has a decimal point
	Guessed           bool   // something above was neither in the file nor in the Options
	GuessedWhat       string // what, and on what grounds
	Generator         string // the program that wrote the file, by its own account
	Warnings          []string
	HasEnd            bool // the file ends with an end-of-program code
	ToolsFromComments bool // diameters are taken from comments
	ToolsFromOptions  bool // diameters are taken from Options.Tools
	Whole             bool // coordinates without a point are whole units
}

const maxWarnings = 50

func (r *Report) warn(format string, args ...any) {
	switch {
	case len(r.Warnings) < maxWarnings:
		r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...))
	case len(r.Warnings) == maxWarnings:
		r.Warnings = append(r.Warnings, "further warnings are left out")
	}
}

// platingOf reads the first field of a file function or aperture function.
func platingOf(values []string) artwork.Plating {
	if len(values) > 0 {
		switch values[0] {
		case "Plated":
			return artwork.Plated
		case "NonPlated":
			return artwork.NonPlated
		}
	}
	return artwork.PlatingUnknown
}

func (o Options) maxHoles() int { return orDefault(o.MaxHoles, DefaultMaxHoles) }
func (o Options) maxEdges() int { return orDefault(o.MaxEdges, DefaultMaxEdges) }
func (o Options) maxTools() int { return orDefault(o.MaxTools, DefaultMaxTools) }

func orDefault(n, otherwise int) int {
	if n > 0 {
		return n
	}
	return otherwise
}
