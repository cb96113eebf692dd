package artwork

import "panelwright/pipeline/geom"

// Plating says whether a hole's wall carries copper.
type Plating uint8

// The platings. PlatingUnknown is what a file that does not say has; the board stage settles it.
const (
	PlatingUnknown Plating = iota
	Plated
	NonPlated
)

// String gives the word the layer format uses.
func (p Plating) String() string { return [...]string{"Unknown", "Plated", "NonPlated"}[p] }

// Drilling is the content of one drill or rout file.
type Drilling struct {
	Attributes Attributes // file attributes, .FileFunction among them when the file has it
	Plating    Plating    // of the whole file, where the file says
	From, To   int        // layer span, 1 = top; 0, 0 where the file does not say
	Tools      []Tool
	Sets       []Attributes // what Tool.Set, Hole.Set and Rout.Set count into; Sets[0] is empty
	Holes      []Hole
	Routs      []Rout
}

// Tool is a drill or cutter.
type Tool struct {
	Number   int         // as the file calls it
	Diameter geom.Length // finished
	Plating  Plating     // where the file says it by tool
	Set      int32       // attributes (.AperFunction)
}

// Hole is one round hole.
type Hole struct {
	Tool int32 // into Drilling.Tools
	At   geom.Point
	Set  int32
}

// Rout is a slot: the tool moved along Path. A straight slot is one edge.
type Rout struct {
	Tool   int32
	Path   geom.Path
	Canned bool // written as a nibbled slot (G85) rather than routed
	Set    int32
}
