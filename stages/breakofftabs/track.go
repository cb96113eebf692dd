package breakofftabs

import (
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// vector is a direction in the plane.
type vector [2]float64

func (v vector) dot(w vector) float64 { return float64(v[0]*w[0]) + float64(v[1]*w[1]) }

// right is the vector turned by a quarter to the right: outwards, for the tangent of an outline that
// runs counter-clockwise.
func (v vector) right() vector { return vector{v[1], -v[0]} }

// from gives the point at distance d along the vector, a unit vector.
func (v vector) from(p geom.Point, d float64) geom.Point {
	return geom.Pt(p.X+geom.Round(float64(v[0]*d)), p.Y+geom.Round(float64(v[1]*d)))
}

// unit gives the direction of a point seen from the origin.
func unit(p geom.Point) vector {
	n := p.Norm()
	if n == 0 {
		return vector{}
	}
	return vector{float64(p.X) / n, float64(p.Y) / n}
}

// track is a closed path by the length along it, in nanometres from where it begins.
type track struct {
	path   geom.Path
	starts []float64 // where each edge begins
	length float64
}

func newTrack(p geom.Path) *track {
	t := &track{path: p, starts: make([]float64, len(p))}
	for i, e := range p {
		t.starts[i] = t.length
		t.length += e.Length()
	}
	return t
}

// wrap brings a place along the track into one round.
func (t *track) wrap(s float64) float64 {
	s = math.Mod(s, t.length)
	if s < 0 {
		s += t.length
	}
	return s
}

// edge finds the edge that a place lies on, and how far along it, 0 to 1.
func (t *track) edge(s float64) (int, float64) {
	s = t.wrap(s)
	i, found := slices.BinarySearch(t.starts, s)
	if !found {
		i--
	}
	for i+1 < len(t.starts) && t.starts[i+1] == s { // past edges without length
		i++
	}
	l := t.path[i].Length()
	if l == 0 {
		return i, 0
	}
	return i, min((s-t.starts[i])/l, 1)
}

// at gives the point at a place along the track and the direction in which the track runs there.
func (t *track) at(s float64) (geom.Point, vector) {
	i, f := t.edge(s)
	e := t.path[i]
	return e.At(f), heading(e, f)
}

// heading gives the direction of an edge at a fraction of its length.
func heading(e geom.Edge, f float64) vector {
	if e.Sense == geom.Straight {
		return unit(e.To.Sub(e.From))
	}
	start, sweep := e.Angles()
	sin, cos := geom.SinCos(start + float64(sweep*f))
	if e.Sense == geom.Clockwise {
		return vector{sin, -cos}
	}
	return vector{-sin, cos}
}

// project gives the place along the track that lies nearest to a point.
func (t *track) project(q geom.Point) float64 {
	best, at, edge := math.Inf(1), geom.Point{}, 0
	for i, e := range t.path {
		if d, p := geom.PointEdgeDistance(q, e); d < best {
			best, at, edge = d, p, i
		}
	}
	return t.starts[edge] + t.path[edge].Along(at)
}

// stretch gives the part of the track from one place on to another, less than once round.
func (t *track) stretch(from, to float64) geom.Path {
	length := t.wrap(to - from)
	i, f := t.edge(from)
	var out geom.Path
	for length > 0.5 {
		e := t.path[i]
		l := e.Length()
		g := min(1, f+length/max(l, 1e-9))
		if part, ok := cut(e, f, g); ok {
			if n := len(out); n > 0 {
				part.From = out[n-1].To
			}
			out = append(out, part)
		}
		length -= float64((g - f) * l)
		i, f = (i+1)%len(t.path), 0
	}
	return out
}

// cut gives the part of an edge between two fractions of it; false when nothing is left.
func cut(e geom.Edge, f, g float64) (geom.Edge, bool) {
	part := e
	if f > 0 {
		part.From = e.At(f)
	}
	if g < 1 {
		part.To = e.At(g)
	}
	return part, part.From != part.To || (f == 0 && g == 1 && e.Sense != geom.Straight && e.From == e.To)
}
