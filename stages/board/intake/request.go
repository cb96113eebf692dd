package intake

import (
	"errors"
	"path"

	"panelwright/pipeline"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// Request is what is asked of the reader: where the files are, and what the recipe says of them.
type Request struct {
	Name                 string
	Paths                []pipeline.InPath
	PartNumber, Revision string
	Thickness            geom.Length // 0: as the job file says, else DefaultThickness
	CopperCount          int         // 0: as the files show; otherwise layers may be missing
	Finish, MaskColor    string
	Tolerance            geom.Length  // for joining the outline
	Outline              *OutlineRule // nil: as the files have it
	Layers               []LayerRule
	Drills               []DrillRule
	Placements           []PlacementRule
	Packages             pipeline.InPath // the shop's table of bodies; no text: none
	Workers              int
}

// DefaultThickness is taken where neither recipe nor job file says one (common practice).
const DefaultThickness = 1600 * geom.UM

// DefaultTolerance is how far apart two ends of the outline may be and still be one corner.
const DefaultTolerance = 10 * geom.UM

// LayerRule says what the files that match Files are for, where they do not say it themselves.
type LayerRule struct {
	Files  string // a name or pattern, of the whole name within the board's files or of its last part
	Ignore bool
	Reason string
	Is     panel.Function // without a Kind: as the files say
	Format gerber.Options // what a file leaves unsaid of its numbers

	Negative bool // what it draws is what is not there
}

// DrillRule says how the drill files that match Files are to be read.
type DrillRule struct {
	Files    string
	Plating  artwork.Plating // unknown: not said
	From, To int             // 0, 0: not said
	Format   xnc.Options
	ToolList string // the file that lists its tools' diameters; empty: not said
}

// PlacementRule says what the placement files that match Files leave unsaid.
type PlacementRule struct {
	Files string
	Unit  string // "mm", "mil", "inch", "um"; empty: not said
	Side  panel.Side
	// Columns are the columns of a table that does not name them: centroid.ColumnWords.
	Columns         []string
	Shift           *geom.Point // added to the file's places; nil: found by the pads
	Mirrored        *bool       // whether x of parts on the bottom runs mirrored; nil: found by the pads
	BottomClockwise bool        // rotations of parts on the bottom count clockwise, seen from the top
}

// matches tells whether a recipe's pattern means the file called name.
func matches(pattern, name string) bool {
	for _, s := range []string{name, path.Base(name)} {
		if ok, err := path.Match(pattern, s); ok && err == nil || pattern == s {
			return true
		}
	}
	return false
}

// CheckPattern tells what is wrong with a pattern, nil when nothing is.
func CheckPattern(p string) error {
	if p == "" {
		return errors.New("must name a file")
	}
	if _, err := path.Match(p, ""); err != nil {
		return errors.New("is not a file pattern: * stands for any characters, ? for one, [ab] for one of those")
	}
	return nil
}
