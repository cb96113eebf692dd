package outside

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// right says whose picture of a file is the one that the specification asks for.
type right string

const (
	viewerRight right = "the viewer"
	secondRight right = "the second reader"
	bothRight   right = "both, but for rounding"
	noneRight   right = "neither"
)

// dispute is a file about which the outside readers do not agree with each other. The numbers say how
// many pixels may differ, in all blobs, at the resolution that the file is drawn at; a number that is
// not 0 means that they must differ, unless it is rounding, so that a row out of date is found.
type dispute struct {
	path    string
	between int // viewer and second reader, both on the source
	viewer  int // viewer on the source and viewer on our reading: only where the viewer is wrong about the source
	second  int // second reader and ours: only where the second reader is wrong
	right   right
	why     string
	fails   string // what the viewer says that cannot draw the source at all; both its numbers are then 0
}

// Reasons that several files share. Sections, here and below, are those of the layer format
// specification, edition 2024.05, from memory.
const (
	quarterAcross = "the arc turns 45° to 64° and crosses an axis, which single-quadrant mode allows: of the four centres that one is meant at which the radii agree and the arc turns at most 90° (chapter 8, G74); the viewer draws others"
	noWidth       = "a pen without width draws nothing (4.4.2): the viewer draws its strokes a pixel wide"
	thinPen       = "pens of 0.01 to 0.03 mm, thinner than a pixel, which the viewer draws a pixel wide"
)

