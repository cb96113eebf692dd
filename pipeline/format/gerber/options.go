package gerber

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// Unit is the unit of a file's numbers.
type Unit uint8

// The units. UnitUnset in Options means that the file itself must say.
const (
	UnitUnset Unit = iota
	UnitMM
	UnitInch
)

// String gives the unit's name.
func (u Unit) String() string { return [...]string{"unset", "millimetre", "inch"}[u%3] }

func (u Unit) length() geom.Length {
	if u == UnitInch {
		return geom.Inch
	}
	return geom.MM
}

// Zeros says which zeros a file leaves out of its coordinates.
type Zeros uint8

// The ways of leaving out zeros.
const (
	LeadingOmitted Zeros = iota
	TrailingOmitted
	AllKept
)

// NumberFormat is how a file writes coordinates: digits before and after the unwritten decimal
// point, which zeros are left out, and whether each coordinate is relative to the one before.
type NumberFormat struct {
	Zeros         Zeros
	Incremental   bool
	XWhole, XPart int
	YWhole, YPart int
}

// Options says how to read a file that leaves something out, and how much of it to accept.
type Options struct {
	DefaultUnit   Unit          // for a file that states no unit; UnitUnset: such a file is an error
	DefaultFormat *NumberFormat // for a file that states no number format; nil: such a file is an error

	// ArcTolerance is how far the radii at the two ends of an arc may differ. 0 means 5 µm plus two
	// steps of the file's coordinates. An arc that is off by more than 5 µm but within the tolerance
	// gets its centre moved along the chord until the radii agree.
	ArcTolerance geom.Length

	// Limits on what a file may expand to; 0 is the default of each.
	MaxObjects int // after expanding blocks and step-and-repeat
	MaxCopies  int // of one step-and-repeat block
	MaxEdges   int // of regions copied by blocks and step-and-repeat
	MaxNesting int // aperture blocks open at once; brackets in an expression of a macro
	MaxMacros  int // bytes of macros worked out and of their apertures mirrored and scaled

	// Visit, where it is set, is handed the objects in drawing order, some at a time, and the image
	// then keeps none of them: for reading a large file in little memory. Its first argument is the
	// image as far as it is known; what its regions hold is valid during the call only.
	Visit func(m *artwork.Image, objects []artwork.Object)
}

// The default limits: enough for any board, too little to exhaust a machine.
const (
	DefaultMaxObjects = 2_000_000
	DefaultMaxCopies  = 100_000
	DefaultMaxEdges   = 8_000_000
	DefaultMaxNesting = 64
	DefaultMaxMacros  = 64 << 20
)

func (o *Options) fill() {
	for _, l := range []struct {
		limit    *int
		standard int
	}{
		{&o.MaxObjects, DefaultMaxObjects}, {&o.MaxCopies, DefaultMaxCopies}, {&o.MaxEdges, DefaultMaxEdges},
		{&o.MaxNesting, DefaultMaxNesting}, {&o.MaxMacros, DefaultMaxMacros},
	} {
		if *l.limit <= 0 {
			*l.limit = l.standard
		}
	}
}

// Report is what the reader noticed about a file.
type Report struct {
	Generator  string // what wrote the file, as far as it says so
	Unit       Unit
	Format     NumberFormat
	Deprecated []Note // old codes that were understood, each kind once
	HasEnd     bool   // M02 or M00 was there
	Warnings   []Note // what was accepted although it is not right, each kind once
	Commands   int    // commands read
}

// Note is one remark on a file: the line of its first cause and how often it came up.
type Note struct {
	Line  int
	What  string
	Count int
}

// remark numbers the kinds of notes; remarks gives their text.
type remark uint8

const (
	oldNoOperation remark = iota
	oldSelect
	oldPrepare
	oldUnit
	oldNotation
	oldStop
	oldSingleQuadrant
	oldSequence
	oldFormatExtra
	oldRapid
	oldRectangularHole
	oldMacroLine
	oldMacroLowerLeft
	oldImageName
	oldLayerName
	oldImagePolarity
	oldTransform
	oldPen
	oldTrailing
	oldKnockout
	oldPlotFilm
	oldBothZeros
	warnQuadrant
	warnOpenContour
	warnDecimalPoint
	warnAfterEnd
	warnLateUnit
	warnDefaultUnit
	warnDefaultFormat
	warnFlatArc
	warnNegativeOffset
	warnPointArc
	warnRecentred
	warnShortNumber
	warnHollowPen
	warnBlockAttributes
	warnComment
	warnManyValues
	warnShortArc
	warnFileAttribute
	warnUnitChange
	warnFormatTwice
	warnEndUnterminated
	warnOutlineOpen
	warnUnevenArc
	warnLateTransform
	warnNoEnd
	remarkCount

	firstWarning = warnQuadrant
)

