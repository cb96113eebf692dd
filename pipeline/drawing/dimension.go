package drawing

import "panelwright/pipeline/geom"

// DimensionKind is what a dimension measures.
type DimensionKind string

// The kinds of dimensions.
const (
	OrdinateX DimensionKind = "ordinate_x" // how far To lies to the right of From, the datum
	OrdinateY DimensionKind = "ordinate_y" // how far To lies above From, the datum
	LinearX   DimensionKind = "linear_x"   // from From to To along x
	LinearY   DimensionKind = "linear_y"
	Aligned   DimensionKind = "aligned"  // straight from From to To
	Diameter  DimensionKind = "diameter" // From and To are opposite points of the circle
	Radius    DimensionKind = "radius"   // From is the middle, To lies on the circle
	Angle     DimensionKind = "angle"    // at Vertex, counter-clockwise from the ray to From to the ray to To
)

// Dimension states a length or an angle on a sheet.
type Dimension struct {
	Kind             DimensionKind
	View             int        // index into the sheet's Views: what From and To are real places of
	From, To, Vertex geom.Point // real
	// Value is what is stated, exactly: nanometres, or millionths of a degree for an Angle. It is what is measured
	// between From and To.
	Value int64
	// Times tells that the same follows as often in a row, as a pitch does; the text says so: "3× 57". 0 means once.
	Times int
	Text  Text    // as it stands on paper; it holds Value in words of the drawing's units
	Lines []Shape // on paper: dimension line, extension lines, arrows
	Of    []Fact
}

// Fact names what a dimension states, by the feature's id in panel.json, so that nothing is stated twice or
// forgotten: {"fiducial/1", "x"}, {"panel", "width"}, {"rail/upper", "width"}, {"score/y1", "remaining_web"}.
type Fact struct{ Feature, What string }
