package panel

import (
	"math"

	"panelwright/pipeline/geom"
)

// BodyBy says how a body is known.
type BodyBy string

// How bodies are known. A guess is good for a picture and a hint, not for a refusal.
const (
	NotKnown BodyBy = ""
	ByTable  BodyBy = "the shop's table"
	ByPads   BodyBy = "a guess from its pads"
	ByName   BodyBy = "a guess from its name" // of a class: by reference designator and package
)

// PartClass is what a part is, where that matters near a break.
type PartClass string

// The classes.
const (
	NoClass          PartClass = ""
	CeramicCapacitor PartClass = "ceramic_capacitor"
	Crystal          PartClass = "crystal"
	Connector        PartClass = "connector"
	BallGridArray    PartClass = "ball_grid_array"
)

// Tall is from what height a part counts as tall, whatever the table says: what stands so high is easily
// struck where boards are parted (from memory, no published source).
const Tall = 10 * geom.MM

// Body is the room that a part takes, as it lies when it is not turned. Height and Mass are 0 where
// nobody says them, and so are Length and Width of a part of which only its nature is known.
type Body struct {
	By            BodyBy
	Length, Width geom.Length // along x and y
	Offset        geom.Point  // from the part's place to the body's centre; x is mirrored on the bottom
	Height        geom.Length
	Underside     geom.Length // above the board's face, where the body stands out over the edge; 0: on the face
	Mass          int64       // in micrograms
	Overhang      bool        // made to stand out over the board's edge
	Fragile       bool        // to be kept away from where boards are parted
	Class         PartClass
	ClassBy       BodyBy // how the class is known; NotKnown without one
}

// Sized tells whether length and width are known.
func (b Body) Sized() bool { return b.By != NotKnown && b.Length > 0 && b.Width > 0 }

// BodyOutline is the outline of the part's body in the board's coordinates, seen from the top: a
// rectangle, turned as the part. ok is false when its size is not known. On the bottom the part is
// taken to be mirrored first and turned then, as its rotation is counted.
func (p Part) BodyOutline() (outline geom.Path, ok bool) {
	if !p.Body.Sized() {
		return nil, false
	}
	off := p.Body.Offset
	if p.Side == Bottom {
		off.X = -off.X
	}
	lower := geom.Pt(off.X-p.Body.Length/2, off.Y-p.Body.Width/2)
	box := geom.Box{Min: lower, Max: lower.Add(geom.Pt(p.Body.Length, p.Body.Width))}
	return geom.Transform{Turn: p.Turn, Shift: p.At}.Path(geom.Rectangle(box)), true
}

// OverEdge is how far the part's body stands out over the outer edge of the board, 0 when it does
// not, to within a fiftieth of the body's size along straight edges. Cut-outs do not count: a body may
// well lie over one.
func (b *Board) OverEdge(p Part) geom.Length {
	body, ok := p.BodyOutline()
	if !ok {
		return 0
	}
	outer := b.Outline.Outer
	board := geom.Outline{Outer: outer}
	// Where the edge is farther from the place than any corner of the body, the body lies within.
	reach := 0.0
	for _, e := range body {
		reach = math.Max(reach, e.From.Distance(p.At))
	}
	if board.Locate(p.At) == geom.Inside && board.Distance(p.At) > reach {
		return 0
	}
	const steps = 50
	var most float64
	for _, e := range body {
		for i := range steps {
			q := e.At(float64(i) / steps)
			if board.Locate(q) == geom.Outside {
				most = math.Max(most, board.Distance(q))
			}
		}
	}
	return geom.Round(most)
}