var remarks = [remarkCount]string{
	oldNoOperation:      "coordinates without D01, D02 or D03; the operation before them is taken again",
	oldSelect:           "aperture selected with G54",
	oldPrepare:          "G55 before a flash",
	oldUnit:             "unit set with G70 or G71",
	oldNotation:         "notation set with G90 or G91",
	oldStop:             "file ended with M00 or M01",
	oldSingleQuadrant:   "single-quadrant arcs (G74)",
	oldSequence:         "sequence numbers (N)",
	oldFormatExtra:      "extra digits counts in the format statement",
	oldRapid:            "rapid moves (G00), taken as straight lines",
	oldRectangularHole:  "aperture with a rectangular hole, kept as a macro",
	oldMacroLine:        "macro primitive 2 (vector line)",
	oldMacroLowerLeft:   "macro primitive 22 (line by its lower left corner)",
	oldImageName:        "image name (IN)",
	oldLayerName:        "name statement (LN)",
	oldImagePolarity:    "image polarity (IP)",
	oldTransform:        "image offset, scale, mirror, rotation or axis statements (OF, IO, SF, MI, IR, AS, IJ)",
	oldPen:              "stroke with an aperture that is neither circle nor rectangle; viewers differ about these",
	oldKnockout:         "knockout (KO), drawn as a rectangle",
	oldPlotFilm:         "plot film statement (PF), without meaning for the image",
	oldTrailing:         "trailing zeros left out",
	oldBothZeros:        "format statement that leaves no zeros out",
	warnQuadrant:        "arc without G74 or G75 before it; its quadrant mode was judged by the numbers",
	warnOpenContour:     "contour that did not return to its start; closed with a straight line",
	warnDecimalPoint:    "coordinate with a decimal point; taken as written",
	warnAfterEnd:        "something follows the end of the file (M02); ignored",
	warnLateUnit:        "numbers before the unit was stated; the unit stated later was taken",
	warnDefaultUnit:     "no unit stated; the one given as default was taken",
	warnDefaultFormat:   "no number format stated; the one given as default was taken",
	warnFlatArc:         "arc with its centre more than 1 m away that is straight within the file's resolution; drawn straight",
	warnNegativeOffset:  "negative arc offset in single-quadrant mode; the sign was ignored",
	warnPointArc:        "arc without a centre, no longer than the file can tell apart; drawn straight",
	warnRecentred:       "arc whose radii disagree by more than 5 µm; its centre was moved so that they agree",
	warnShortArc:        "short arc whose radii disagree, no longer than the file can tell apart; drawn straight",
	warnShortNumber:     "coordinate with fewer digits than the format has, which says that no zeros are left out; taken with leading zeros left out",
	warnComment:         "comment over more than one line that holds what looks like a command: its * may be missing; taken as a comment",
	warnHollowPen:       "stroke with an aperture that has a hole; drawn as if it had none",
	warnBlockAttributes: "aperture attributes in force where an aperture block begins; they stay with the apertures defined in it, the block itself keeps none",
	warnManyValues:      "macro primitive with more values than it has; those at the end are not used",
	warnFileAttribute:   "file attribute set again; the later value was taken",
	warnUnitChange:      "unit changed within the file",
	warnFormatTwice:     "number format stated again",
	warnEndUnterminated: "end of file (M02) without its *",
	warnOutlineOpen:     "macro outline that does not return to its start; closed with a straight line",
	warnUnevenArc:       "arc in an image scaled unequally along its axes (SF); drawn in straight pieces within 0.5 µm",
	warnLateTransform:   "image moved, mirrored, scaled or its axes swapped (OF, MI, SF, AS) after drawing has begun; taken to hold for what follows",
	warnNoEnd:           "the file has no end (M02)",
}
