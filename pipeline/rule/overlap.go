package rule

import (
	"context"
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
)

// placed is an outline on the panel with its name.
type placed struct {
	id      string
	outline geom.Outline
	box     geom.Box
	copy    bool
}

func copiesOverlap(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	var all []placed
	for _, c := range p.Copies() {
		o := c.Outline()
		all = append(all, placed{c.ID, o, o.Box(), true})
	}
	for _, r := range p.Rails() {
		all = append(all, placed{r.ID, geom.Outline{Outer: geom.Rectangle(r.Box)}, r.Box, false})
	}
	var out []pipeline.Finding
	for i, a := range all {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for _, b := range all[i+1:] {
			if !a.copy && !b.copy {
				continue
			}
			if at, ok := overlap(a, b); ok {
				f := pipeline.Finding{Message: fmt.Sprintf("%s and %s overlap: set them further apart", a.id, b.id), At: &at, Feature: a.id}
				for _, x := range []placed{a, b} {
					if x.copy {
						f.Copies = append(f.Copies, x.id)
					}
				}
				out = append(out, f)
			}
		}
	}
	return out, nil
}

// overlap tells whether two outlines share area, and a point where they do. Outlines that only touch
// along an edge do not. A board that lies in another's cut-out does not overlap it.
func overlap(a, b placed) (geom.Point, bool) {
	if a.box.Min.X >= b.box.Max.X || b.box.Min.X >= a.box.Max.X || a.box.Min.Y >= b.box.Max.Y || b.box.Min.Y >= a.box.Max.Y {
		return geom.Point{}, false
	}
	for _, pair := range [2][2]placed{{a, b}, {b, a}} {
		if at, ok := reachesInto(pair[0].outline, pair[1].outline); ok {
			return at, true
		}
	}
	return geom.Point{}, false
}

// reachesInto looks for a point just inside a's edge that lies inside b. It splits a's edges where
// b's edges meet them, so that no stretch between two meetings is missed.
func reachesInto(a, b geom.Outline) (geom.Point, bool) {
	theirs := b.Edges()
	for _, e := range a.Edges() {
		cuts := []float64{0, 1}
		for _, f := range theirs {
			if !e.Box().Overlaps(f.Box()) {
				continue
			}
			for _, at := range e.Intersections(f) {
				cuts = append(cuts, fraction(e, at))
			}
		}
		sortFloats(cuts)
		for i := 1; i < len(cuts); i++ {
			if float64(cuts[i]-cuts[i-1])*e.Length() < 2000 { // stretches under 2 µm are touching, not overlap
				continue
			}
			at := e.Beside((cuts[i]+cuts[i-1])/2, geom.UM)
			if a.Locate(at) == geom.Inside && b.Locate(at) == geom.Inside {
				return at, true
			}
		}
	}
	return geom.Point{}, false
}

// fraction is where on the edge a point of it lies, 0 to 1.
func fraction(e geom.Edge, at geom.Point) float64 {
	if e.Sense == geom.Straight {
		d := e.To.Sub(e.From)
		if n := float64(d.Dot(d)); n > 0 {
			return float64(at.Sub(e.From).Dot(d)) / n
		}
		return 0
	}
	_, sweep := e.Angles()
	part := geom.Edge{From: e.From, To: at, Center: e.Center, Sense: e.Sense}
	if at == e.From {
		return 0
	}
	_, s := part.Angles()
	if sweep == 0 {
		return 0
	}
	return min(1, s/sweep)
}
