// Package artwork is a neutral image model for one layer: flashes, strokes and regions, dark or
// clear, drawn in order, with their attributes. It knows neither a file format nor a panel.
// Readers fill it, writers and judges walk it.
//
// Lengths are whole nanometres (geom.Length). Blocks, step-and-repeat, mirroring and scaling are
// gone when a reader hands an Image over: what is left is what is drawn.
package artwork

import "panelwright/pipeline/geom"

// Image is one layer. It is immutable once its reader has returned it.
type Image struct {
	Attributes Attributes   // of the file: .FileFunction, .Part …, names with their leading dot
	Apertures  []Aperture   // what Object.Aperture counts into
	Sets       []Attributes // what Object.Set counts into; Sets[0] is empty
	Objects    []Object     // in drawing order
	Regions    []Region     // what Object.Region counts into
	Negative   bool         // dark where the objects leave it clear, without end: IPNEG in old files
}

// Attributes is a list of attributes in the order in which the file set them.
type Attributes []Attribute

// Attribute is a name (".AperFunction", with the dot that marks the standard's own names) and its
// field values, unescaped.
type Attribute struct {
	Name   string
	Values []string
}

// Get gives the values of the attribute called name, nil when absent.
func (a Attributes) Get(name string) []string {
	for _, x := range a {
		if x.Name == name {
			return x.Values
		}
	}
	return nil
}

// Kind says what an Object is.
type Kind uint8

// The kinds of objects.
const (
	Flash  Kind = iota // the aperture at Edge.From
	Stroke             // the aperture moved along Edge
	Fill               // the region Regions[Region]
)

// Object is one thing drawn.
type Object struct {
	Kind     Kind
	Clear    bool      // erases what earlier objects drew
	Aperture int32     // into Image.Apertures; −1 for a Fill
	Region   int32     // into Image.Regions; −1 unless a Fill
	Set      int32     // into Image.Sets: the object's attributes
	AperSet  int32     // into Image.Sets: aperture attributes that a Fill carries (a region has no aperture)
	Edge     geom.Edge // Flash: From is the place
}

// Region is a filled area: closed contours, each a separate area of the same fill (they are united;
// holes are made with cut-ins, contours that run in and out along one line).
type Region struct {
	Contours []geom.Path
}

// ShapeKind says what shape an Aperture has.
type ShapeKind uint8

// The shapes of apertures.
const (
	Circle    ShapeKind = iota // Width is the diameter; may be 0
	Rectangle                  // Width × Height
	Obround                    // Width × Height, the shorter side ends round
	Polygon                    // Width is the outer diameter; Vertices 3..12; Turn
	Macro                      // Primitives
)

// Aperture is the shape of a flash or the pen of a stroke, centred on the origin.
type Aperture struct {
	Shape         ShapeKind
	Width, Height geom.Length
	Hole          geom.Length // diameter of a round hole through which what lies below shows; 0 for none
	Vertices      int
	Turn          geom.Angle  // of a Polygon: 0 has a vertex on the positive x axis
	Name          string      // of a Macro, as the source called it; a hint only
	Primitives    []Primitive // of a Macro, evaluated: no variables are left
	Set           int32       // into Image.Sets: the aperture's attributes
}

// PrimitiveKind says what a macro primitive is.
type PrimitiveKind uint8

// The macro primitives, named as the layer format names them.
const (
	PrimCircle     PrimitiveKind = iota // Size[0] diameter; Points[0] centre
	PrimVectorLine                      // Size[0] width; Points[0] start; Points[1] end; butt ends
	PrimCenterLine                      // Size[0] × Size[1]; Points[0] centre; sides along the axes
	PrimOutline                         // Points: closed polygon, the closing point repeated
	PrimPolygon                         // Vertices; Size[0] outer diameter; Points[0] centre
	PrimMoire                           // Size: outer diameter, ring thickness, ring gap, cross thickness, cross length; Vertices: rings
	PrimThermal                         // Size: outer diameter, inner diameter, gap; Points[0] centre
)

// Primitive is one part of a macro. All of it is turned by Turn about the macro's origin.
type Primitive struct {
	Kind     PrimitiveKind
	Off      bool // exposure off: erases what the earlier primitives of this macro drew
	Size     [5]geom.Length
	Vertices int
	Points   []geom.Point
	Turn     geom.Angle
}
