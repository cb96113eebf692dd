package offset

import (
	"context"
	"fmt"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// Join says how an offset goes round a corner that opens away from it.
type Join uint8

// The joins.
const (
	Round  Join = iota // an arc about the corner
	Mitre              // straight on to a point, within MitreLimit; beyond it as Square
	Square             // cut off square to the corner's middle, at the offset distance from the corner
)

// End says how the outline of an open stroke ends.
type End uint8

// The ends.
const (
	RoundEnd  End = iota // half a disc
	SquareEnd            // half the width further
	ButtEnd              // at the last point
)

// Options are the choices of an offset. The zero value is a good one: round joins and ends.
type Options struct {
	Join       Join
	MitreLimit float64 // how far a mitre may reach from its corner, as a multiple of the distance; 0 stands for 2
	End        End
	Overlay    overlay.Options
}

func (o Options) check() error {
	switch {
	case o.Join > Square:
		return fmt.Errorf("offset: there is no join %d", o.Join)
	case o.End > ButtEnd:
		return fmt.Errorf("offset: there is no end %d", o.End)
	case o.MitreLimit != 0 && !(o.MitreLimit >= 1 && o.MitreLimit <= 1000):
		return fmt.Errorf("offset: a mitre limit of %v; it must lie between 1 and 1000", o.MitreLimit)
	}
	return nil
}

func (o Options) mitreLimit() float64 {
	if o.MitreLimit == 0 {
		return 2
	}
	return o.MitreLimit
}

// By moves the border of a region outwards by d, or inwards by −d: with round joins the result is all
// that lies within d of the region, or all of it that lies at least −d from its border.
//
// Outlines that overlap or touch count as one, and a region that is not in order is put in order
// first. Straight edges and arcs are moved exactly but for the rounding of their ends to the nanometre;
// only where arcs cross does the chord error of the overlay come in. By 0 gives the region itself.
func By(ctx context.Context, r geom.Region, d geom.Length, o Options) (geom.Region, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if d == 0 || len(r) == 0 {
		return r, nil
	}
	if d.Abs() > geom.Limit {
		return nil, fmt.Errorf("offset: a distance of %v; at most %v can be done", d, geom.Limit)
	}
	clean, err := overlay.Union(ctx, o.Overlay, overlay.Of(r...))
	if err != nil {
		return nil, err
	}
	box := clean.Box()
	if d < 0 && -2*d > min(box.Width(), box.Height()) {
		return nil, nil
	}
	b := builder{o: o}
	for _, p := range clean.Paths() {
		b.ring(p, d)
	}
	return b.union(ctx)
}

// Stroke gives the area that a pen of the given width covers as it follows paths, open or closed.
// Half of an odd width is a nanometre more on the right than on the left. A path of no length is a
// dot: a disc with round ends, a square along the axes with square ends, nothing with butt ends.
func Stroke(ctx context.Context, paths []geom.Path, width geom.Length, o Options) (geom.Region, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if width < 0 || width > geom.Limit {
		return nil, fmt.Errorf("offset: a stroke %v wide; the width must lie between 0 and %v", width, geom.Limit)
	}
	b := builder{o: o}
	for i, p := range paths {
		for k := 1; k < len(p); k++ {
			if p[k-1].To != p[k].From {
				return nil, fmt.Errorf("offset: path %d: edge %d begins at %v, where the one before it does not end", i, k, p[k].From)
			}
		}
		b.stroke(p, width)
	}
	return b.union(ctx)
}

// union gives what the pieces cover whose borders were added up.
func (b *builder) union(ctx context.Context) (geom.Region, error) {
	for _, p := range b.raw {
		for _, e := range p {
			if !e.From.Within() {
				return nil, fmt.Errorf("offset: the moved border leaves the limits of ±%v at %v", geom.Limit, e.From)
			}
		}
	}
	return overlay.Union(ctx, b.o.Overlay, overlay.Operand{Paths: b.raw, Rule: overlay.Positive})
}

// A vector is a direction of length one.
type vector struct{ x, y float64 }

func unit(x, y float64) vector {
	l := math.Sqrt(float64(x*x) + float64(y*y))
	return vector{x / l, y / l}
}

func (v vector) dot(w vector) float64   { return float64(v.x*w.x) + float64(v.y*w.y) }
func (v vector) cross(w vector) float64 { return float64(v.x*w.y) - float64(v.y*w.x) }

// right is the direction square to v on its right.
func (v vector) right() vector { return vector{v.y, -v.x} }

// from gives the point that lies d in the direction v from p.
func (v vector) from(p geom.Point, d float64) geom.Point {
	return geom.Pt(p.X+geom.Round(v.x*d), p.Y+geom.Round(v.y*d))
}
