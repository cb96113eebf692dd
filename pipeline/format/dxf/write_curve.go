package dxf

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// corner is a corner of a polyline and the bulge of the edge that follows.
type corner struct {
	at    geom.Point
	bulge float64
}

// cornersOf gives the corners of a chain of edges without whole circles. An arc whose ends lie so close
// together that a rounding of one would move the middle of the circle through both is parted in two.
func cornersOf(p geom.Path) (out []corner, closed bool) {
	for _, e := range p {
		if tight(e) {
			half := e.At(0.5)
			a, b := e, e
			a.To, b.From = half, half
			out = append(out, corner{a.From, bulgeOf(a)}, corner{b.From, bulgeOf(b)})
			continue
		}
		out = append(out, corner{e.From, bulgeOf(e)})
	}
	if closed = p.Closed(); !closed {
		out = append(out, corner{at: p[len(p)-1].To})
	}
	return out, closed
}

// tight tells whether the circle through an arc's ends has its middle more than a nanometre from the arc's,
// so that it would be felt: arcs of less than half a turn hardly move whatever their middle does.
func tight(e geom.Edge) bool {
	if e.Sense == geom.Straight {
		return false
	}
	if _, sweep := e.Angles(); math.Abs(sweep) <= math.Pi {
		return false
	}
	rf, rt := e.From.Distance(e.Center), e.To.Distance(e.Center)
	return math.Abs(rf-rt)*(rf+rt) > 2*e.From.Distance(e.To)
}

// bulgeOf gives the tangent of a quarter of what an edge turns by, for the circle through its ends: the height of the
// arc over its chord, in half chords.
func bulgeOf(e geom.Edge) float64 {
	if e.Sense == geom.Straight || e.From == e.To {
		return 0
	}
	chord := e.To.Sub(e.From)
	c := e.Center.Sub(e.From)
	length := chord.Norm()
	half := length / 2
	// How far the middle lies to the left of the chord; the circle's has the same distance.
	left := (float64(float64(chord.X)*float64(c.Y)) - float64(float64(chord.Y)*float64(c.X))) / length
	r := math.Sqrt(float64(half*half) + float64(left*left))
	// Counter-clockwise arcs of less than half a turn have their middle to the left.
	d := left * float64(e.Sense)
	b := half / (r + math.Abs(d))
	if d < 0 {
		b = (r + math.Abs(d)) / half
	}
	return float64(b * float64(e.Sense))
}

// radius gives an arc's radius as exactly as a number can hold it.
func radius(e geom.Edge) float64 {
	r := e.Radius()
	if whole := math.Round(r); geom.Pt(geom.Length(whole), 0).Norm() == r {
		return whole / 1e6
	}
	return r / 1e6
}

func hatchStep(per geom.Length) float64 {
	return float64(drawing.HatchPitch.MM() * per.MM() * math.Sqrt2 / 2)
}

// clipped gives what of a shape lies within a closed path. Areas and their lines part where the path cuts them: an
// area has sides along the path, where there are no lines.
func clipped(h drawing.Shape, clip geom.Path) ([]drawing.Shape, error) {
	box := clip.Box()
	line, inside := h, h
	line.Paths, inside.Paths = nil, nil
	cut := false
	for _, p := range h.Paths {
		switch b := p.Box(); {
		case !box.Overlaps(b):
		case box.Holds(b) && wholly(p, clip):
			line.Paths = append(line.Paths, p)
			inside.Paths = append(inside.Paths, p)
		default:
			cut = true
			line.Paths = append(line.Paths, within(p, clip)...)
		}
	}
	if !cut && len(inside.Paths) == len(h.Paths) || h.Fill == drawing.NoFill {
		return []drawing.Shape{line}, nil
	}
	area, err := overlay.Intersection(context.Background(), overlay.Options{}, overlay.Operand{Paths: h.Paths, Rule: overlay.EvenOdd}, overlay.Of(geom.Outline{Outer: clip}))
	if err != nil {
		return nil, err
	}
	inside.Paths, inside.Pen = area.Paths(), drawing.Pen{}
	line.Fill = drawing.NoFill
	return []drawing.Shape{inside, line}, nil
}

// wholly tells whether a path that lies within the clip's box lies within the clip.
func wholly(p, clip geom.Path) bool {
	for _, e := range p {
		for _, c := range clip {
			if e.Box().Overlaps(c.Box()) && len(e.Intersections(c)) > 0 {
				return false
			}
		}
	}
	return len(p) > 0 && clip.Locate(p[0].From) != geom.Outside
}

// within gives the stretches of a path that lie within the clip.
func within(p, clip geom.Path) []geom.Path {
	var out []geom.Path
	var run geom.Path
	for _, e := range p {
		for _, piece := range parted(e, clip) {
			if clip.Locate(piece.At(0.5)) == geom.Outside {
				continue
			}
			if n := len(run); n > 0 && run[n-1].To != piece.From {
				out = append(out, run)
				run = nil
			}
			run = append(run, piece)
		}
	}
	if len(run) > 0 {
		out = append(out, run)
	}
	return out
}

// parted cuts an edge where it meets the clip.
func parted(e geom.Edge, clip geom.Path) []geom.Edge {
	var at []geom.Point
	for _, c := range clip {
		if e.Box().Overlaps(c.Box()) {
			at = append(at, e.Intersections(c)...)
		}
	}
	slices.SortFunc(at, func(a, b geom.Point) int {
		switch x, y := e.Along(a), e.Along(b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return a.Compare(b)
	})
	at = slices.Compact(slices.DeleteFunc(at, func(p geom.Point) bool { return p == e.From || p == e.To }))
	if e.From == e.To && e.Sense != geom.Straight && len(at) > 0 { // a whole circle begins anywhere
		e.From, e.To = at[0], at[0]
		at = at[1:]
		if len(at) == 0 {
			return []geom.Edge{e}
		}
	}
	var out []geom.Edge
	from := e.From
	for _, to := range append(at, e.To) {
		if from != to {
			piece := e
			piece.From, piece.To = from, to
			out = append(out, piece)
		}
		from = to
	}
	return out
}