var disputes = []dispute{
	{
		"corpus/parser-fixtures/gerbers/arc-strokes/single-quadrant-I-to-II.gbr", 230000, 230000, 0, secondRight,
		quarterAcross, "",
	},
	{
		"corpus/parser-fixtures/gerbers/arc-strokes/single-quadrant-II-to-III.gbr", 250000, 250000, 0, secondRight,
		quarterAcross, "",
	},
	{
		"corpus/parser-fixtures/gerbers/arc-strokes/single-quadrant-III-to-IV.gbr", 190000, 190000, 0, secondRight,
		quarterAcross, "",
	},
	{
		"corpus/parser-fixtures/gerbers/arc-strokes/single-quadrant-IV-to-I.gbr", 170000, 170000, 0, secondRight,
		quarterAcross, "",
	},
	{
		"corpus/parser-fixtures/gerbers/arc-strokes/zero-length.gbr", 0, 0, 0, secondRight,
		"in single-quadrant mode an arc that ends where it begins has no length (chapter 8, G74): a disc as wide as the pen; the viewer makes something else of it that its drawing library refuses",
		"the viewer's drawing failed with status 5",
	},
	{
		"corpus/parser-fixtures/gerbers/macro-primitives/moire-primitive.gbr", 7, 0, 0, bothRight,
		"the viewer rounds each ring's diameter to pixels", "",
	},
	{
		"corpus/parser-fixtures/gerbers/macros/clear-with-moire.gbr", 2900, 0, 0, secondRight,
		"a flash with clear polarity erases all that the aperture covers (4.9.2), the cross as well as the rings (chapter 8, primitive 6); the viewer leaves the cross", "",
	},
	{
		"corpus/parser-fixtures/gerbers/macros/clear-with-multiple-exposures.gbr", 130000, 0, 0, secondRight,
		"exposure off erases only within the macro (4.5.1.1); the viewer erases all that there is", "",
	},
	{
		"corpus/parser-fixtures/gerbers/step-repeats/multi-polarity-over-self.gbr", 32000, 32000, 0, secondRight,
		"a block is repeated as a whole, copy after copy, so that a copy's clear parts erase the copy before (4.12); the viewer draws all copies of one polarity before it goes on to the next", "",
	},
	{
		"corpus/viewer-tests/*-RoundHoles.drl", 77000, 63000, 0, secondRight,
		"zeros are kept in front (LZ), digits count from the left; the viewer counts from the right, so that numbers with fewer digits end elsewhere. No published source for the comment that tells the digits", "",
	},
	{
		"corpus/parser-fixtures/boards/u*/*.txt", 3400, 3400, 0, secondRight,
		"as above; by the second reader and ours every hole lies on a pad of the copper layers", "",
	},
	{
		"corpus/viewer-tests/test-drill-trailing-zero-suppression.exc", 3200, 2600, 140, noneRight,
		"metric, three digits in front, zeros kept in front: the viewer's own settings for the file, in the project file beside it, which it needs, for it guesses wrongly; the second reader takes the statement of an origin (G93X0Y0) for a hole", "",
	},
	{
		"corpus/viewer-tests/test-drill-repeat-1.exc", 2600, 0, 2800, viewerRight,
		"R5X1000 repeats the hole five times, a tenth of an inch apart; the second reader knows no R. No published source", "",
	},
	{
		"corpus/viewer-tests/test-drill-spaces.exc", 26000, 0, 25000, viewerRight,
		"a blank between X and Y separates nothing; the second reader drops the Y. No published source", "",
	},
	{
		"corpus/viewer-tests/test-image-offset-1.gbx", 6600, 0, 6900, viewerRight,
		"the second reader does not carry out IO, which no edition since 2012 has", "",
	},
	{
		"corpus/viewer-tests/test-image-offset-2.gbx", 14000, 0, 14000, viewerRight,
		"the second reader does not carry out IO, which no edition since 2012 has", "",
	},
	{
		"corpus/viewer-tests/test-layer-offset-1.gbx", 6600, 0, 6900, viewerRight,
		"the second reader does not carry out OF (chapter 8)", "",
	},
	{
		"corpus/viewer-tests/test-image-rotation-1.gbx", 23000, 0, 23000, viewerRight,
		"the second reader does not carry out IR (chapter 8)", "",
	},
	{
		"corpus/viewer-tests/test-layer-mirror-image-1.gbx", 23000, 0, 23000, viewerRight,
		"the second reader does not carry out MI (chapter 8)", "",
	},
	{
		"corpus/viewer-tests/test-layer-axis-select-1.gbx", 120000, 0, 120000, viewerRight,
		"the second reader does not carry out AS (chapter 8)", "",
	},
	{
		"corpus/viewer-tests/test-image-polarity-1.gbx", 340000, 0, 340000, viewerRight,
		"the second reader does not carry out IPNEG (chapter 8)", "",
	},
	{
		"corpus/viewer-tests/test-layer-knockout-1.gbx", 150000, 0, 150000, viewerRight,
		"the second reader does not carry out KO, which no edition since 2012 has", "",
	},
	{
		"corpus/viewer-tests/test-layer-knockout-2.gbx", 260000, 120000, 150000, noneRight,
		"the second reader does not carry out KO; the viewer clears far more than the border of half an inch that the statement, and the file's own comment, ask for", "",
	},
	{
		"corpus/viewer-tests/test-layer-scale-factor-1.gbx", 8500, 4300, 4200, noneRight,
		"SF scales coordinates, not apertures (chapter 8); the second reader does not carry it out, the viewer scales the pen too", "",
	},
	{
		"corpus/viewer-tests/test-layer-mode-1.gbx", 240000, 0, 240000, viewerRight,
		"the unit changes within the file, which no edition since 2012 allows and the first one does; the second reader keeps the first unit", "",
	},
	{
		"corpus/parser-fixtures/boards/b*/*.gko", 4900, 0, 0, secondRight,
		noWidth, "",
	},
	{
		"corpus/parser-fixtures/boards/b*/*.plc", 4900, 0, 0, secondRight,
		noWidth, "",
	},
	{
		"corpus/parser-fixtures/boards/b*/*.pls", 4900, 0, 0, secondRight,
		noWidth, "",
	},
	{
		"corpus/parser-fixtures/boards/core/*.MIL", 440, 0, 0, secondRight,
		noWidth, "",
	},
	{
		"corpus/parser-fixtures/boards/f*/*.plc", 4600, 0, 0, secondRight,
		noWidth, "",
	},
	{
		"corpus/parser-fixtures/boards/cl*/*-F_Mask.gbr", 19, 0, 0, bothRight,
		"gaps of 0.05 mm between pads, half a pixel wide", "",
	},
	{
		"corpus/parser-fixtures/boards/f*/*.sol", 10, 0, 0, bothRight,
		"slits in a fill of strokes, thinner than a pixel", "",
	},
	{
		"corpus/parser-fixtures/boards/m*/*-F_SilkS.pho", 12, 0, 0, bothRight,
		"gaps where an arc all but touches a line, thinner than a pixel", "",
	},
	{
		"corpus/parser-fixtures/boards/u*/*.gts", 40, 0, 0, bothRight,
		"notches between discs that overlap, sharper than a pixel", "",
	},
	{
		"boards/daughter-2l-arcs74/*-Edge_Cuts.gko", 3500, 0, 0, bothRight,
		thinPen, "",
	},
	{
		"corpus/parser-fixtures/boards/cl*/*-F_SilkS.gbr", 300, 0, 0, bothRight,
		"strokes of 0.13 mm, a pixel and a bit", "",
	},
	{
		"boards/tiny-4l-blind/*-NPTH-drl_map.gbr", 340, 0, 0, bothRight,
		thinPen, "",
	},
	{
		"boards/tiny-4l-blind/*-front-in1-drl_map.gbr", 410, 0, 0, bothRight,
		thinPen, "",
	},
	{
		"boards/tiny-4l-blind/*-in1-in2-drl_map.gbr", 410, 0, 0, bothRight,
		thinPen, "",
	},
	{
		"boards/tiny-4l-blind/*-in2-back-drl_map.gbr", 420, 0, 0, bothRight,
		thinPen, "",
	},
}

// TestDisputesAreAboutOthers: our reading is excused from agreeing with an outside reader only where
// the table says that this reader is wrong.
func TestDisputesAreAboutOthers(t *testing.T) {
	for _, x := range disputes {
		if x.fails != "" {
			require.Zero(t, x.between+x.viewer, x.path)
		} else {
			require.Positive(t, x.between, x.path)
		}
		require.NotEmpty(t, x.why, x.path)
		switch x.right {
		case viewerRight:
			require.Zero(t, x.viewer, x.path)
			require.Positive(t, x.second, x.path)
		case secondRight:
			require.Zero(t, x.second, x.path)
		case bothRight:
			require.Zero(t, x.viewer+x.second, x.path)
		case noneRight:
			require.Positive(t, x.viewer, x.path)
			require.Positive(t, x.second, x.path)
		default:
			t.Errorf("%s: who is right?", x.path)
		}
	}
}
