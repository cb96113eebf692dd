package mesh

import (
	"math"

	"panelwright/pipeline/geom"
)

// A strand is a straight piece that edges must follow: of the region's border, the material to its left, or of a line.
type strand struct {
	from, to geom.Point
	line     int32 // its number, or border
}

const border = -1

// input is a domain without arcs and with a simple border.
type input struct {
	strands []strand
	points  []geom.Point
	at      geom.Point // where it was tidied last
}

// Chords stray from their arc by at least leastSag, else by a part of the size asked for there: what an element of that size
// does not notice. Chosen by us; no published source.
const (
	leastSag = 10e3 // nm
	mostSag  = 50e3
	sagPart  = 1.0 / 50
)

// flatten follows arcs by chords no longer than the size asked for, and leaves out corners that make no difference.
func flatten(d *Domain, f *field) input {
	in := input{points: d.Points}
	simple := newSimplifier(d, f)
	for path := range d.paths() {
		var corners []geom.Point
		for _, e := range path {
			corners = append(corners, e.From)
			if e.Sense != geom.Straight {
				size := min(f.of(e.From), f.of(e.To), f.of(e.At(0.5)))
				corners = append(corners, chords(e, size, stray(size))...)
			}
		}
		corners = simple.path(corners)
		for i, p := range corners {
			in.strands = append(in.strands, strand{p, corners[(i+1)%len(corners)], border})
		}
	}
	for i, l := range d.Lines {
		in.strands = append(in.strands, strand{l.From, l.To, int32(i)})
	}
	return in
}

// chords gives the corners between the ends of an arc, spread evenly over it, so that chords are no longer than long and stray
// by no more than sag, in nm. A full circle gets six at least. A straight edge has none.
func chords(e geom.Edge, long, sag float64) []geom.Point {
	if e.Sense == geom.Straight {
		return nil
	}
	r := e.Radius()
	_, sweep := e.Angles()
	sweep = math.Abs(sweep)
	// Half a chord's angle a strays by r·(1 − cos a) ≤ r·a²/2.
	step := min(2*math.Sqrt(2*sag/max(r, 1)), long/max(r, 1), math.Pi/3+1e-9)
	n := math.Ceil(float64(sweep/step) - 1e-9)
	const most = 1 << 16
	if !(n < most) {
		n = most
	}
	var out []geom.Point
	for k := 1; k < int(n); k++ {
		out = append(out, e.At(float64(k)/n))
	}
	return out
}
